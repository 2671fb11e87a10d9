"""What balls and seats look like."""

from __future__ import annotations

import math

from wetend.advice.inspect.looks.look import Gauge, Look, Looks, checks_on, depth_gauge, upper
from wetend.advice.inspect.valve import LAPPED_OUT, can_be_lapped, valve_at
from wetend.advice.reasons import Verdict
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import BallMeasured, End, SeatMeasured
from wetend.pump.parts import Valve
from wetend.units.message import Message
from wetend.units.quantity import M, MFine

CHIP_WIDE: M = 1.5e-3
GROOVE_WIDE: M = 0.5e-3
"""Breadth of a chip and of a washed groove as drawn: common practice, no source."""
_NEW_BAND = 0.1
"""Share of the widest band that a new seat's line of contact is drawn with."""
_DIAMETERS = Message("Measure four diameters with a micrometer, turning the ball in between.")


def _brittle(valve: Valve) -> bool:
    return valve.ball_material.startswith(("ceramic", "tungsten-carbide"))


def balls(pump: Pump, coating: Coating | None, end: End) -> Looks:
    """A ball's looks."""
    valve = valve_at(pump, end)
    new, by = valve.ball_diameter, Gauge("micrometer", "outside")
    probe = checks_on(pump, coating, BallMeasured(end=end, diameters=(new, new)))
    loss = probe["Ball's loss of diameter"].upper or 0.0
    uneven = probe["Ball out of round"].upper or 0.0
    turned = Gauge("micrometer", "outside", math.sqrt(2))
    four = 4 if turned.good(uneven, new) is not None else 1
    worn = by.good(loss, new)
    if worn is not None:
        yield Look(
            "new",
            Message("New: bright, no band"),
            Verdict.KEEP,
            BallMeasured(end=end, diameters=(new,) * four, marks="none"),
            _DIAMETERS,
            0.0,
            loss,
        )
        marks = "none" if _brittle(valve) else "fine marks"
        yield Look(
            "worn",
            Message("Worn evenly, a fine dull band"),
            Verdict.KEEP,
            BallMeasured(end=end, diameters=(new - worn,) * four, marks=marks),
            _DIAMETERS,
            worn,
            loss,
        )
    yield Look(
        "limit",
        Message("Worn to its limit"),
        Verdict.MEASURE_AGAIN,
        BallMeasured(end=end, diameters=(new - loss,) * four, marks="none"),
        _DIAMETERS,
        loss,
        loss,
    )
    oval = turned.bad(uneven, new)
    if oval is not None:
        yield Look(
            "oval",
            Message("Out of round"),
            Verdict.REPLACE,
            BallMeasured(end=end, diameters=(new, new - oval, new, new - oval / 2)),
            _DIAMETERS,
            oval,
            uneven,
        )
    glass = Message("Look with a glass, and feel with a fingernail round the band.")
    yield Look(
        "dents",
        Message("Dents or scars in the band"),
        Verdict.REPLACE,
        BallMeasured(end=end, marks="dents or scars"),
        glass,
    )
    yield Look(
        "cracked",
        Message("Cracked or chipped"),
        Verdict.REPLACE,
        BallMeasured(end=end, marks="cracked or chipped"),
        glass,
    )


def _failing(valve: Valve, faces_used: int, depth: MFine) -> Verdict:
    """What becomes of a seat with a mark so deep: turned, lapped, or replaced."""
    if valve.reversible and faces_used == 0:
        return Verdict.TURN
    return Verdict.DRESS if can_be_lapped(valve) and depth <= LAPPED_OUT else Verdict.REPLACE


def seats(pump: Pump, coating: Coating | None, end: End, faces_used: int) -> Looks:
    """A seat's looks, so many of its faces used already."""
    valve, by = valve_at(pump, end), Gauge("calliper", "width")
    start = SeatMeasured(end=end, faces_used=faces_used)
    widest = valve.band_limit
    across = Message("Measure the band's width with a calliper at four places round.")
    if by.good(widest) is not None:
        worn = min(by.good(widest) or 0.0, 0.5 * widest)
        yield Look(
            "new",
            Message("New: a thin bright line"),
            Verdict.KEEP,
            start.model_copy(
                update={"band_width": min(_NEW_BAND * widest, worn), "concentric": "yes"}
            ),
            across,
            min(_NEW_BAND * widest, worn),
            widest,
        )
        yield Look(
            "worn",
            Message("Worn, band even all round"),
            Verdict.KEEP,
            start.model_copy(update={"band_width": worn, "concentric": "yes"}),
            across,
            worn,
            widest,
        )
    yield Look(
        "limit",
        Message("Band at its widest"),
        Verdict.MEASURE_AGAIN,
        start.model_copy(update={"band_width": widest}),
        across,
        widest,
        widest,
    )
    spent = Verdict.TURN if valve.reversible and faces_used == 0 else Verdict.REPLACE
    yield Look(
        "off-centre",
        Message("Band off centre"),
        spent,
        start.model_copy(update={"concentric": "no"}),
        across,
        0.0,
        widest,
    )
    for key, title, wide in (
        ("chip", Message("Chip in the cone's edge"), CHIP_WIDE),
        ("groove", Message("Groove washed across the cone"), GROOVE_WIDE),
    ):
        trial = start.model_copy(update={"chip_depth": 1e-5, "chip_width": wide})
        limit = upper(pump, coating, trial, "Depth of chip or groove")
        gauge = depth_gauge(limit)
        deep = gauge.bad(limit)
        if deep is not None:
            yield Look(
                key,
                title,
                _failing(valve, faces_used, deep),
                start.model_copy(
                    update={"chip_depth": deep, "chip_width": wide, "depth_by": gauge.instrument}
                ),
                Message("Measure depth by straightedge and light, width by calliper."),
                deep,
                limit,
            )
