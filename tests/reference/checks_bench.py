"""Calculators of bench, stack, seats and screws against SciPy and closed forms."""

from __future__ import annotations

import math

import numpy as np
from checked import Check
from chemicals.utils import mixing_logarithmic
from scipy.integrate import solve_ivp
from scipy.optimize import LinearConstraint, brentq, milp, minimize_scalar
from scipy.stats import norm

CHECKS: list[Check] = []
CLOSED = "closed form"

for _share in (0.05, 0.2):
    CHECKS.append(Check(
        f"thinned-{_share:g}", "calc thinning",
        {"viscosity": "0.8 Pa*s", "thinner_viscosity": "0.0007 Pa*s", "thinner": f"{_share}"},
        lambda r=_share: {"viscosity": mixing_logarithmic([1 / (1 + r), r / (1 + r)],
                                                          [0.8, 0.0007])}, 1e-9,
        "the same rule", "chemicals library, mixing_logarithmic",
    ))  # fmt: skip
CHECKS.append(Check(
    "thinner-needed", "calc thinning",
    {"viscosity": "0.8 Pa*s", "thinner_viscosity": "0.0007 Pa*s", "thinner": "0.05",
     "wanted": "0.4 Pa*s"},
    lambda: {"thinner_needed": brentq(lambda r: mixing_logarithmic(
        [1 / (1 + r), r / (1 + r)], [0.8, 0.0007]) - 0.4, 0, 1, xtol=1e-14)}, 1e-9,
    "the same rule, solved otherwise", "chemicals library, mixing_logarithmic, SciPy brentq",
))  # fmt: skip
CHECKS.append(Check(
    "worn-nozzle", "calc nozzle-wear",
    {"flow_new": "2 L/min", "flow_now": "2.42 L/min", "volume": "600 L", "growth_limit": "15 %"},
    lambda: {"growth": 0.1, "more_coating": 0.21, "pressure_left": 1.1**-4, "volume_left": 0.3},
    1e-9, "exact", "Torricelli: flow with the square of the hole, pressure with its fourth power",
    CLOSED,
))  # fmt: skip
CHECKS.append(Check(
    "nozzle-left-over", "calc nozzle-to-suit",
    {"law": "newtonian", "viscosity": "0.3 Pa*s", "density": "1200 kg/m3", "bores": "9.5 mm",
     "lengths": "15 m", "pump_bore": "38 mm", "stroke": "80 mm", "rate": "40 cycles/min",
     "slip": "5 %", "pressure": "250 bar"},
    lambda: _left_over(), 1e-9, "laminar hose", "Hagen and Poiseuille, then Torricelli", CLOSED,
))  # fmt: skip


def _left_over() -> dict[str, float]:
    flow = math.pi / 4 * 0.038**2 * 0.08 * 40 / 60 * 0.95
    left = 25e6 - 128 * 0.3 * 15 * flow / (math.pi * 0.0095**4)
    speed = math.sqrt(2 * left / 1200)
    return {"flow": flow, "nozzle_pressure": left,
            "orifice": math.sqrt(4 * flow / (math.pi * 0.85 * speed))}  # fmt: skip


CHECKS.append(Check(
    "suction-left", "calc suction-remedy",
    {"law": "newtonian", "viscosity": "2 Pa*s", "density": "1400 kg/m3", "pump_bore": "38 mm",
     "stroke": "80 mm", "rate": "30 cycles/min", "bore": "25 mm", "length": "1.6 m",
     "lift": "0.5 m", "vapour_pressure": "1000 Pa", "atmospheric": "101325 Pa",
     "margin": "0.7 bar"},
    lambda: _drawn(), 1e-6, "laminar tube",
    "hydrostatics and Hagen and Poiseuille, with one velocity head and the entry's half",
    CLOSED,
))  # fmt: skip


def _drawn() -> dict[str, float]:
    flow = 2 * math.pi / 4 * 0.038**2 * 0.08 * 30 / 60
    lost = 128 * 2 * 1.6 * flow / (math.pi * 0.025**4)
    return {"margin": 101325 - 1400 * 9.80665 * 0.5 - lost - 1000}


CHECKS.append(Check(
    "boyle", "calc entrained-air",
    {"entrained": "2 %", "suction": "50662.5 Pa", "delivery": "200 bar", "modulus": "1.5e9"},
    lambda: {"free_air": 0.04, "liquid_share": 1 / 1.04}, 1e-9, "exact",
    "Boyle's law: at half an atmosphere twice the air", CLOSED,
))  # fmt: skip
CHECKS.append(Check(
    "archard", "calc packing-wear",
    {"diameter": "38 mm", "height": "22 mm", "pressure": "200 bar", "worn": "40 um",
     "worn_distance": "100000 m", "distance": "150000 m", "take_up": "30 um", "viscosity": "0.5"},
    lambda: {"gap": 30e-6, "flow": math.pi * 0.038 * (30e-6) ** 3 * 2e7 / (12 * 0.5 * 0.022)},
    1e-9, "exact", "Archard's law, even with the way; thin ring of Fox and McDonald, ex. 8.1",
    CLOSED,
))  # fmt: skip


def _band(load: float = 5e4, radius: float = 0.01) -> tuple[float, float]:
    """Half-width and peak of a line contact by Shigley's eq. 3-73 and 3-74, steel on steel."""
    half = math.sqrt(2 * load / math.pi * (2 * (1 - 0.292**2) / 207e9) / (1 / (2 * radius)))
    return half, 2 * load / (math.pi * half)


def _greatest_shear(half: float, peak: float) -> tuple[float, float]:
    """Along the axis below a line contact: Johnson, Contact Mechanics, eq. 4.46."""

    def shear(z: float) -> float:
        root = math.hypot(half, z)
        across = -peak / half * ((half**2 + 2 * z**2) / root - 2 * z)
        return abs(across + peak * half / root) / 2

    found = minimize_scalar(lambda z: -shear(z), bounds=(0, 3 * half), method="bounded",
                            options={"xatol": 1e-14})  # fmt: skip
    return shear(found.x), found.x


_DIAMETER = 0.02 * math.cos(math.pi / 4)
# the pressure that presses 5e4 N/m: w = p d_c / (4 sin a)
_PRESS = 5e4 * 4 * math.sin(math.pi / 4) / _DIAMETER
_CONTACT = {"ball_diameter": "20 mm", "half_angle": "45 deg", "pressure": f"{_PRESS!r} Pa",
            "ball_modulus": "207 GPa", "ball_poisson": "0.292", "seat_modulus": "207 GPa",
            "seat_poisson": "0.292"}  # fmt: skip
CHECKS.append(Check(
    "line-contact", "calc seat-contact", _CONTACT,
    lambda: {"contact_diameter": _DIAMETER, "contact_half_width": _band()[0],
             "contact_stress": _band()[1]}, 1e-6, "the same law",
    "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., eq. 3-73 and 3-74",
    CLOSED,
))  # fmt: skip
CHECKS.append(Check(
    "shear-below", "calc seat-contact", {**_CONTACT, "spring_force": "0 N"},
    lambda: dict(zip(("shear_stress", "shear_depth"), _greatest_shear(*_band()), strict=True)),
    2e-3, "the handbook's 0.300 and 0.786 are rounded",
    "stresses below a line contact (Johnson 1985, eq. 4.46), SciPy minimize_scalar",
))  # fmt: skip


def _narrowest(lift: float = 0.003) -> float:
    """The least frustum between a lifted ball of 22 mm and the points of its 45 degree cone."""
    ball, bore, width, half = 0.011, 0.007, 0.004, math.pi / 4
    rest = ball * math.sin(half) + ball * math.cos(half) / math.tan(half)
    centre = rest - bore / math.tan(half) + lift  # over the lower edge of the cone

    def frustum(along: float) -> float:
        radius, height = bore + along * math.sin(half), along * math.cos(half)
        away = math.hypot(radius, centre - height)
        near = radius * ball / away
        return math.pi * (near + radius) * (away - ball)

    found = minimize_scalar(frustum, bounds=(0, width), method="bounded", options={"xatol": 1e-13})
    return min(frustum(found.x), frustum(0), frustum(width), math.pi * bore**2)


CHECKS.append(Check(
    "narrowest-ring", "calc valve-opening",
    {"ball_diameter": "22 mm", "half_angle": "45 deg", "seat_bore": "14 mm", "seat_width": "4 mm",
     "lift": "3 mm"},
    lambda: {"area": _narrowest()}, 1e-6, "the same geometry, searched otherwise",
    "SciPy minimize_scalar over the frusta between ball and cone",
))  # fmt: skip
CHECKS.append(Check(
    "poppet-lift", "calc valve-opening",
    {"ball_diameter": "20 mm", "half_angle": "45 deg", "seat_bore": "13 mm", "seat_width": "4 mm",
     "lift": "0.1 mm"},
    lambda: {"area": math.pi * (2 * 0.01 * math.cos(math.pi / 4) + 0.0001 / 2)
             * 0.0001 * math.cos(math.pi / 4)}, 0.005,
    "the published law takes the ring at the contact point, ours the narrowest",
    "MapleSim help, Modelon Hydraulics, PoppetLiftCone: pi (s + a) h, h = X cos t, "
    "s = a + X cos^2 t", CLOSED,
))  # fmt: skip
CHECKS.append(Check(
    "ring", "calc ring-gland",
    {"section": "3.53 mm", "gland_depth": "2.8 mm", "gland_width": "4.6 mm", "stretch": "3 %"},
    lambda: _ring(), 1e-9, "exact",
    "a ring of constant volume, its section staying round: d / sqrt(1 + x)", CLOSED,
))  # fmt: skip


def _ring() -> dict[str, float]:
    d = 3.53e-3 / math.sqrt(1.03)
    return {"stretched_section": d, "squeeze": 1 - 2.8e-3 / d,
            "fill": math.pi / 4 * d**2 / (2.8e-3 * 4.6e-3)}  # fmt: skip


def _best_by_milp() -> dict[str, float]:
    """Shims of a tin that bring the stop nearest to half a turn, as an integer program."""
    tin, gap, pitch = [0.5, 0.5, 0.25, 0.1, 0.3, 0.75], 2.13, 2.0
    best = math.inf
    for turns in (0, 1):  # the stop wraps: the gap left is half a pitch, or a whole one more
        wanted = pitch * (turns + 0.5)
        n = len(tin)  # |gap - sum - wanted| <= t, t least
        found = milp(
            [*[0.0] * n, 1.0], integrality=[*[1] * n, 0], bounds=(0, [*[1] * n, np.inf]),
            constraints=[LinearConstraint([[*tin, 1.0]], gap - wanted, np.inf),
                         LinearConstraint([[*tin, -1.0]], -np.inf, gap - wanted)],
        )  # fmt: skip
        best = min(best, found.fun)
    return {"best_miss": 2 * math.pi * best / pitch}


CHECKS.append(Check(
    "shims-by-program", "calc stack-clock",
    {"pitch": "2 mm", "heights": "10 mm", "depth": "12.13 mm", "target": "180 deg",
     "shims": "0.5, 0.5, 0.25, 0.1, 0.3, 0.75 mm"},
    lambda: _best_by_milp(), 1e-6, "the mixed-integer program is solved to 1e-9",
    "SciPy milp (HiGHS)",
    picks=lambda values: {"best_miss": abs(values["best_miss"])}, picked="size of the miss",
))  # fmt: skip
for _spread in (0.1, 0.6):
    CHECKS.append(Check(
        f"on-target-{_spread:g}", "wetend.physics.stackup.within",
        {"target_miss": 0.2, "spread": _spread, "tolerance": 0.2618},
        lambda s=_spread: sum(
            norm.cdf(0.2618 - 0.2 + 2 * math.pi * k, scale=s)
            - norm.cdf(-0.2618 - 0.2 + 2 * math.pi * k, scale=s) for k in range(-3, 4)), 1e-9,
        "the same sum", "SciPy norm, wrapped round the circle",
    ))  # fmt: skip
CHECKS.append(Check(
    "stop-of-a-shim", "wetend.physics.stackup.stop_angle", {"gap": 0.0015, "lead": 0.002},
    lambda: 1.5 * math.pi, 1e-12, "exact", "a quarter of the pitch is a quarter turn", CLOSED,
))  # fmt: skip
CHECKS.append(Check(
    "solvent-slit", "calc solvent-test",
    {"head": "100 mm", "time": "600 s", "lost": "0.4 mL", "ball_diameter": "22 mm",
     "seat_width": "4 mm", "solvent": "white-spirit"},
    lambda: _weeping(), 0.02, "end losses, left out here, are below 2 % in so thin a slit",
    "plane Poiseuille flow, Q = w h^3 dp/(12 mu L), over a tenth of the contact circle", CLOSED,
))  # fmt: skip


def _weeping() -> dict[str, float]:
    from_table = {"density": 776.0, "viscosity": 1.06e-3}  # of white spirit, by our table
    circle = math.pi * 0.022 * math.cos(math.pi / 4)
    head = from_table["density"] * 9.80665 * 0.1
    flow = 0.4e-6 / 600
    return {"gap": (12 * from_table["viscosity"] * 0.004 * flow / (0.1 * circle * head)) ** (1 / 3)}


CHECKS.append(Check(
    "gland-nut", "calc gland-turn",
    {"pitch": "2 mm", "height": "28 mm", "turn": "60 deg", "stiffness": "0.6 kN/mm",
     "thread_diameter": "48 mm", "friction": "0.12", "lever": "250 mm"},
    lambda: _nut(), 2e-3, "the inclined plane takes the flank in the normal plane",
    "block on a slope: T = F d/2 tan(lambda + phi), tan phi = f/cos 30, and the collar's friction",
    CLOSED,
))  # fmt: skip


def _nut() -> dict[str, float]:
    travel, mean = 0.002 / 6, 0.048 - 0.649519 * 0.002
    force = 0.6e6 * travel
    slope = math.atan(0.002 / (math.pi * mean)) + math.atan(0.12 / math.cos(math.pi / 6))
    torque = force * mean / 2 * math.tan(slope) + 0.12 * force * 0.048 / 2
    return {"travel": travel, "squeeze": travel / 0.028, "force": force, "torque": torque,
            "pull": torque / 0.25}  # fmt: skip


def _gauge_after(minutes: float = 1.0) -> float:
    """Gauge of a hose that leaks in proportion to its pressure, step by step."""
    compliance, leak = 6.4e-12, 2e-16  # m3/Pa and m3/(s Pa)
    found = solve_ivp(lambda _, p: -leak * p / compliance, (0, 60 * minutes), [25e6], rtol=1e-12,
                      atol=1e-3)  # fmt: skip
    return float(found.y[0, -1])


CHECKS.append(Check(
    "falling-gauge", "calc pressure-hold",
    {"start": "250 bar", "end": f"{_gauge_after()!r} Pa", "time": "60 s", "growth": "6.4e-12",
     "pressure": "200 bar", "rod_held": "drive fluid trapped"},
    lambda: {"leak": 2e-16 * 2e7}, 1e-6, "integrated to 1e-12", "SciPy solve_ivp of the balance",
))  # fmt: skip
CHECKS.append(Check(
    "shared-creep", "calc outside-leak",
    {"bore": "40 mm", "rod": "24 mm", "moved_up": "9 mm", "moved_down": "16 mm", "time": "60 s"},
    lambda: {"up": math.pi / 4 * (0.04**2 - 0.024**2) * 0.009 / 60,
             "down": math.pi / 4 * 0.024**2 * 0.016 / 60,
             "outside": math.pi / 4 * 0.024**2 * 0.016 / 60}, 1e-9,
    "exact: areas as 16 to 9, ways as 9 to 16", "volume swept by the rod", CLOSED,
))  # fmt: skip
CHECKS.append(Check(
    "similar-triangles", "calc photo-length",
    {"known": "25 mm", "known_from": "0, 0", "known_to": "300, 400", "mark_from": "100, 100",
     "mark_to": "220, 190"},
    lambda: {"length": 0.0075, "pixel": 5e-5}, 1e-9, "exact: 500 pixels of scale, 150 of mark",
    "Pythagoras, 3-4-5", CLOSED,
))  # fmt: skip
CHECKS.append(Check(
    "wrench-at-an-angle", "calc wrench-extension",
    {"torque": "100 N*m", "wrench_length": "400 mm", "extension_length": "200 mm",
     "angle": "60 deg"},
    lambda: {"wrench_setting": 100 * 0.4 / 0.5}, 1e-9, "exact",
    "moments about the nut: the extension counts by the cosine of its angle", CLOSED,
))  # fmt: skip
