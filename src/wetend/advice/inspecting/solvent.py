"""The solvent test: from what came through the seated ball to a gap, and to a leak at pressure.

Solvent standing over the ball presses with its head. What comes through in the time waited gives
the gap all round the contact circle that would pass as much, by plane Poiseuille flow; the same gap
at working pressure, filled with coating, gives the leak that matters. A dry test proves no more
than the least loss that would have been seen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wetend.advice.inspecting.damage import Path, damage_of
from wetend.advice.inspecting.judgement import Check, Damage, PartJudgement, Seen, judged
from wetend.advice.inspecting.limits import SURE
from wetend.advice.inspecting.valve import valve_at
from wetend.advice.reasons import Figure, Verdict, Working
from wetend.materials.solvents import find_solvent
from wetend.physics.leakage import seat_gap
from wetend.physics.valves import GRAVITY, contact_diameter
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import SolventTest
from wetend.pump.parts import PartName, Valve
from wetend.stats.conformance import Decision, conformance_probability, decide
from wetend.units.quantity import LeakFlow, M, M3Small, MFine, PaLow, S, unit_of

LEAK_SHARE = 0.02
"""Share of the stroke a valve may lose at working pressure: common practice, no source."""


@dataclass(frozen=True)
class Through:
    """What came through the seat: volume, its standard uncertainty, and the gap it means."""

    lost: M3Small
    uncertainty: M3Small
    dry: bool
    pressure: PaLow
    """Of the solvent's head."""
    length: M
    """Of the way across the band."""
    circle: M
    """Round the contact circle."""

    def gap(self, lost: M3Small, viscosity: float, time: S) -> MFine:
        r"""Even gap that passes a volume in a time.

        .. math:: h=\left(\frac{12\,\mu L V}{w\,p\,t}\right)^{1/3}
        """
        cube = 12 * viscosity * self.length * lost / (self.circle * self.pressure * time)
        return float(max(cube, 0.0) ** (1 / 3))


def through(valve: Valve, test: SolventTest) -> Through:
    """What came through, with what could not be seen.

    A dry test holds every loss up to the least that would have been seen to be equally likely; a
    wet one may be off by that much either way.
    """
    solvent = find_solvent(test.solvent)
    dry = test.lost <= test.least_seen
    return Through(
        lost=test.least_seen / 2 if dry else test.lost,
        uncertainty=test.least_seen / (math.sqrt(12) if dry else math.sqrt(3)),
        dry=dry,
        pressure=solvent.density() * GRAVITY * test.head,
        length=valve.band_limit / 2,
        circle=math.pi * contact_diameter(valve.ball_diameter, valve.seat_half_angle),
    )


def judge_solvent_test(pump: Pump, coating: Coating | None, test: SolventTest) -> PartJudgement:
    """A seated ball by what solvent came past it.

    Raises:
        UnknownName: no such solvent.
    """
    valve = valve_at(pump, test.end)
    came = through(valve, test)
    viscosity = find_solvent(test.solvent).viscosity()
    most = came.lost if not came.dry else test.least_seen
    gap = came.gap(most, viscosity, test.time)
    damage = damage_of(pump, coating, _path(came, gap))
    checks = (_check(pump, coating, came, test),) if coating is not None else ()
    part: PartName = "foot-seat" if test.end == "foot" else "piston-seat"
    return judged(
        part,
        checks=tuple(c for c in checks if c is not None),
        seen=tuple(_seen(valve, came, checks[0] if checks else None)),
        damage=damage,
        title=f"{test.end.capitalize()} valve, solvent test",
        advice=tuple(_advice(came, damage)),
    )


def _path(came: Through, gap: MFine) -> Path | None:
    if gap <= 0:
        return None
    words = "The gap that would pass as much solvent, even all round; band half its limit."
    if came.dry:
        words = f"The largest gap that a dry test could hide. {words}"
    return Path(seat_gap(gap, came.circle, came.length), gap, came.length, words)


def _at_pressure(
    pump: Pump, coating: Coating, came: Through, test: SolventTest
) -> tuple[LeakFlow, LeakFlow, LeakFlow]:
    """Leak at working pressure, its standard uncertainty, and the most allowed."""
    viscosity = find_solvent(test.solvent).viscosity()

    def leak(lost: M3Small) -> Damage | None:
        return damage_of(pump, coating, _path(came, came.gap(lost, viscosity, test.time)))

    low, middle, high = (leak(came.lost + k * came.uncertainty) for k in (-1.0, 0.0, 1.0))
    assert middle is not None
    assert high is not None
    spread = (high.leak - (low.leak if low else 0.0)) / 2
    sprayed = middle.leak * (1 / middle.share - 1) if middle.share else math.inf
    return middle.leak, spread, sprayed * LEAK_SHARE / (1 - LEAK_SHARE)


def _check(pump: Pump, coating: Coating, came: Through, test: SolventTest) -> Check:
    value, uncertainty, upper = _at_pressure(pump, coating, came, test)
    probability = conformance_probability(value, uncertainty, upper=upper)
    decision = decide(probability, accept=SURE, reject=1 - SURE)
    verdict, why = _said(pump, came, decision, test)
    return Check(
        title="Leak at working pressure",
        value=value,
        uncertainty=uncertainty,
        lower=None,
        upper=upper,
        unit=unit_of(LeakFlow),
        limit_from=f"{LEAK_SHARE:.0%} of the stroke, common practice",
        probability=probability,
        verdict=verdict,
        why=why,
        working=_working(came, test, value=value, uncertainty=uncertainty),
    )


def _said(pump: Pump, came: Through, decision: Decision, test: SolventTest) -> tuple[Verdict, str]:
    valve = valve_at(pump, test.end)
    if decision is Decision.CONFORMS and came.dry:
        return Verdict.KEEP, "Dry, and waited long enough to prove it."
    if decision is Decision.CONFORMS:
        return Verdict.DRESS, (
            "It weeps, though little would pass at pressure: clean ball and seat, turn the ball, "
            "and try again; it must not weep."
        )
    if came.dry:
        return Verdict.MEASURE_AGAIN, (
            "Dry, but not for long enough to prove that it holds at pressure: wait longer or pour "
            "higher."
        )
    if decision is Decision.FAILS:
        return (Verdict.TURN if valve.reversible else Verdict.REPLACE), (
            "More would pass at pressure than a pump can spare: clean and try again, then turn the "
            "seat to a fresh face or fit ball and seat new."
        )
    return Verdict.MEASURE_AGAIN, "It weeps, how much is unsure: catch the drops for longer."


def _seen(valve: Valve, came: Through, checked: Check | None) -> Iterator[Seen]:
    if checked is not None:
        return
    if came.dry:
        yield Seen(Verdict.KEEP, "Dry. Choose the coating to see what that proves at pressure.")
    else:
        verdict = Verdict.TURN if valve.reversible else Verdict.REPLACE
        yield Seen(
            verdict,
            "It weeps, and it must not: clean and try again, then turn the seat or fit ball and "
            "seat new.",
        )


def _advice(came: Through, damage: Damage | None) -> Iterator[str]:
    yield (
        "Solvent burns and harms: no ignition source, air the place, gloves and eyes to the safety "
        "data sheet."
    )
    if came.dry and damage is not None:
        yield "The leak shown is the most that a dry test could have hidden."
    if not came.dry:
        yield "Turn the ball and try again: if the loss changes it is the ball, if not the seat."


def _working(
    came: Through, test: SolventTest, *, value: LeakFlow, uncertainty: LeakFlow
) -> Working:
    viscosity = find_solvent(test.solvent).viscosity()
    gap = came.gap(came.lost, viscosity, test.time)
    return Working(
        title="From solvent lost to the leak at working pressure",
        formula="h³ = 12µL·V/(w·p·t), p = ρ·g·head; then the same gap at working pressure",
        given=(
            Figure("Solvent through", came.lost, unit_of(M3Small), "V"),
            Figure("Its standard uncertainty", came.uncertainty, unit_of(M3Small)),
            Figure("Time", test.time, unit_of(S), "t"),
            Figure("Pressure of the head", came.pressure, unit_of(PaLow), "p"),
            Figure("Way across the band", came.length, unit_of(M), "L"),
            Figure("Round the contact circle", came.circle, unit_of(M), "w"),
        ),
        result=(
            Figure("Gap that passes as much", gap, unit_of(MFine), "h"),
            Figure("Leak at working pressure", value, unit_of(LeakFlow)),
            Figure("Its standard uncertainty", uncertainty, unit_of(LeakFlow)),
        ),
        source="Plane Poiseuille flow; JCGM 100:2008, 4.3.7 for what could not be seen",
        validity="Solvent at 20 °C, the gap even all round, the ball at rest. At pressure the ball "
        "is pressed home and passes less: the upper side.",
        spread="" if not came.dry else "Dry: any loss up to the least seen is equally likely.",
    )
