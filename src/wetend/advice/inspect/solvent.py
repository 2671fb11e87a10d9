"""The solvent test: from the volume through a seated ball to a gap, and to a leak at pressure.

Solvent standing over the ball presses with its head. What comes through in the time waited gives
the slit that would pass as much; the same slit at working pressure, filled with coating, gives the
leak that matters. A dry test proves no more than the least loss that would have been seen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wetend.advice.inspect.damage import limits_of, share_lost, working_pressure
from wetend.advice.inspect.judgement import Check, Damage, PartJudgement, Seen, judged
from wetend.advice.inspect.limits import SURE
from wetend.advice.inspect.valve import valve_at
from wetend.advice.prove.limits import PATH_LOSS, Allowed, same_gap
from wetend.advice.pump_physics import CHIP_SHARE, filling_of, viscosity_spread
from wetend.advice.reasons import Figure, Verdict, Working
from wetend.materials.solvents import Solvent, find_solvent
from wetend.physics.stroke.gap import Filling, GapPath, gap_of_leak
from wetend.physics.suction import static_head
from wetend.physics.valves import contact_diameter
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import SolventTest
from wetend.pump.parts import PartName, Valve
from wetend.stats.conformance import Decision, conformance_probability, decide
from wetend.units.message import Message
from wetend.units.quantity import (
    LeakFlow,
    M,
    M3Small,
    MFine,
    PaLow,
    Percent,
    S,
    unit_of,
)

LEAST_HEAD: M = 5e-3
"""A head below this presses on nothing: common practice, no source."""


@dataclass(frozen=True)
class Through:
    """What came through the seat, and the way it came."""

    test: SolventTest
    solvent: Solvent
    path: GapPath

    @property
    def dry(self) -> bool:
        """Nothing came that would have been seen."""
        return self.test.lost <= self.test.least_seen

    @property
    def lost(self) -> M3Small:
        """Volume lost; dry, any loss up to the least seen is equally likely."""
        return self.test.least_seen / 2 if self.dry else self.test.lost

    @property
    def most(self) -> M3Small:
        """The most that may have been lost."""
        return self.test.least_seen if self.dry else self.test.lost

    @property
    def uncertainty(self) -> M3Small:
        """Standard uncertainty of the volume: as much as can't be seen, either way when wet."""
        return self.test.least_seen / math.sqrt(12 if self.dry else 3)

    @property
    def pressure(self) -> PaLow:
        """Of the solvent's head."""
        return static_head(self.solvent.density(), self.test.head)

    @property
    def filling(self) -> Filling:
        """Solvent in the slit."""
        return Filling(self.solvent.viscosity(), 1.0, self.solvent.density())

    def gap(self, lost: M3Small) -> MFine:
        """Height of the slit that passes a volume in the time waited."""
        flow = lost / self.test.time
        return float(gap_of_leak(flow, self.path, self.filling, pressure=self.pressure)[0])

    def at_work(self, lost: M3Small, limits: Allowed) -> LeakFlow:
        """What that slit passes of the coating at working pressure."""
        return same_gap(
            lost / self.test.time, self.path, self.filling, pressure=self.pressure,
            other=filling_of(limits.liquid), at=working_pressure(limits),
        )  # fmt: skip


def slit_of(valve: Valve) -> GapPath:
    """Where a valve leaks: across a tenth of its contact circle, along its cone."""
    circle = math.pi * contact_diameter(valve.ball_diameter, valve.seat_half_angle)
    return GapPath(width=CHIP_SHARE * circle, length=valve.seat_width)


def judge_solvent_test(pump: Pump, coating: Coating | None, test: SolventTest) -> PartJudgement:
    """A seated ball by what solvent came past it.

    Raises:
        UnknownName: no such solvent.
    """
    valve = valve_at(pump, test.end)
    came = Through(test, find_solvent(test.solvent), slit_of(valve))
    limits = limits_of(pump, coating) if test.head >= LEAST_HEAD else None
    part: PartName = "foot-seat" if test.end == "foot" else "piston-seat"
    return judged(
        part,
        checks=(_check(valve, came, limits),) if limits else (),
        seen=() if limits else tuple(_seen(valve, came)),
        damage=_damage(came, limits) if limits else None,
        title=(
            Message("Foot valve, solvent test")
            if test.end == "foot"
            else Message("Piston valve, solvent test")
        ),
        advice=tuple(_advice(came, limits)),
    )


def _allowed(came: Through, limits: Allowed) -> LeakFlow:
    return limits.foot_leak if came.test.end == "foot" else limits.piston_leak


def _check(valve: Valve, came: Through, limits: Allowed) -> Check:
    value = came.at_work(came.lost, limits)
    more = came.at_work(came.lost + came.uncertainty, limits)
    less = came.at_work(max(came.lost - came.uncertainty, 0.0), limits)
    flowing = value * math.hypot(viscosity_spread(limits.coating), came.solvent.spread)
    uncertainty = math.hypot((more - less) / 2, flowing)
    upper = _allowed(came, limits)
    probability = conformance_probability(value, uncertainty, upper=upper)
    verdict, why = _said(valve, came, decide(probability, accept=SURE, reject=1 - SURE))
    return Check(
        title=Message("Leak at working pressure"),
        value=value,
        uncertainty=uncertainty,
        lower=None,
        upper=upper,
        unit=unit_of(LeakFlow),
        limit_from=Message("{path_loss:.1%} of the delivery, common practice", path_loss=PATH_LOSS),
        probability=probability,
        verdict=verdict,
        why=why,
        working=_working(came, value, uncertainty),
    )


def _said(valve: Valve, came: Through, decision: Decision) -> tuple[Verdict, str]:
    if came.dry and decision is Decision.CONFORMS:
        return Verdict.KEEP, Message("Dry, and waited long enough to prove it.")
    if came.dry:
        return Verdict.MEASURE_AGAIN, (
            Message(
                "Dry, but not for long enough to prove that it holds at pressure: wait "
                "longer or pour higher."
            )
        )
    if decision is Decision.CONFORMS:
        return Verdict.DRESS, (
            Message(
                "It weeps, though it would leak little at pressure: clean ball and seat, "
                "turn the ball, and try again; it must not weep."
            )
        )
    if decision is Decision.FAILS:
        return _worn(valve), (
            Message(
                "At pressure it would leak more than the pump can spare: clean and try "
                "again, then turn the seat to a fresh face or fit a new ball and seat."
            )
        )
    return Verdict.MEASURE_AGAIN, (
        Message("It weeps, but the amount is uncertain: catch the drops for longer.")
    )


def _worn(valve: Valve) -> Verdict:
    return Verdict.TURN if valve.reversible else Verdict.REPLACE


def _seen(valve: Valve, came: Through) -> Iterator[Seen]:
    """Without a coating: the trade's own rule, it must not weep."""
    if came.test.head < LEAST_HEAD:
        yield Seen(
            Verdict.MEASURE_AGAIN,
            Message("Too little solvent over the ball: pour a finger's width."),
        )
    elif came.dry:
        yield Seen(
            Verdict.KEEP, Message("Dry. Choose the coating to see what that proves at pressure.")
        )
    else:
        why = Message(
            "It weeps, and it must not: clean and try again, then turn the seat or fit new."
        )
        yield Seen(_worn(valve), why)


def _damage(came: Through, limits: Allowed) -> Damage:
    leak = came.at_work(came.most, limits)
    share = share_lost(leak, limits.point.flow)
    working = _working(came, leak, came.uncertainty / came.most * leak)
    return Damage(leak, share, working)


def _advice(came: Through, limits: Allowed | None) -> Iterator[str]:
    yield (
        Message(
            "Solvent burns and harms: no ignition source, ventilate, gloves and eye "
            "protection to the safety data sheet."
        )
    )
    if came.dry and limits is not None:
        yield Message("The leak shown is the most that a dry test could have hidden.")
    if not came.dry:
        yield Message(
            "Turn the ball and try again: if the loss changes it is the ball, if not the seat."
        )


def _working(came: Through, leak: LeakFlow, uncertainty: LeakFlow) -> Working:
    lost = came.lost
    return Working(
        title=Message("From solvent lost to the leak at working pressure"),
        formula="h from V/t = w h³·p/(12µL), p = ρ·g·head; then the same slit at working pressure",
        given=(
            Figure(Message("Solvent through"), lost, unit_of(M3Small), "V"),
            Figure(Message("Its standard uncertainty"), came.uncertainty, unit_of(M3Small)),
            Figure(Message("Time"), came.test.time, unit_of(S), "t"),
            Figure(Message("Pressure of the head"), came.pressure, unit_of(PaLow), "p"),
            Figure(Message("Along the cone"), came.path.length, unit_of(M), "L"),
            Figure(Message("Breadth of the slit"), came.path.width, unit_of(M), "w"),
            Figure(Message("Share of the contact circle"), CHIP_SHARE, unit_of(Percent)),
        ),
        result=(
            Figure(Message("Equivalent slit"), came.gap(lost), unit_of(MFine), "h"),
            Figure(
                Message("Smallest slit that would have been seen"),
                came.gap(came.test.least_seen),
                unit_of(MFine),
            ),
            Figure(Message("Leak at working pressure"), leak, unit_of(LeakFlow)),
            Figure(Message("Its standard uncertainty"), uncertainty, unit_of(LeakFlow)),
        ),
        source="Plane Poiseuille flow through one slit; JCGM 100:2008, 4.3.7 for what could not be "
        "seen; common practice for the slit's breadth",
        validity=Message(
            "Solvent at 20 °C, ball at rest and clean. At pressure the ball is pressed home and "
            "passes less: the upper side."
        ),
        spread=Message("Dry: any loss up to the least seen is equally likely.") if came.dry else "",
    )
