"""Judgement of the piston rod."""

from __future__ import annotations

from collections.abc import Iterator

from wetend.advice.inspect.damage import Path, damage_of, limits_of
from wetend.advice.inspect.effect import bound
from wetend.advice.inspect.figures import believable, marked, slip
from wetend.advice.inspect.judgement import Check, PartJudgement, Seen, judged
from wetend.advice.inspect.limits import Limit, Reading, check
from wetend.advice.inspect.rings import past_rings, taken_up
from wetend.advice.prove.limits import Allowed
from wetend.advice.reasons import Figure, Verdict
from wetend.errors import BadInput, Problem
from wetend.physics.channels import triangle
from wetend.physics.leakage import channel_passage
from wetend.physics.scored import Score
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import Instrument, RodMeasured
from wetend.pump.parts import Rod
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, unit_of
from wetend.units.stated import stated

RUN_OUT_BY: Instrument = "maker's gauge"
"""Run-out is read on a dial, the rod turned on its ends."""
RUN_OUT_LIMIT = 100e-6
"""Most run-out of a rod that is not to wear its packings to one side: common practice, no
source."""
SCORE_BREADTH = 4.0
"""Breadth of a scratch or score over its depth where it was not measured: common practice, no
source."""
_NEW_ROD = Message(
    "Fit a new rod: rubbing a dent or scratch down does not restore it, and it cuts new packings."
)


def judge_rod(pump: Pump, coating: Coating | None, rod: RodMeasured) -> PartJudgement:
    """A rod by its diameter, scratches, chrome, run-out and ends.

    Raises:
        BadInput: nothing was measured or seen.
    """
    _placed(rod)
    seen = tuple(_seen(pump.rod, rod))
    checks = tuple(_checks(pump, rod, limits_of(pump, coating)))
    if not checks and not seen:
        raise BadInput(
            Message("Nothing measured on the rod: enter diameters, a scratch, or what was seen.")
        )
    return judged(
        "rod",
        checks=checks,
        seen=seen,
        damage=damage_of(
            pump,
            coating,
            _scratch(pump, rod),
            _worn(pump, coating, rod),
            _past_bent(pump, limits_of(pump, coating), rod.run_out),
        ),
        advice=tuple(_advice(pump.rod, rod)),
        figures=tuple(_figures(pump, rod)),
    )


def _figures(pump: Pump, measured: RodMeasured) -> Iterator[Figure]:
    """Diameter station by station; within the packed travel or outside it."""
    rod = pump.rod
    if (thin := packed(rod, measured)) and believable(measured.diameters, rod.diameter):
        yield taken_up(pump.static_packings, (rod.diameter - min(thin)) / 2)
    if not measured.stations or not believable(measured.diameters, rod.diameter):
        return
    for at, diameter in sorted(zip(measured.stations, measured.diameters, strict=True)):
        where = (
            Message("packed travel")
            if rod.packed_from <= at <= rod.packed_to
            else Message("outside it")
        )
        yield Figure(
            Message("Diameter at {at}, {where}", at=stated(f"{at * 1000.0:.0f} mm"), where=where),
            diameter,
            unit_of(M),
        )
    worn = packed(rod, measured)
    free = [d for d in measured.diameters if d not in worn]
    if worn and free:
        yield Figure(
            Message("Wear against the part no packing touches"),
            max(free) - min(worn),
            unit_of(MFine),
        )


def in_packed_travel(rod: Rod, measured: RodMeasured) -> bool:
    """Whether the scratch lies where packings run; where it was not said, it may."""
    at = measured.scratch_at
    return at is None or rod.packed_from <= at <= rod.packed_to


def packed(rod: Rod, measured: RodMeasured) -> tuple[M, ...]:
    """Diameters taken where packings run; all of them where their places were not given."""
    if not measured.stations:
        return measured.diameters
    placed = zip(measured.stations, measured.diameters, strict=True)
    return tuple(d for at, d in placed if rod.packed_from <= at <= rod.packed_to)


def _placed(measured: RodMeasured) -> None:
    if measured.stations and len(measured.stations) != len(measured.diameters):
        sentence = Message(
            "Enter a place for each of the {diameters} diameters, or for none.",
            diameters=len(measured.diameters),
        )
        raise BadInput(sentence, (Problem("stations", sentence),))


def _checks(pump: Pump, measured: RodMeasured, limits: Allowed | None) -> Iterator[Check]:
    rod, fine = pump.rod, unit_of(MFine)
    if (worn := packed(rod, measured)) and believable(measured.diameters, rod.diameter):
        least = min(worn)
        wear = Reading(Message("Rod's loss of diameter"), rod.diameter - least, least, "outside",
                       measured.instrument)  # fmt: skip
        most = bound(
            rod.wear_limit, rod.limits_from, limits,
            path_of=lambda loss: _past_thinner(pump, limits, loss),
            allowed=lambda at: at.outside_leak,
        )  # fmt: skip
        yield check(
            wear, Limit(fine, upper=most.depth, source=most.source, then=Message("Fit a new rod."))
        )
    if measured.scratch_depth is not None and in_packed_travel(rod, measured):
        scratch = Reading(Message("Scratch in the packed travel"), measured.scratch_depth,
                          measured.scratch_depth, "depth", measured.depth_by)  # fmt: skip
        most = bound(
            rod.scratch_limit, rod.limits_from, limits,
            path_of=lambda depth: _scratch_of(pump, depth, measured.scratch_width),
            allowed=lambda at: at.outside_leak,
        )  # fmt: skip
        limit = Limit(fine, upper=most.depth, source=most.source, then=_NEW_ROD)
        yield check(scratch, limit)
    if measured.run_out is not None:
        run = Reading("Run-out", measured.run_out, measured.run_out, "run-out", RUN_OUT_BY)
        then = Message("A bent rod wears packings and gland to one side: fit a new rod.")
        most = bound(
            RUN_OUT_LIMIT, "common practice", limits,
            path_of=lambda size: _past_bent(pump, limits, size),
            allowed=lambda at: at.outside_leak,
        )  # fmt: skip
        yield check(run, Limit(fine, upper=most.depth, source=most.source, then=then))


def _seen(rod: Rod, measured: RodMeasured) -> Iterator[Seen]:
    if not believable(measured.diameters, rod.diameter):
        yield slip(Message("A diameter"))
    if measured.chrome == "flaking or lost":
        yield Seen(
            Verdict.REPLACE, Message("Chrome that flakes or is lost cuts packings: fit a new rod.")
        )
    elif measured.chrome == "whole":
        yield Seen(Verdict.KEEP, Message("The chrome is whole."))
    if measured.ends == "bruised":
        yield Seen(
            Verdict.DRESS,
            Message(
                "The rod end is bruised: dress raised metal until coupling or collets fit by "
                "hand; if they still don't, fit a new rod."
            ),
        )
    elif measured.ends == "sound":
        yield Seen(Verdict.KEEP, Message("The rod end is sound."))
    if measured.scratch_depth and not in_packed_travel(rod, measured):
        yield Seen(
            Verdict.DRESS,
            Message(
                "The scratch lies outside the packed travel: stone raised edges flush, so "
                "that packings can be fitted over it."
            ),
        )


def _advice(rod: Rod, measured: RodMeasured) -> Iterator[str]:
    if measured.scratch_depth and measured.scratch_at is None:
        yield (
            Message(
                "Enter where the scratch is, from the lower end: only one in the packed "
                "travel condemns the rod."
            )
        )
    if measured.scratch_depth and in_packed_travel(rod, measured):
        yield Message("A scratch along the rod means something hard was in the packings: find it.")
    if not packed(rod, measured):
        yield Message("Measure the diameter too, at three places within the packed travel.")
    yield Message("Never grip the chrome: flats, or timber.")


def _scratch(pump: Pump, measured: RodMeasured) -> Path | None:
    """A lengthwise scratch is a channel through the static packings."""
    if not in_packed_travel(pump.rod, measured):
        return None
    return _scratch_of(pump, measured.scratch_depth, measured.scratch_width)


def _worn(pump: Pump, coating: Coating | None, measured: RodMeasured) -> Path | None:
    """What new static packings would leave open round the rod where it is thinnest."""
    thin = packed(pump.rod, measured)
    if not thin or not believable(measured.diameters, pump.rod.diameter):
        return None
    return _past_thinner(pump, limits_of(pump, coating), pump.rod.diameter - min(thin))


def _past_thinner(pump: Pump, limits: Allowed | None, loss: MFine) -> Path | None:
    if limits is None:
        return None
    return past_rings(pump.static_packings, pump.rod.diameter, limits, even=loss / 2)


def _past_bent(pump: Pump, limits: Allowed | None, run_out: MFine | None) -> Path | None:
    """What new static packings would leave open beside a rod that swings by half its run-out.

    Round the rod the gap waves once instead of an oval's twice: the same gaps in another order.
    """
    if limits is None or marked(run_out) is None:
        return None
    swing = (run_out or 0.0) / 2
    return past_rings(pump.static_packings, pump.rod.diameter, limits, even=0.0, swing=swing)


def _scratch_of(pump: Pump, depth: MFine | None, width: M | None) -> Path | None:
    return score(depth, width, pump.static_packings.height, Message("static packings"))


def score(depth: MFine | None, width: M | None, length: M, past: str) -> Path | None:
    """A lengthwise V-shaped channel past a set of packings."""
    depth, width = marked(depth), marked(width)
    if depth is None:
        return None
    said = (
        Message("as measured")
        if width
        else Message("taken as {score_breadth:.0f} depths", score_breadth=SCORE_BREADTH)
    )
    words = Message(
        "A lengthwise V past the whole set of {past}; breadth {said}.", past=past, said=said
    )
    breadth = width or SCORE_BREADTH * depth
    passage = channel_passage(triangle(depth, breadth), length)
    return Path(passage, depth, length, words, Score("triangle", depth, breadth))
