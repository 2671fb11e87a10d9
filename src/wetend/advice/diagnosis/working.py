"""The working of a diagnosis: what went in, by which formula, from where."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.diagnosis.answers import Prediction
from wetend.advice.diagnosis.evidence import Reading
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.diagnosis.prior import Setting
from wetend.advice.pump_physics import described_friction
from wetend.advice.reasons import Figure, Working
from wetend.pump.flow_law import law_limits
from wetend.units import quantity as q
from wetend.units.message import Message, joined
from wetend.units.quantity import unit_of


def balance(setting: Setting, healthy: Prediction) -> Working:
    """The sound pump's stroke."""
    pump, supply = setting.pump, setting.supply_read
    return Working(
        title=Message("A sound pump's strokes"),
        formula="F(1 - v²/v₀²) = pA + F_f;  Q = Av - leaks;  p = filter + hose + nozzle at Q",
        given=(
            Figure(Message("supply"), supply or pump.drive.supply_rated, unit_of(q.Pa)),
            Figure(Message("drive ratio"), pump.drive.ratio, unit_of(q.Ratio)),
            Figure(Message("upper area"), pump.upper_area, unit_of(q.M2), "A_u"),
            Figure(Message("rod area"), pump.rod_area, unit_of(q.M2), "A_r"),
            Figure(Message("friction"), described_friction(pump), unit_of(q.N), "F_f"),
        ),
        result=(
            Figure(Message("up-stroke"), healthy.up_time, unit_of(q.S)),
            Figure(Message("down-stroke"), healthy.down_time, unit_of(q.S)),
            Figure(Message("gauge while spraying"), healthy.spray_pressure, unit_of(q.Pa)),
            Figure(Message("gauge at stall"), healthy.stall_pressure, unit_of(q.Pa)),
        ),
        source="Balance of forces and volumes; drive droop by the square of speed is common "
        "practice, no source.",
        validity=joined(" ", (_SETTLED, *law_limits(setting.coating.law, "leak", "turbulence"))),
    )


_SETTLED = Message(
    "Pressure settled early in the stroke; compression, inertia and reversals left out."
)


def creep_leaks(setting: Setting, readings: Sequence[Reading]) -> tuple[Working, ...]:
    """Leaks straight from the creep read, before any weighing."""
    found = []
    ways = {
        "creep_up": (setting.pump.upper_area, "A_u"),
        "creep_down": (setting.pump.rod_area, "A_r"),
    }
    for reading in readings:
        if reading.what.key not in ways:
            continue
        area, symbol = ways[reading.what.key]
        found.append(
            Working(
                title=Message("Leak from {title}", title=reading.what.title),
                formula=f"q = {symbol} · v",
                given=(
                    Figure(Message("area"), area, unit_of(q.M2), symbol),
                    Figure(Message("creep"), reading.value, unit_of(q.Creep), "v"),
                ),
                result=(Figure(Message("leak"), area * reading.value, unit_of(q.LeakFlow), "q"),),
                source="Volume balance against a shut gun.",
                validity=Message("Gun and dump valve tight; static packings' leak is in it."),
            )
        )
    return tuple(found)


def weighing(cloud: WeightedSample, readings: Sequence[Reading], fit: float) -> Working:
    """How the chances came about."""
    ratio = unit_of(q.Ratio)
    return Working(
        title=Message("Chances of the faults"),
        formula="P(fault | readings) = Σ w over pumps with the fault;  "
        "w ∝ prior × Π (1 + z²/4)^(-5/2)",
        given=(
            Figure(Message("readings"), float(len(readings)), ratio),
            Figure(Message("pumps simulated"), float(len(cloud.weight)), ratio),
        ),
        result=(
            Figure(Message("pumps that count"), cloud.effective, ratio),
            Figure(Message("chance of readings as far off as these"), fit, ratio),
        ),
        source="Adaptive multiple importance sampling, Cornuet and others 2012 (from memory); "
        "prior chances and sizes are common practice, no source.",
        validity=Message("Up to three faults at once, of the twelve kinds named."),
        spread=Message(
            "A chance near one half is good to {effective:.1%}.",
            effective=0.5 / cloud.effective**0.5,
        ),
    )
