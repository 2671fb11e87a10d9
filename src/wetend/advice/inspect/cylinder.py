"""Judgement of the cylinder."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wetend.advice.inspect.damage import Path, damage_of, limits_of
from wetend.advice.inspect.effect import bound
from wetend.advice.inspect.figures import believable, slip
from wetend.advice.inspect.judgement import Check, PartJudgement, Seen, judged
from wetend.advice.inspect.limits import Limit, Reading, check
from wetend.advice.inspect.rings import past_rings, taken_up
from wetend.advice.inspect.rod import score
from wetend.advice.prove.limits import Allowed
from wetend.advice.reasons import Figure, Verdict
from wetend.errors import BadInput, Problem
from wetend.physics.circle import Circle, least_squares_circle, minimum_zone_circle
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import CylinderMeasured
from wetend.pump.parts import Cylinder
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, unit_of
from wetend.units.stated import stated

LEAST_ROUND = 7
"""Fewer dial readings can miss a bore of three lobes: common practice, no source."""


def judge_cylinder(
    pump: Pump, coating: Coating | None, cylinder: CylinderMeasured
) -> PartJudgement:
    """A cylinder by its bore diameters and scores.

    Raises:
        BadInput: nothing was measured or seen.
    """
    _placed(cylinder)
    checks = tuple(_checks(pump, cylinder, limits_of(pump, coating)))
    seen = tuple(_seen(pump.cylinder, cylinder))
    if not checks and not seen:
        raise BadInput(
            Message("Nothing measured on the cylinder: enter bore diameters, or a score.")
        )
    return judged(
        "cylinder",
        checks=checks,
        seen=seen,
        damage=damage_of(pump, coating, _score(pump, cylinder), _worn(pump, coating, cylinder)),
        advice=tuple(_advice(cylinder)),
        figures=tuple(_figures(pump, cylinder)),
    )


def groups(diameters: Sequence[M], each: int = 2) -> tuple[tuple[M, ...], ...]:
    """Diameters height by height, so many at each; a last group that is not whole is left out."""
    whole = len(diameters) // each * each
    return tuple(tuple(diameters[i : i + each]) for i in range(0, whole, each))


def ovality(diameters: Sequence[M], each: int = 2) -> M:
    """Greatest difference of diameters turned between at one height.

    >>> ovality([0.0380, 0.03805, 0.0380, 0.03802]) * 1e6
    50.0
    """
    return max(max(group) - min(group) for group in groups(diameters, each))


def taper(diameters: Sequence[M], each: int = 2) -> M:
    """Greatest difference of mean diameter between heights.

    >>> taper([0.0380, 0.0380, 0.03802, 0.03806]) * 1e6
    40.0
    """
    means = [math.fsum(group) / each for group in groups(diameters, each)]
    return max(means) - min(means)


def dial_circles(bore: M, dial: Sequence[MFine]) -> tuple[Circle, Circle]:
    """Least-squares circle and narrowest ring through dial readings evenly spaced round a bore."""
    turns = [math.tau * k / len(dial) for k in range(len(dial))]
    radii = [bore / 2 + reading for reading in dial]
    x = [r * math.cos(a) for r, a in zip(radii, turns, strict=True)]
    y = [r * math.sin(a) for r, a in zip(radii, turns, strict=True)]
    return least_squares_circle(x, y), minimum_zone_circle(x, y)


def _placed(measured: CylinderMeasured) -> None:
    """See that heights and dial readings can be understood."""
    known = len(groups(measured.diameters, measured.per_height))
    if measured.heights and len(measured.heights) != known:
        sentence = Message(
            "Enter a height for each of the {known} groups of diameters, or for none.", known=known
        )
        raise BadInput(sentence, (Problem("heights", sentence),))
    if measured.dial and len(measured.dial) < LEAST_ROUND:
        sentence = Message(
            "Take at least {least_round} dial readings round the bore.", least_round=LEAST_ROUND
        )
        raise BadInput(sentence, (Problem("dial", sentence),))


def _figures(pump: Pump, measured: CylinderMeasured) -> Iterator[Figure]:
    """Mean diameter and ovality height by height; roundness from the dial both ways."""
    cylinder, size, fine = pump.cylinder, unit_of(M), unit_of(MFine)
    if measured.diameters and believable(measured.diameters, cylinder.bore):
        yield taken_up(pump.moving_packings, (max(measured.diameters) - cylinder.bore) / 2)
    if measured.heights and believable(measured.diameters, cylinder.bore):
        found = groups(measured.diameters, measured.per_height)
        for at, group in sorted(zip(measured.heights, found, strict=True)):
            place = Message("{height} up", height=stated(f"{at * 1000.0:.0f} mm"))
            yield Figure(
                Message("Mean diameter {place}", place=place), math.fsum(group) / len(group), size
            )
            if len(group) > 1:
                yield Figure(
                    Message("Out of round {place}", place=place), max(group) - min(group), fine
                )
    if measured.dial:
        fit, ring = dial_circles(cylinder.bore, measured.dial)
        yield Figure(Message("Roundness about the least-squares circle"), fit.roundness, fine)
        yield Figure(Message("Roundness, minimum zone"), ring.roundness, fine)
        off = math.hypot(fit.x, fit.y)
        yield Figure(Message("Dial off the bore's centre by"), off, fine)


def _checks(pump: Pump, measured: CylinderMeasured, limits: Allowed | None) -> Iterator[Check]:
    cylinder = pump.cylinder
    fine = unit_of(MFine)
    yield from _size_checks(pump, measured, limits)
    if measured.dial:
        ring = dial_circles(cylinder.bore, measured.dial)[1]
        # a dial tells differences of a radius; twice that stands against a limit on diameters
        round_ = Reading(
            Message("Bore out of round, twice the minimum zone"),
            2 * ring.roundness,
            cylinder.bore,
            "run-out",
            "bore gauge",
            2 * math.sqrt(2),
        )
        yield check(round_, _limit(pump, limits, cylinder.oval_limit, _OVAL))
    if measured.score_depth is not None and measured.score_direction != "round":
        deep = Reading(
            Message("Depth of the lengthwise score"),
            measured.score_depth,
            measured.score_depth,
            "depth",
            measured.depth_by,
        )
        then = Message(
            "Fit a new cylinder: something hard was dragged along it, and packings can't seal it."
        )
        most = bound(
            cylinder.score_limit, cylinder.limits_from, limits,
            path_of=lambda depth: _score_of(pump, depth, measured.score_width),
            allowed=lambda at: at.piston_leak,
        )  # fmt: skip
        yield check(deep, Limit(fine, upper=most.depth, source=most.source, then=then))


_EVEN, _OVAL = (0.5, 0.0), (0.25, 0.25)
"""Even growth and swing of the radius over the figure held against a limit: a bore wider all round
(or at one end) by so much, and one as wide as new one way and wider across."""


def _limit(
    pump: Pump, limits: Allowed | None, described: MFine, opens: tuple[float, float]
) -> Limit:
    """A limit on the bore's size: the described one, or where a new set would leak too much."""
    even, swing = opens

    def path_of(size: MFine) -> Path | None:
        if limits is None:
            return None
        packings, bore = pump.moving_packings, pump.cylinder.bore
        return past_rings(packings, bore, limits, even=even * size, swing=swing * size)

    most = bound(
        described, pump.cylinder.limits_from, limits, path_of=path_of,
        allowed=lambda at: at.piston_leak,
    )  # fmt: skip
    return Limit(
        unit_of(MFine), upper=most.depth, source=most.source, then=Message("Fit a new cylinder.")
    )


def _size_checks(pump: Pump, measured: CylinderMeasured, limits: Allowed | None) -> Iterator[Check]:
    cylinder, instrument, each = pump.cylinder, measured.instrument, measured.per_height
    diameters = measured.diameters if believable(measured.diameters, cylinder.bore) else ()
    if diameters:
        most = max(diameters)
        wear = Reading(
            Message("Growth of the bore"), most - cylinder.bore, most, "bore", instrument
        )
        yield check(wear, _limit(pump, limits, cylinder.wear_limit, _EVEN))
    if len(diameters) >= each > 1:
        oval = Reading(
            Message("Bore out of round"),
            ovality(diameters, each),
            max(diameters),
            "bore",
            instrument,
            math.sqrt(2),
        )
        yield check(oval, _limit(pump, limits, cylinder.oval_limit, _OVAL))
    if len(diameters) >= 2 * each:
        spread = math.sqrt(2 / each)
        cone = Reading(Message("Taper of the bore"), taper(diameters, each), max(diameters), "bore",
                       instrument, spread)  # fmt: skip
        yield check(cone, _limit(pump, limits, cylinder.taper_limit, _EVEN))


def _seen(cylinder: Cylinder, measured: CylinderMeasured) -> Iterator[Seen]:
    if not believable(measured.diameters, cylinder.bore):
        yield slip(Message("A bore diameter"))
    if measured.score_direction == "round":
        yield Seen(
            Verdict.DRESS,
            Message(
                "A mark round the bore passes little, but its edge wears packings: smooth "
                "the edge with fine cloth, round the bore and never along it."
            ),
        )
    elif measured.score_direction == "lengthwise" and measured.score_depth is None:
        yield Seen(Verdict.MEASURE_AGAIN, Message("A lengthwise score needs its depth."))


def _advice(measured: CylinderMeasured) -> Iterator[str]:
    if measured.score_direction == "lengthwise":
        yield (
            Message(
                "A bore scored along its length dragged something hard: look for it in the "
                "piston, the packings and the strainer before fitting new parts."
            )
        )
    if len(measured.diameters) < 4:
        yield Message(
            "Measure two diameters at right angles at top, middle and bottom of the stroke."
        )
    yield Message("Moving packings go with a new cylinder.")


def _score(pump: Pump, measured: CylinderMeasured) -> Path | None:
    """A lengthwise score is a channel past the moving packings."""
    if measured.score_direction == "round":
        return None
    return _score_of(pump, measured.score_depth, measured.score_width)


def _score_of(pump: Pump, depth: MFine | None, width: M | None) -> Path | None:
    return score(depth, width, pump.moving_packings.height, Message("moving packings"))


def _worn(pump: Pump, coating: Coating | None, measured: CylinderMeasured) -> Path | None:
    """What a new set would leave open at the height where most would pass."""
    limits, bore = limits_of(pump, coating), pump.cylinder.bore
    if limits is None or not measured.diameters or not believable(measured.diameters, bore):
        return None
    found = groups(measured.diameters, measured.per_height) or ((max(measured.diameters),),)
    ways = (
        past_rings(
            pump.moving_packings, bore, limits,
            even=(math.fsum(group) / len(group) - bore) / 2, swing=(max(group) - min(group)) / 4,
        )
        for group in found
    )  # fmt: skip
    return max(ways, key=lambda path: path.gap)
