"""The cylinder judged."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wetend.advice.inspecting.damage import Path, damage_of
from wetend.advice.inspecting.figures import believable, slip
from wetend.advice.inspecting.judgement import Check, PartJudgement, Seen, judged
from wetend.advice.inspecting.limits import Limit, Reading, check
from wetend.advice.inspecting.rod import score
from wetend.advice.reasons import Verdict
from wetend.errors import BadInput
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import CylinderMeasured
from wetend.pump.parts import Cylinder
from wetend.units.quantity import M, MFine, unit_of


def judge_cylinder(
    pump: Pump, coating: Coating | None, cylinder: CylinderMeasured
) -> PartJudgement:
    """A cylinder by its bore diameters and scores.

    Raises:
        BadInput: nothing was measured or seen.
    """
    checks = tuple(_checks(pump.cylinder, cylinder))
    seen = tuple(_seen(pump.cylinder, cylinder))
    if not checks and not seen:
        raise BadInput("Nothing measured on the cylinder: give bore diameters, or a score.")
    return judged(
        "cylinder",
        checks=checks,
        seen=seen,
        damage=damage_of(pump, coating, _score(pump, cylinder)),
        advice=tuple(_advice(cylinder)),
    )


def pairs(diameters: Sequence[M]) -> tuple[tuple[M, M], ...]:
    """Diameters at right angles, height by height; a last one without its mate is left out."""
    return tuple(zip(diameters[::2], diameters[1::2], strict=False))


def ovality(diameters: Sequence[M]) -> M:
    """Greatest difference of two diameters at right angles at one height.

    >>> ovality([0.0380, 0.03805, 0.0380, 0.03802]) * 1e6
    50.0
    """
    return max(abs(one - other) for one, other in pairs(diameters))


def taper(diameters: Sequence[M]) -> M:
    """Greatest difference of mean diameter between heights.

    >>> taper([0.0380, 0.0380, 0.03802, 0.03806]) * 1e6
    40.0
    """
    means = [(one + other) / 2 for one, other in pairs(diameters)]
    return max(means) - min(means)


def _checks(cylinder: Cylinder, measured: CylinderMeasured) -> Iterator[Check]:
    fine, source, instrument = unit_of(MFine), cylinder.limits_from, measured.instrument
    diameters = measured.diameters if believable(measured.diameters, cylinder.bore) else ()
    if diameters:
        most = max(diameters)
        wear = Reading("Growth of the bore", most - cylinder.bore, most, "bore", instrument)
        limit = Limit(fine, upper=cylinder.wear_limit, source=source, then="A new cylinder.")
        yield check(wear, limit)
    if len(diameters) >= 2:
        oval = Reading("Bore out of round", ovality(diameters), max(diameters), "bore", instrument,
                       math.sqrt(2))  # fmt: skip
        limit = Limit(fine, upper=cylinder.oval_limit, source=source, then="A new cylinder.")
        yield check(oval, limit)
    if len(diameters) >= 4:
        cone = Reading("Taper of the bore", taper(diameters), max(diameters), "bore", instrument)
        limit = Limit(fine, upper=cylinder.taper_limit, source=source, then="A new cylinder.")
        yield check(cone, limit)
    if measured.score_depth is not None and measured.score_direction != "round":
        deep = Reading("Depth of the lengthwise score", measured.score_depth, measured.score_depth,
                        "depth", measured.depth_by)  # fmt: skip
        then = "A new cylinder: something hard was dragged along it, and packings can't close it."
        yield check(deep, Limit(fine, upper=cylinder.score_limit, source=source, then=then))


def _seen(cylinder: Cylinder, measured: CylinderMeasured) -> Iterator[Seen]:
    if not believable(measured.diameters, cylinder.bore):
        yield slip("A bore diameter")
    if measured.score_direction == "round":
        yield Seen(
            Verdict.DRESS,
            "A mark round the bore passes little, but its edge wears packings: smooth the edge "
            "with fine cloth, round the bore and never along it.",
        )
    elif measured.score_direction == "lengthwise" and measured.score_depth is None:
        yield Seen(Verdict.MEASURE_AGAIN, "A lengthwise score needs its depth.")


def _advice(measured: CylinderMeasured) -> Iterator[str]:
    if measured.score_direction == "lengthwise":
        yield (
            "A bore scored along its length dragged something hard: look for it in the piston, the "
            "packings and the strainer before fitting new parts."
        )
    if len(measured.diameters) < 4:
        yield "Measure two diameters at right angles at top, middle and bottom of the stroke."
    yield "Moving packings go with a new cylinder."


def _score(pump: Pump, measured: CylinderMeasured) -> Path | None:
    """A lengthwise score is a channel past the moving packings."""
    if measured.score_direction == "round":
        return None
    length = pump.moving_packings.height
    return score(measured.score_depth, measured.score_width, length, "moving packings")
