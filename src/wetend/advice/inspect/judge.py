"""Judgement of measured parts: keep, turn over, dress, replace, or measure again."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.inspect.cylinder import judge_cylinder
from wetend.advice.inspect.judgement import WORST_FIRST, Check, PartJudgement, Seen
from wetend.advice.inspect.rod import judge_rod
from wetend.advice.inspect.seals import judge_packings, judge_seal_land
from wetend.advice.inspect.solvent import judge_solvent_test
from wetend.advice.inspect.valve import judge_ball, judge_seat
from wetend.errors import BadInput
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import (
    BallMeasured,
    CylinderMeasured,
    Measured,
    PackingsMeasured,
    RodMeasured,
    SealLandMeasured,
    SeatMeasured,
    SolventTest,
)

__all__ = ["Check", "PartJudgement", "Seen", "judge", "judge_all"]


@kept("parts judged", most=16 * MB)
def judge(pump: Pump, coating: Coating | None, measured: Measured) -> PartJudgement:
    """Judge one part from what was measured.

    Each number is held against its limit by the probability that the true value conforms (JCGM
    106:2012); the worst finding gives the verdict. Without a coating no leak is computed.

    Raises:
        BadInput: nothing was measured, or a solvent is not known.
    """
    match measured:
        case BallMeasured():
            return judge_ball(pump, coating, measured)
        case SeatMeasured():
            return judge_seat(pump, coating, measured)
        case RodMeasured():
            return judge_rod(pump, coating, measured)
        case CylinderMeasured():
            return judge_cylinder(pump, coating, measured)
        case SealLandMeasured():
            return judge_seal_land(measured)
        case PackingsMeasured():
            return judge_packings(pump, coating, measured)
        case SolventTest():
            return judge_solvent_test(pump, coating, measured)


def judge_all(
    pump: Pump, coating: Coating | None, measured: Sequence[Measured]
) -> tuple[PartJudgement, ...]:
    """Judge every measured part, the worst first; entries with nothing measured are left out."""
    found = []
    for one in measured:
        try:
            found.append(judge(pump, coating, one))
        except BadInput:
            continue
    return tuple(sorted(found, key=lambda j: WORST_FIRST.index(j.verdict)))
