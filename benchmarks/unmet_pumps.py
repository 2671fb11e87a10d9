"""Six pumps and six coatings that the diagnosis was never tuned on. Invented; no maker's."""

from __future__ import annotations

import math
from typing import Any

from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.toml import demo_pump

THOU, BAR, MM = 25.4e-6, 1e5, 1e-3

_BUILDS: tuple[tuple[str, str, float, float, float, float, float, float, tuple[Any, ...], float],
               ...] = (
    # key, drive, bore, rod, stroke (mm), supply (bar), ratio, free stroke (s),
    # hoses (bore mm, m, mL/bar), nozzle (thou)
    ("bench-electric", "electric", 18, 12.7, 40, 210, 1.0, 0.18, ((6.4, 15, 0.15),), 15),
    ("dock-air", "air", 50, 36, 120, 6.2, 63.0, 0.60,
     ((12.7, 60, 1.3), (9.5, 10, 0.2), (6.4, 3, 0.04)), 31),
    ("drum-air", "air", 65, 45, 120, 7, 28.0, 0.80, ((19, 20, 0.9), (9.5, 6, 0.12)), 43),
    ("cart-engine", "engine", 32, 21, 60, 100, 2.3, 0.30, ((9.5, 15, 0.25),), 21),
    ("pail-air", "air", 42, 30, 150, 7, 45.0, 0.75, ((9.5, 10, 0.03),), 23),
    ("tower-hydraulic", "hydraulic", 40, 29, 90, 160, 2.5, 0.45,
     ((12.7, 30, 0.5), (6.4, 2, 0.02)), 25),
)  # fmt: skip


def _pump(build: tuple[Any, ...]) -> Pump:
    key, kind, bore, rod, stroke, supply, ratio, free, hoses, nozzle = build
    pump = demo_pump("quay-air").model_dump()
    scale = bore / 38.0
    pump.update(key=key, name=key, stroke=stroke * MM)
    pump["cylinder"].update(
        bore=bore * MM, length=1.5 * stroke * MM + 0.02, outside=1.4 * bore * MM
    )
    pump["rod"].update(diameter=rod * MM, length=4 * stroke * MM, packed_from=1.5 * stroke * MM,
                       packed_to=3 * stroke * MM)  # fmt: skip
    for valve in (pump["foot_valve"], pump["piston_valve"]):
        for name in ("ball_diameter", "seat_bore", "seat_width", "lift_low", "lift_high"):
            valve[name] *= scale
    force = 0.5 * supply * BAR * ratio * math.pi / 4 * (bore * MM) ** 2
    for name, share in (("moving_packings", 0.01), ("static_packings", 0.013)):
        pump[name].update(height=pump[name]["height"] * scale, friction=share * force,
                          free_height_limit=pump[name]["free_height_limit"] * scale)  # fmt: skip
    pump["drive"].update(kind=kind, supply_rated=supply * BAR, ratio=ratio, free_speed=free,
                         friction=0.006 * force, reversal=0.06)  # fmt: skip
    pump["suction"].update(bore=0.025 * scale)
    pump["hose"] = [{"bore": b * MM, "length": m, "rated_pressure": 5e7, "growth": g * 1e-6 / BAR}
                    for b, m, g in hoses]  # fmt: skip
    pump["nozzle"].update(orifice=nozzle * THOU)
    pump["limits"].update(cycle_rate_high=0.45 / free, outlet_pressure=4.5e7)
    return Pump.model_validate(pump)


PUMPS: tuple[Pump, ...] = tuple(_pump(build) for build in _BUILDS)
COATINGS: tuple[Coating, ...] = tuple(
    Coating.model_validate({"name": each["key"], **each})
    for each in (
        {"key": "acrylic", "density": 1250, "law": "power-law", "consistency": 4.0, "index": 0.55},
        {"key": "varnish", "density": 950, "law": "newtonian", "viscosity": 0.06,
         "abrasiveness": "mild"},
        {"key": "mastic", "density": 1400, "law": "casson", "yield_stress": 15.0,
         "casson_viscosity": 0.35, "abrasiveness": "abrasive"},
        {"key": "shop-primer", "density": 1600, "law": "bingham", "yield_stress": 4.0,
         "plastic_viscosity": 0.12, "abrasiveness": "abrasive"},
        {"key": "high-solids", "density": 1350, "law": "newtonian", "viscosity": 0.8},
        {"key": "flake", "density": 1300, "law": "herschel-bulkley", "yield_stress": 8.0,
         "consistency": 4.0, "index": 0.7, "abrasiveness": "very abrasive"},
    )
)  # fmt: skip
