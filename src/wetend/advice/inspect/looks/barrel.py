"""What rods and cylinders look like."""

from __future__ import annotations

import math

from wetend.advice.inspect.looks.look import Gauge, Look, Looks, checks_on, depth_gauge, upper
from wetend.advice.reasons import Verdict
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import CylinderMeasured, RodMeasured
from wetend.units.message import Message
from wetend.units.quantity import M

_LEAST_END: M = 2e-3
_PLACES = 3


def rods(pump: Pump, coating: Coating | None) -> Looks:
    """A rod's looks."""
    rod, by = pump.rod, Gauge("micrometer", "outside")
    new, middle = rod.diameter, 0.5 * (rod.packed_from + rod.packed_to)
    loss = upper(pump, coating, RodMeasured(diameters=(new,)), "Rod's loss of diameter")
    three = Message("Measure the diameter at three places in the packed travel, both ways.")
    worn = by.good(loss, new)
    if worn is not None:
        yield Look(
            "new",
            Message("New: bright and whole"),
            Verdict.KEEP,
            RodMeasured(diameters=(new,) * _PLACES, chrome="whole", ends="sound"),
            three,
            0.0,
            loss,
        )
        yield Look(
            "worn",
            Message("Polished where the packings run"),
            Verdict.KEEP,
            RodMeasured(diameters=(new - worn,) * _PLACES, chrome="whole"),
            three,
            worn,
            loss,
        )
    yield Look(
        "limit",
        Message("Worn to its limit"),
        Verdict.MEASURE_AGAIN,
        RodMeasured(diameters=(new - loss,) * _PLACES),
        three,
        loss,
        loss,
    )
    trial = RodMeasured(scratch_depth=1e-6, scratch_at=middle)
    limit = upper(pump, coating, trial, "Scratch in the packed travel")
    gauge = depth_gauge(limit)
    deep = gauge.bad(limit)
    edge = Message(
        "Draw a fingernail across it; then straightedge and light for its depth, and a "
        "rule for its place."
    )
    if deep is not None:
        yield Look(
            "dent",
            Message("Dent in the chrome"),
            Verdict.REPLACE,
            RodMeasured(scratch_depth=deep, scratch_at=middle, depth_by=gauge.instrument),
            edge,
            deep,
            limit,
        )
        yield Look(
            "scratch",
            Message("Scratch along the packed travel"),
            Verdict.REPLACE,
            RodMeasured(scratch_depth=deep, scratch_at=middle, depth_by=gauge.instrument),
            edge,
            deep,
            limit,
        )
        if rod.packed_from >= _LEAST_END:
            yield Look(
                "outside",
                Message("Scratch outside the packed travel"),
                Verdict.DRESS,
                RodMeasured(
                    scratch_depth=deep, scratch_at=rod.packed_from / 2, depth_by=gauge.instrument
                ),
                Message("Measure its distance from the lower end with a rule."),
                deep,
                limit,
            )
    yield Look(
        "chrome",
        Message("Chrome flaking or lost"),
        Verdict.REPLACE,
        RodMeasured(chrome="flaking or lost"),
        Message("Look along it against the light; feel the edge with a fingernail."),
    )
    yield Look(
        "bruised",
        Message("Rod end bruised"),
        Verdict.DRESS,
        RodMeasured(ends="bruised"),
        Message("Try coupling or collets on it by hand."),
    )


def cylinders(pump: Pump, coating: Coating | None) -> Looks:
    """A cylinder's looks."""
    bore, by = pump.cylinder.bore, Gauge("bore gauge", "bore")
    six = (bore,) * 6
    probe = checks_on(pump, coating, CylinderMeasured(diameters=six))
    growth = probe["Growth of the bore"].upper or 0.0
    oval = probe["Bore out of round"].upper or 0.0
    taper = probe["Taper of the bore"].upper or 0.0
    turned = Gauge("bore gauge", "bore", math.sqrt(2))
    whole = turned.good(oval, bore) is not None and by.good(taper, bore) is not None
    count = 6 if whole else 1
    gauge = Message("Measure with a bore gauge at three heights, two directions at each.")
    worn = by.good(growth, bore)
    if worn is not None:
        yield Look(
            "new",
            Message("New: honed all over"),
            Verdict.KEEP,
            CylinderMeasured(diameters=(bore,) * count),
            gauge,
            0.0,
            growth,
        )
        yield Look(
            "worn",
            Message("Polished where the piston runs"),
            Verdict.KEEP,
            CylinderMeasured(diameters=(bore + worn,) * count),
            gauge,
            worn,
            growth,
        )
    yield Look(
        "limit",
        Message("Worn to its limit"),
        Verdict.MEASURE_AGAIN,
        CylinderMeasured(diameters=(bore + growth,) * count),
        gauge,
        growth,
        growth,
    )
    out = turned.bad(oval, bore)
    if out is not None:
        yield Look(
            "oval",
            Message("Out of round"),
            Verdict.REPLACE,
            CylinderMeasured(diameters=(bore, bore + out) * 3),
            gauge,
            out,
            oval,
        )
    trial = CylinderMeasured(score_depth=1e-6, score_direction="lengthwise")
    limit = upper(pump, coating, trial, "Depth of the lengthwise score")
    fine = depth_gauge(limit)
    deep = fine.bad(limit)
    if deep is not None:
        yield Look(
            "score",
            Message("Score along the bore"),
            Verdict.REPLACE,
            CylinderMeasured(
                score_depth=deep,
                score_direction="lengthwise",
                depth_by=fine.instrument,
            ),
            Message("Draw a fingernail across it; then straightedge and light for its depth."),
            deep,
            limit,
        )
    yield Look(
        "round",
        Message("Mark round the bore"),
        Verdict.DRESS,
        CylinderMeasured(score_direction="round"),
        Message("See that it runs round, and feel its edge with a fingernail."),
    )
