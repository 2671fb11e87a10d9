"""Pumps from what forms accept: any line, any two areas, any drive, with a fault or none."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from wetend.advice.diagnosis.filled import filled
from wetend.advice.faults.tables import GAPS
from wetend.advice.pump_physics import Condition, liquid_of
from wetend.physics.hose import hose_loss
from wetend.physics.rheology.liquid import Liquid
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.toml import demo_coatings, demo_pump

SCALED_FROM = 0.038
"""Bore of the demo pump whose valves and packings are scaled."""
OTHERS = ("drive", "nozzle", "filter_blocked", "line_blocked", "friction")


def _spread(rng: np.random.Generator, low: float, high: float) -> float:
    return float(math.exp(rng.uniform(math.log(low), math.log(high))))


def _coating(rng: np.random.Generator) -> Coating:
    described = demo_coatings()[int(rng.integers(4))].model_dump()
    thick = _spread(rng, 0.1, 2.0)
    for name in ("consistency", "viscosity", "plastic_viscosity", "yield_stress"):
        if described.get(name) is not None:
            described[name] *= thick
    return Coating.model_validate(described)


def _wet_end(rng: np.random.Generator, pump: dict[str, Any], bore: float, share: float) -> None:
    stroke, scale = _spread(rng, 0.03, 0.25), bore / SCALED_FROM
    pump["stroke"] = stroke
    spare = rng.uniform(0.1, 0.8) * stroke
    pump["cylinder"].update(bore=bore, length=stroke + 0.022 * scale + spare, outside=1.4 * bore)
    pump["rod"].update(diameter=bore * math.sqrt(share), length=4 * stroke,
                       packed_from=1.5 * stroke, packed_to=3 * stroke)  # fmt: skip
    for valve in (pump["foot_valve"], pump["piston_valve"]):
        lift = scale * _spread(rng, 0.7, 1.4)
        for name in ("ball_diameter", "seat_bore", "seat_width"):
            valve[name] *= scale
        valve["lift_low"] *= lift
        valve["lift_high"] *= lift
    pump["suction"].update(bore=1.2 * scale * pump["suction"]["bore"],
                           length=rng.uniform(0.3, 2.5), lift=rng.uniform(-0.3, 1.0))  # fmt: skip


def _drive(rng: np.random.Generator, pump: dict[str, Any], area: float) -> float:
    """Sets the drive and the drag of packings; its force."""
    stall, scale = _spread(rng, 8e6, 4.5e7), pump["cylinder"]["bore"] / SCALED_FROM
    kind = str(rng.choice(["air", "hydraulic", "electric", "engine"]))
    oil = _spread(rng, 4e6, 2e7)
    supply = {"air": _spread(rng, 2e5, 8e5), "electric": stall}.get(kind, oil)
    force = 0.5 * stall * area
    drag = _spread(rng, 0.003, 0.08) * force
    pump["moving_packings"].update(height=0.022 * scale, free_height_limit=0.02 * scale,
                                   friction=0.35 * drag)  # fmt: skip
    pump["static_packings"].update(height=0.028 * scale, free_height_limit=0.026 * scale,
                                   friction=0.45 * drag)  # fmt: skip
    free = _spread(rng, 0.15, 1.5)
    pump["drive"].update(kind=kind, supply_rated=supply, ratio=stall / supply, free_speed=free,
                         reversal=_spread(rng, 0.005, 0.25), friction=0.2 * drag)  # fmt: skip
    pump["limits"]["cycle_rate_high"] = min(1 / (2.2 * free), 10.0)
    return force


def _line(
    rng: np.random.Generator, pump: dict[str, Any], liquid: Liquid, pressure: float, flow: float
) -> None:
    """Hose or pipe and a nozzle that take this pressure at this flow, about."""
    total = _spread(rng, 0.5, 100.0)
    lengths = rng.dirichlet(np.full(1 if total < 2 else int(rng.integers(1, 4)), 2.0)) * total
    bore, most = _spread(rng, 0.004, 0.03), rng.uniform(0.05, 0.6) * pressure
    while float(hose_loss(liquid, flow, bore, total)) > most and bore < 0.15:
        bore *= 1.15
    growth = 0.0 if rng.random() < 0.3 else _spread(rng, 2e-13, 1e-11) * (bore / 0.0095) ** 2
    pump["hose"] = [
        {"bore": bore, "length": max(float(x), 0.05), "rated_pressure": 6e7, "growth": growth * x}
        for x in lengths
    ]
    pump["filter"]["clean_loss"] = _spread(rng, 5e4, 2e6)
    lost = float(hose_loss(liquid, flow, bore, total)) + 0.5 * pump["filter"]["clean_loss"]
    left, discharge = max(pressure - lost, 0.1 * pressure), rng.uniform(0.6, 0.95)
    area = flow / (discharge * math.sqrt(2 * left / liquid.density))
    orifice = min(max(math.sqrt(4 * area / math.pi), 5e-5), 0.01)
    pump["nozzle"].update(orifice=orifice, discharge_coefficient=discharge)


def accepted_pump(rng: np.random.Generator) -> tuple[Pump, Coating]:
    """A pump and a coating that the forms accept."""
    pump = demo_pump("quay-air").model_dump()
    bore, share = _spread(rng, 0.015, 0.12), rng.uniform(0.12, 0.88)
    area = math.pi / 4 * bore**2
    _wet_end(rng, pump, bore, share)
    force = _drive(rng, pump, area)
    coating = _coating(rng)
    areas = (area * share, area * (1 - share))
    pressure = rng.uniform(0.3, 0.93) * force / max(areas)
    pace = np.mean([math.sqrt(max(1 - pressure * a / force, 0.02)) for a in areas])
    flow = 0.5 * area * pump["stroke"] / pump["drive"]["free_speed"] * float(pace)
    _line(rng, pump, liquid_of(coating), pressure, flow)
    return Pump.model_validate(pump), coating


def accepted_condition(rng: np.random.Generator, pump: Pump, coating: Coating) -> Condition:
    """Sound, or with one fault, half of the time each."""
    if rng.random() < 0.5:
        return Condition()
    leaks, held = list(GAPS), filled(pump, liquid_of(coating))
    which = int(rng.integers(len(leaks) + len(OTHERS)))
    if which < len(leaks):
        logs, gaps = held.gaps[leaks[which]]
        size = math.log(_spread(rng, 0.01, 0.35))
        return Condition(**{GAPS[leaks[which]].name: float(np.exp(np.interp(size, logs, gaps)))})
    name = OTHERS[which - len(leaks)]
    blocked = _spread(rng, 0.03, 0.3) * float(held.sound.gauge[0]) / float(held.sound.flow[0])
    factor = {"drive": rng.uniform(0.6, 0.95), "nozzle": _spread(rng, 0.6, 1.7),
              "friction": _spread(rng, 0.5, 3.0)}  # fmt: skip
    return Condition(**{name: float(factor.get(name, blocked))})
