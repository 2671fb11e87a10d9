"""The piston rod judged."""

from __future__ import annotations

from collections.abc import Iterator

from wetend.advice.inspecting.damage import Path, damage_of
from wetend.advice.inspecting.figures import believable, marked, slip
from wetend.advice.inspecting.judgement import Check, PartJudgement, Seen, judged
from wetend.advice.inspecting.limits import Limit, Reading, check
from wetend.advice.reasons import Verdict
from wetend.errors import BadInput
from wetend.physics.channels import triangle
from wetend.physics.leakage import channel_passage
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import Instrument, RodMeasured
from wetend.pump.parts import Rod
from wetend.units.quantity import M, MFine, unit_of

RUN_OUT_BY: Instrument = "maker's gauge"
"""Run-out is read on a dial, the rod turned on its ends."""
RUN_OUT_LIMIT = 100e-6
"""Most run-out of a rod that is not to wear its packings to one side: common practice, no
source."""
SCORE_BREADTH = 4.0
"""Breadth of a scratch or score over its depth where it was not measured: common practice, no
source."""
_NEW_ROD = (
    "A new rod: rubbing a dent or scratch down does not restore it, and it cuts new packings."
)


def judge_rod(pump: Pump, coating: Coating | None, rod: RodMeasured) -> PartJudgement:
    """A rod by its diameter, scratches, chrome, run-out and ends.

    Raises:
        BadInput: nothing was measured or seen.
    """
    seen = tuple(_seen(pump.rod, rod))
    checks = tuple(_checks(pump.rod, rod))
    if not checks and not seen:
        raise BadInput("Nothing measured on the rod: give diameters, a scratch, or what was seen.")
    return judged(
        "rod",
        checks=checks,
        seen=seen,
        damage=damage_of(pump, coating, _scratch(pump, rod)),
        advice=tuple(_advice(pump.rod, rod)),
    )


def in_packed_travel(rod: Rod, measured: RodMeasured) -> bool:
    """Whether the scratch lies where packings run; where it was not said, it may."""
    at = measured.scratch_at
    return at is None or rod.packed_from <= at <= rod.packed_to


def _checks(rod: Rod, measured: RodMeasured) -> Iterator[Check]:
    fine, source = unit_of(MFine), rod.limits_from
    if measured.diameters and believable(measured.diameters, rod.diameter):
        least = min(measured.diameters)
        wear = Reading("Rod's loss of diameter", rod.diameter - least, least, "outside",
                       measured.instrument)  # fmt: skip
        yield check(wear, Limit(fine, upper=rod.wear_limit, source=source, then="A new rod."))
    if measured.scratch_depth is not None and in_packed_travel(rod, measured):
        scratch = Reading("Scratch in the packed travel", measured.scratch_depth,
                          measured.scratch_depth, "depth", measured.depth_by)  # fmt: skip
        limit = Limit(fine, upper=rod.scratch_limit, source=source, then=_NEW_ROD)
        yield check(scratch, limit)
    if measured.run_out is not None:
        run = Reading("Run-out", measured.run_out, measured.run_out, "run-out", RUN_OUT_BY)
        then = "A bent rod wears packings and gland to one side: a new rod."
        yield check(run, Limit(fine, upper=RUN_OUT_LIMIT, source="common practice", then=then))


def _seen(rod: Rod, measured: RodMeasured) -> Iterator[Seen]:
    if not believable(measured.diameters, rod.diameter):
        yield slip("A diameter")
    if measured.chrome == "flaking or lost":
        yield Seen(Verdict.REPLACE, "Chrome that flakes or is lost cuts packings: a new rod.")
    elif measured.chrome == "whole":
        yield Seen(Verdict.KEEP, "The chrome is whole.")
    if measured.ends == "bruised":
        yield Seen(
            Verdict.DRESS,
            "The rod end is bruised: dress raised metal until coupling or collets fit by hand; if "
            "they still don't, a new rod.",
        )
    elif measured.ends == "sound":
        yield Seen(Verdict.KEEP, "The rod end is sound.")
    if measured.scratch_depth and not in_packed_travel(rod, measured):
        yield Seen(
            Verdict.DRESS,
            "The scratch lies outside the packed travel: stone raised edges flush, so that "
            "packings can be fitted over it.",
        )


def _advice(rod: Rod, measured: RodMeasured) -> Iterator[str]:
    if measured.scratch_depth and measured.scratch_at is None:
        yield "Where is the scratch? Measure from the lower end: only the packed travel condemns."
    if measured.scratch_depth and in_packed_travel(rod, measured):
        yield "A scratch along the rod says something hard was in the packings: find it."
    if not measured.diameters:
        yield "Measure the diameter too, at three places within the packed travel."
    yield "Never grip the chrome: flats, or timber."


def _scratch(pump: Pump, measured: RodMeasured) -> Path | None:
    """A lengthwise scratch is a channel through the static packings."""
    if not in_packed_travel(pump.rod, measured):
        return None
    length = pump.static_packings.height
    return score(measured.scratch_depth, measured.scratch_width, length, "static packings")


def score(depth: MFine | None, width: M | None, length: M, past: str) -> Path | None:
    """A lengthwise V-shaped channel past a set of packings."""
    depth, width = marked(depth), marked(width)
    if depth is None:
        return None
    said = "as measured" if width else f"taken as {SCORE_BREADTH:.0f} depths"
    words = f"A lengthwise V past the whole set of {past}; breadth {said}."
    channel = triangle(depth, width or SCORE_BREADTH * depth)
    return Path(channel_passage(channel, length), depth, length, words)
