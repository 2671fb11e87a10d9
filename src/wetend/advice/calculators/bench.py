"""Calculators for the bench: solvent test, bucket test, gland nut."""

from __future__ import annotations

import math

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output, Value
from wetend.advice.prove.limits import same_gap
from wetend.advice.pump_physics import CHIP_SHARE
from wetend.advice.safety.hazards import caution
from wetend.errors import BadInput, Problem
from wetend.materials.solvents import find_solvent
from wetend.physics.stroke.gap import Filling, GapPath, gap_of_leak
from wetend.physics.suction import static_head
from wetend.physics.threads import lever_force, pitch_diameter, raising_torque
from wetend.physics.valves import contact_diameter
from wetend.stats.uncertainty import HALF_90, Budget, Estimate, propagate
from wetend.units.message import Message
from wetend.units.noun import Noun, Slug
from wetend.units.quantity import (
    NM,
    KgPerM3,
    LeakFlow,
    M,
    M3Small,
    MFine,
    N,
    NPerM,
    Pa,
    PaS,
    Percent,
    Rad,
    Ratio,
    S,
    unit_of,
)
from wetend.units.stated import stated


class SolventPoured(Noun):
    """Solvent over a seated ball, what came through, and the coating to pump."""

    head: M = Field(ge=0.001, le=1, description=Message("Height of solvent over the ball"))
    time: S = Field(ge=0.1, le=7200, description=Message("Waited"))
    lost: M3Small = Field(
        default=0.0, ge=0, le=0.01, description=Message("Volume that came through; 0 if dry")
    )
    least_seen: M3Small = Field(
        default=5e-8,
        ge=1e-10,
        le=1e-4,
        description=Message(
            "Smallest loss you would have seen; a drop is {volume}", volume=stated("0.05 mL")
        ),
    )
    ball_diameter: M = Field(ge=1e-3, le=0.5)
    half_angle: Rad = Field(
        default=math.pi / 4,
        ge=0.05,
        le=1.5,
        description=Message("Of the seat's cone, from its axis"),
    )
    seat_width: M = Field(ge=1e-5, le=0.1, description=Message("Along the cone's slope"))
    solvent: Slug = Field(default="white-spirit", description=Message("Key in the solvents table"))
    pressure: Pa = Field(default=2e7, ge=1000, le=1e9, description=Message("Working pressure"))
    viscosity: PaS = Field(default=1.0, ge=1e-5, le=1000, description=Message("Of the coating"))
    density: KgPerM3 = Field(default=1300.0, ge=300, le=5000, description=Message("Of the coating"))


def _solvent_test(given: SolventPoured) -> Outcome:
    solvent = find_solvent(given.solvent)
    circle = math.pi * contact_diameter(given.ball_diameter, given.half_angle)
    path = GapPath(width=CHIP_SHARE * circle, length=given.seat_width)
    poured = Filling(solvent.viscosity(), 1.0, solvent.density())
    coating = Filling(given.viscosity, 1.0, given.density)
    pressure = static_head(solvent.density(), given.head)

    def gap(lost: M3Small) -> MFine:
        return float(gap_of_leak(lost / given.time, path, poured, pressure=pressure)[0])

    def leak(lost: M3Small) -> LeakFlow:
        return same_gap(lost / given.time, path, poured, pressure=pressure, other=coating,
                        at=given.pressure)  # fmt: skip

    dry = given.lost <= given.least_seen
    off = HALF_90 * given.least_seen / math.sqrt(3)
    low, high = (0.0, given.least_seen) if dry else (max(given.lost - off, 0.0), given.lost + off)
    values: dict[str, Value] = {
        "gap": gap(given.lost),
        "gap_low": gap(low),
        "gap_high": gap(high),
        "least_gap_seen": gap(given.least_seen),
        "leak": leak(given.lost),
        "leak_low": leak(low),
        "leak_high": leak(high),
        "proves": leak(given.least_seen),
    }
    said = (
        Message("Dry: the leak is no more than the test could have missed.")
        if dry
        else (
            Message(
                "It weeps: clean, turn the ball and try again; if it still weeps, turn or replace "
                "the seat."
            )
        )
    )
    return Outcome(values, (said,))


class BucketTest(Noun):
    """Delivery caught in a bucket while cycles are counted."""

    bore: M = Field(ge=0.001, le=1)
    stroke: M = Field(ge=0.001, le=2)
    cycles: float = Field(ge=0.1, le=1e5, description=Message("Up and down is one"))
    volume: M3Small = Field(ge=1e-6, le=1, description=Message("Caught"))
    volume_spread: M3Small = Field(
        default=5e-5, ge=0, le=0.1, description=Message("Standard uncertainty of the volume")
    )
    cycle_spread: float = Field(
        default=0.29,
        ge=0,
        le=10,
        description=Message("Of the count: 0.29 to the nearest whole one"),
    )
    stroke_spread: M = Field(default=5e-4, ge=0, le=0.1, description=Message("Of the stroke"))
    bore_spread: MFine = Field(default=2e-5, ge=0, le=0.01, description=Message("Of the bore"))


_TOO_MUCH = Message(
    "More than the pump can displace: check volume, count, stroke and bore, and repeat the test."
)


def _efficiency(given: BucketTest) -> Budget:
    def share(x: dict[str, float]) -> float:
        return x["volume"] / (math.pi / 4 * x["bore"] ** 2 * x["stroke"] * x["cycles"])

    return propagate(
        lambda x: share(dict(x)),
        {
            "volume": Estimate(given.volume, given.volume_spread),
            "cycles": Estimate(given.cycles, min(given.cycle_spread, given.cycles / 2)),
            "stroke": Estimate(given.stroke, min(given.stroke_spread, given.stroke / 2)),
            "bore": Estimate(given.bore, min(given.bore_spread, given.bore / 2)),
        },
    )


def _bucket_test(given: BucketTest) -> Outcome:
    displacement = math.pi / 4 * given.bore**2 * given.stroke
    budget = _efficiency(given)
    off = HALF_90 * budget.uncertainty
    cautions = []
    if budget.value > 1:
        cautions.append(_TOO_MUCH)
    largest = max(budget.contributions, key=lambda c: abs(c.share)).name
    return Outcome(
        {
            "displacement": displacement,
            "efficiency": budget.value,
            "uncertainty": budget.uncertainty,
            "efficiency_low": max(budget.value - off, 0.0),
            "efficiency_high": budget.value + off,
            "lost_per_cycle": displacement * (1 - budget.value),
            "largest_doubt": largest,
        },
        tuple(cautions),
    )


class GlandTurn(Noun):
    """A gland nut tightened from first contact with the packings."""

    pitch: M = Field(ge=1e-4, le=0.02, description=Message("Of the gland nut's thread"))
    height: M = Field(ge=0.0005, le=0.3, description=Message("Of the set of V-rings, free"))
    turn: Rad | None = Field(
        default=None,
        ge=0,
        le=63,
        description=Message("After it touches; or give the squeeze wanted"),
    )
    squeeze: Percent | None = Field(default=None, ge=0, le=0.9, description=Message("Wanted"))
    stiffness: NPerM | None = Field(
        default=None, ge=1, le=1e12, description=Message("Of the set, for force and torque")
    )
    thread_diameter: M | None = Field(
        default=None, ge=0.001, le=1, description=Message("For the torque")
    )
    friction: Ratio = Field(
        default=0.12, ge=0.001, le=0.99, description=Message("Greased thread and face")
    )
    lever: M | None = Field(default=None, ge=0.01, le=5, description=Message("To hand, its length"))


def _gland_turn(given: GlandTurn) -> Outcome:
    if (given.turn is None) == (given.squeeze is None):
        sentence = Message("Give either the turn or the squeeze wanted.")
        raise BadInput(sentence, (Problem("turn", sentence), Problem("squeeze", sentence)))
    wanted = given.squeeze if given.squeeze is not None else 0.0
    turn = given.turn if given.turn is not None else wanted * given.height / given.pitch * math.tau
    travel = given.pitch * turn / math.tau
    squeeze = travel / given.height
    values: dict[str, Value] = {
        "turn": turn,
        "flats": Message("{turn:.3g} flats of a hexagon", turn=turn / (math.pi / 3)),
        "travel": travel,
        "squeeze": squeeze,
    }
    over = Message(
        "Over-tight packings run dry and score the rod; a loose gland can always be nipped up."
    )
    cautions = [over] if squeeze > 0.1 else []
    if given.stiffness is not None:
        values |= _gland_force(given, given.stiffness * travel)
    return Outcome(values, tuple(cautions))


def _gland_force(given: GlandTurn, force: N) -> dict[str, Value]:
    values: dict[str, Value] = {"force": force}
    if given.thread_diameter is None:
        return values
    diameter = given.thread_diameter
    if given.pitch >= diameter / 2:
        sentence = Message("The pitch is too coarse for that thread.")
        raise BadInput(sentence, (Problem("pitch", sentence),))
    torque = raising_torque(
        force, pitch_diameter(diameter, given.pitch), lead=given.pitch, friction=given.friction,
        flank_angle=math.radians(30.0), collar_friction=given.friction, collar_diameter=diameter,
    )  # fmt: skip
    values["torque"] = torque
    if given.lever is not None:
        values["pull"] = lever_force(torque, given.lever)
    return values


_LEAK = unit_of(LeakFlow)
CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="solvent-test",
        title=Message("Solvent test of a seated ball"),
        inputs=SolventPoured,
        outputs={
            "gap": Output(unit_of(MFine), Message("Equivalent slit")),
            "gap_low": Output(unit_of(MFine), Message("Lower end of the 90 % interval")),
            "gap_high": Output(unit_of(MFine), Message("Upper end of the 90 % interval")),
            "least_gap_seen": Output(
                unit_of(MFine), Message("Smallest slit the test would have shown")
            ),
            "leak": Output(_LEAK, Message("Leak of coating at working pressure")),
            "leak_low": Output(_LEAK, Message("Lower end of the 90 % interval")),
            "leak_high": Output(_LEAK, Message("Upper end of the 90 % interval")),
            "proves": Output(_LEAK, Message("Leak that a dry test can't rule out")),
        },
        compute=_solvent_test,
        formula="h from V/t = w h^3 rho g H/(12 mu L) with what entry and exit lose; the same slit "
        "at working pressure with coating",
        source="Plane Poiseuille flow through one slit over a tenth of the contact circle (common "
        "practice for its breadth); JCGM 100:2008, 4.3.7 for what can't be seen",
        validity=Message(
            "Newtonian liquids; solvent at 20 degC; at pressure the ball is pressed home and "
            "passes less: the upper side."
        ),
        warns=(caution("fire"), caution("health")),
        example={
            "head": "60 mm",
            "time": "120 s",
            "lost": "0.3 mL",
            "ball_diameter": "22 mm",
            "seat_width": "4 mm",
            "pressure": "200 bar",
            "viscosity": "1500 mPa*s",
        },
    ),
    Calculator(
        name="bucket-test",
        title=Message("Volumetric efficiency by the bucket test"),
        inputs=BucketTest,
        outputs={
            "displacement": Output(unit_of(M3Small), Message("Displacement a cycle")),
            "efficiency": Output(unit_of(Percent), Message("Volumetric efficiency")),
            "uncertainty": Output(unit_of(Percent), Message("Its standard uncertainty")),
            "efficiency_low": Output(unit_of(Percent), Message("Lower end of the 90 % interval")),
            "efficiency_high": Output(unit_of(Percent), Message("Upper end of the 90 % interval")),
            "lost_per_cycle": Output(unit_of(M3Small), Message("Lost a cycle")),
            "largest_doubt": Output(None, Message("Largest source of uncertainty")),
        },
        compute=_bucket_test,
        formula="eta = V / (pi/4 D^2 S n)",
        source="Displacement of a double-acting piston pump; spread by JCGM 100:2008, 5.1.2",
        validity=Message("Nozzle off, low pressure, hose full before and after; froth settled."),
        warns=(caution("catching"), caution("fire")),
        example={"bore": "38 mm", "stroke": "80 mm", "cycles": "20", "volume": "1.74 L"},
    ),
    Calculator(
        name="gland-turn",
        title=Message("Tightening a gland nut"),
        inputs=GlandTurn,
        outputs={
            "turn": Output(unit_of(Rad), Message("Turn after it touches")),
            "flats": Output(None, Message("In flats or degrees")),
            "travel": Output(unit_of(M), Message("Travel of the nut")),
            "squeeze": Output(unit_of(Percent), Message("Squeeze of the set")),
            "force": Output(unit_of(N), Message("Force on the set")),
            "torque": Output(unit_of(NM), Message("Torque, greased")),
            "pull": Output(unit_of(N), Message("Pull at the lever's end")),
        },
        compute=_gland_turn,
        formula="travel = pitch x turn / (2 pi); squeeze = travel / height; force = stiffness x "
        "travel; torque as a screw's with its collar",
        source="Geometry of the helix; Budynas and Nisbett, Shigley's Mechanical Engineering "
        "Design, 9th ed., eq. 8-1, 8-5 and 8-6",
        validity=Message(
            "From first touch; V-rings taken as a straight spring; metric thread, collar as wide "
            "as the thread."
        ),
        warns=(caution("stored-pressure"),),
        example={
            "pitch": "2 mm",
            "height": "28 mm",
            "turn": "60 deg",
            "stiffness": "0.6 kN/mm",
            "thread_diameter": "48 mm",
            "lever": "250 mm",
        },
    ),
)
"""The calculators of this family."""
