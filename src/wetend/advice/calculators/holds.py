"""Calculators of outside leakage: pressure hold, and creep both ways."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output, Value
from wetend.advice.prove.hold import HELD
from wetend.advice.prove.outside_leak import both_ways, flow_of, travel_cost
from wetend.advice.safety.hazards import caution
from wetend.errors import BadInput, Problem
from wetend.stats.uncertainty import HALF_90, Estimate, propagate
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import (
    M3,
    LeakFlow,
    M,
    M3PerPa,
    M3Small,
    Pa,
    Percent,
    Ratio,
    S,
    unit_of,
)

_NO_TEST = Message(
    "Not a test of outside leakage: hose pressure can move the rod, so leakage "
    "through the pump's own valves is included. Keep the rod from moving, or "
    "stall it both ways (outside-leak)."
)


class PressureHold(Noun):
    """A shut pump, hose and gun losing pressure."""

    start: Pa = Field(ge=1000, le=2e8, description=Message("Gauge at the start"))
    end: Pa = Field(ge=0, le=2e8, description=Message("Gauge at the end"))
    time: S = Field(ge=0.1, le=86400)
    growth: M3PerPa = Field(
        ge=0, le=1e-6, description=Message("Volume the hoses gain per pressure, all together")
    )
    volume: M3 = Field(
        default=0.0, ge=0, le=10, description=Message("Liquid shut in, hoses and pump")
    )
    compressibility: Ratio = Field(
        default=6e-10, ge=0, le=1e-8, description=Message("Of the liquid, per pascal")
    )
    pressure: Pa | None = Field(
        default=None, ge=1000, le=2e8, description=Message("Leak wanted at; blank: at the start")
    )
    gauge_spread: Pa = Field(default=3e5, ge=0, le=1e7, description=Message("Standard uncertainty"))
    growth_spread: Percent = Field(
        default=0.25,
        ge=0,
        le=1,
        description=Message("Relative standard uncertainty of the compliance"),
    )
    rod_held: Literal["not known", "drive fluid trapped", "cock at the outlet", "drive vented"] = (
        Field(default="not known", description=Message("What keeps the rod from moving"))
    )
    bore: M | None = Field(
        default=None, ge=0.001, le=1, description=Message("For the volume a moving rod takes up")
    )
    rod: M | None = Field(default=None, ge=0.001, le=1, description=Message("Its diameter"))
    travel: M | None = Field(
        default=None, ge=0, le=2, description=Message("Of the rod; half a stroke, say")
    )


def _travel_costs(given: PressureHold, compliance: M3PerPa) -> dict[str, Value]:
    """What the rod's travel takes from the line, where bore, rod and travel are given."""
    if given.bore is None or given.rod is None or given.travel is None:
        return {}
    if given.rod >= given.bore:
        sentence = Message("The rod is thinner than the bore.")
        raise BadInput(sentence, (Problem("rod", sentence),))
    rod = math.pi / 4 * given.rod**2
    annulus = math.pi / 4 * given.bore**2 - rod
    return {
        "travel_up": travel_cost(rod, given.travel, compliance),
        "travel_down": travel_cost(annulus, given.travel, compliance),
    }


def _pressure_hold(given: PressureHold) -> Outcome:
    if given.end >= given.start:
        sentence = Message(
            "The gauge did not fall; a hold that gains pressure is warming up or is fed."
        )
        raise BadInput(sentence, (Problem("end", sentence),))
    compliance = given.growth + given.compressibility * given.volume
    if compliance <= 0:
        sentence = Message("Enter the growth of the hoses, or the volume of liquid shut in")
        raise BadInput(sentence + ".", (Problem("growth", sentence + "."),))
    costs = _travel_costs(given, compliance)
    if given.rod_held not in HELD:
        lost = {"volume_lost": compliance * (given.start - given.end), "compliance": compliance}
        return Outcome({**lost, **costs}, (_NO_TEST,))
    at = given.pressure or given.start
    end = max(given.end, given.start * 1e-6)

    def leak(x: dict[str, float]) -> float:
        fell = max(x["start"], 1.0) / max(x["end"], 1.0)
        return x["compliance"] / given.time * math.log(fell) * at

    budget = propagate(
        lambda x: leak(dict(x)),
        {
            "start": Estimate(given.start, given.gauge_spread),
            "end": Estimate(end, min(given.gauge_spread, end / 2)),
            "compliance": Estimate(compliance, compliance * given.growth_spread),
        },
    )
    off = HALF_90 * budget.uncertainty
    cautions = []
    if given.start - given.end < 2 * given.gauge_spread:
        cautions.append(Message("It fell by less than the gauge can show: wait longer."))
    return Outcome(
        {
            "leak": budget.value,
            "leak_low": max(budget.value - off, 0.0),
            "leak_high": budget.value + off,
            "volume_lost": compliance * (given.start - given.end),
            "compliance": compliance,
            **costs,
        },
        tuple(cautions),
    )


class BothCreeps(Noun):
    """How far a stalled rod crept each way, after the first minute."""

    bore: M = Field(ge=0.001, le=1)
    rod: M = Field(ge=0.001, le=1, description=Message("Its diameter"))
    moved_up: M = Field(ge=0, le=1, description=Message("Between the marks, stalled going up"))
    moved_down: M = Field(ge=0, le=1, description=Message("Between the marks, stalled going down"))
    time: S = Field(ge=1, le=3600, description=Message("Between the marks, each way"))
    rule_spread: M = Field(default=1e-3, ge=0, le=0.1, description=Message("Standard uncertainty"))
    watch_spread: S = Field(default=1.0, ge=0, le=60, description=Message("Standard uncertainty"))


def _outside_leak(given: BothCreeps) -> Outcome:
    if given.rod >= given.bore:
        sentence = Message("The rod is thinner than the bore.")
        raise BadInput(sentence, (Problem("rod", sentence),))
    rod = math.pi / 4 * given.rod**2
    annulus = math.pi / 4 * given.bore**2 - rod
    spreads = {"rule": given.rule_spread, "watch": given.watch_spread}
    up = flow_of(given.moved_up, given.time, annulus, **spreads)
    down = flow_of(given.moved_down, given.time, rod, **spreads)
    both = both_ways(up, down, annulus=annulus, rod=rod)
    outside = both.shared if both.alike else both.most
    said = Message("Both ways lose the same: a leak to the outside.") if both.alike else (
        Message("Nothing is seen to be lost.") if not (up.seen or down.seen) else
        Message("Not the same both ways: at most the smaller is lost outside.")
    )  # fmt: skip
    return Outcome({
        "up": up.value, "up_spread": up.spread, "down": down.value, "down_spread": down.spread,
        "says": said, "outside": outside.value, "outside_spread": outside.spread,
    })  # fmt: skip


_LEAK = unit_of(LeakFlow)
CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="pressure-hold",
        title=Message("Leak from a falling gauge"),
        inputs=PressureHold,
        outputs={
            "leak": Output(_LEAK, Message("Leak at that pressure")),
            "leak_low": Output(_LEAK, Message("Lower end of the 90 % interval")),
            "leak_high": Output(_LEAK, Message("Upper end of the 90 % interval")),
            "volume_lost": Output(unit_of(M3Small), Message("Volume lost in the hold")),
            "compliance": Output(unit_of(M3PerPa), Message("Compliance of hose and liquid")),
            "travel_up": Output(unit_of(Pa), Message("Taken up by the rod's travel, going up")),
            "travel_down": Output(unit_of(Pa), Message("and going down")),
        },
        compute=_pressure_hold,
        formula="q(p) = p C/t ln(p0/p1), C = hose growth + compressibility x volume; a rod that "
        "moves x takes A x / C, A = A_r going up, A_u going down",
        source="Volume balance with a leak in proportion to pressure; spread by JCGM 100:2008, "
        "5.1.2",
        validity=Message(
            "Hose settled, temperature steady, leak laminar, no gas shut in, and nothing that can "
            "move the rod: drive fluid trapped, or a cock at the outlet."
        ),
        warns=(caution("injection"), caution("rod-moves")),
        example={
            "start": "250 bar",
            "end": "236 bar",
            "time": "60 s",
            "growth": "0.64 mL/bar",
            "volume": "2.3 L",
            "rod_held": "drive fluid trapped",
            "bore": "38 mm",
            "rod": "27 mm",
            "travel": "40 mm",
        },
    ),
    Calculator(
        name="outside-leak",
        title=Message("A leak to the outside from creep both ways"),
        inputs=BothCreeps,
        outputs={
            "up": Output(_LEAK, Message("Lost going up")),
            "up_spread": Output(_LEAK, Message("Its standard uncertainty")),
            "down": Output(_LEAK, Message("Lost going down")),
            "down_spread": Output(_LEAK, Message("Its standard uncertainty")),
            "says": Output(None, Message("Conclusion")),
            "outside": Output(_LEAK, Message("Lost outside; at most this, where the two differ")),
            "outside_spread": Output(_LEAK, Message("Its standard uncertainty")),
        },
        compute=_outside_leak,
        formula="q_up = v_up A_u, q_down = v_down A_r",
        source="Volume balance: without an outlet valve an outside leak works both ways alike "
        "(common practice, no source)",
        validity=Message(
            "Same supply both ways, after the first minute; both valves passing just alike would "
            "read the same."
        ),
        warns=(caution("injection"), caution("rod-moves")),
        example={
            "bore": "38 mm",
            "rod": "27 mm",
            "moved_up": "25.5 mm",
            "moved_down": "25 mm",
            "time": "60 s",
        },
    ),
)
"""The calculators of this family."""
