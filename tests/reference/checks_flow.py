"""Coatings, hoses, leaks and valves against fluids, chemicals, CoolProp, SciPy and closed forms."""

from __future__ import annotations

import importlib
import math
from functools import cache

import numpy as np
from checked import Check
from chemicals.viscosity import Viswanath_Natarajan_3
from fluids.atmosphere import ATMOSPHERE_1976
from fluids.core import Reynolds
from fluids.drag import Clift, v_terminal
from fluids.fittings import Hooper2K
from fluids.friction import friction_factor, one_phase_dP
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from wetend.materials.solvents import find_solvent
from wetend.physics.lines import FITTINGS, Line, Piece
from wetend.physics.rheology.bingham import bingham
from wetend.physics.rheology.casson import casson
from wetend.physics.rheology.herschel_bulkley import herschel_bulkley
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.power_law import power_law
from wetend.physics.rheology.temperature import COATING_ACTIVATION, Method, ThroughTwo

CHECKS: list[Check] = []
FLUIDS = "fluids library, "
SOLVENT = {"law": "newtonian", "viscosity": "0.7 mPa*s", "density": "880 kg/m3",
           "bore": "9.5 mm", "length": "30 m"}  # fmt: skip


def _smooth(flow: float) -> float:
    """Darcy and Weisbach with Colebrook's factor of a smooth bore."""
    speed = flow * 4 / (math.pi * 0.0095**2)
    reynolds = Reynolds(V=speed, D=0.0095, rho=880.0, mu=0.0007)
    return 30 / 0.0095 * friction_factor(Re=reynolds, eD=0.0) * 880.0 * speed**2 / 2


for _flow in (1e-6, 1e-4, 3e-4, 1e-3):
    CHECKS.append(Check(
        f"smooth-hose-{_flow:g}", "calc hose-loss", {**SOLVENT, "flow": f"{_flow}"},
        lambda flow=_flow: {"pressure_loss": _smooth(flow)}, 1e-9 if _flow < 1e-5 else 0.005,
        "exact in laminar flow; Colebrook there, Prandtl and Nikuradse here",
        FLUIDS + "friction_factor, smooth bore",
    ))  # fmt: skip


def _sheared(liquid: Liquid, stress: float) -> float:
    """Rate of shear under a stress above the yield stress."""
    if liquid.law == "casson":
        return (math.sqrt(stress) - math.sqrt(liquid.yield_stress)) ** 2 / liquid.consistency
    return ((stress - liquid.yield_stress) / liquid.consistency) ** (1 / liquid.index)


def _flow_of(liquid: Liquid, wall: float, bore: float) -> float:
    """Rabinowitsch and Mooney: Q = pi R^3/tau_w^3 int tau^2 rate(tau) dtau, by quadrature."""

    def under(tau: float) -> float:
        return tau**2 * _sheared(liquid, tau)

    area, _ = quad(under, liquid.yield_stress, wall, epsabs=0, epsrel=1e-12, limit=200)
    return math.pi * (bore / 2) ** 3 / wall**3 * area


for _name, _liquid, _wall in (
    ("newtonian", newtonian(0.5, 1200.0), 40.0),
    ("power", power_law(3.2, 0.72, 1420.0), 90.0),
    ("bingham", bingham(15.0, 0.15, 1300.0), 31.96),
    ("thickening", power_law(0.4, 1.4, 1300.0), 60.0),
    ("herschel-bulkley", herschel_bulkley(10.0, 2.0, 0.6, 1300.0), 60.0),
    ("stiff-herschel-bulkley", herschel_bulkley(15.0, 9.08, 0.26, 1400.0), 30.0),
    ("casson", casson(4.0, 0.25, 1300.0), 25.0),
    ("casson-near-yield", casson(15.0, 0.1, 1300.0), 18.0),
):
    CHECKS.append(Check(
        f"profile-{_name}", "wetend.physics.hose.hose_loss",
        {"liquid": _liquid, "flow": _flow_of(_liquid, _wall, 0.02), "bore": 0.02, "length": 10.0},
        lambda wall=_wall: 4 * wall * 10.0 / 0.02, 1e-7, "quadrature to 1e-12, laminar flow",
        "SciPy quad over the shear of the profile (Rabinowitsch and Mooney)",
    ))  # fmt: skip

for _reynolds in (4e3, 1e4, 1e5, 1e6):
    CHECKS.append(Check(
        f"colebrook-{_reynolds:g}", "wetend.physics.rheology.friction.dodge_metzner",
        {"reynolds": _reynolds, "index": 1.0},
        lambda re=_reynolds: friction_factor(Re=re, eD=0.0) / 4, 0.01,
        "the smooth-pipe laws differ by 0.4 % in their constant",
        FLUIDS + "friction_factor, smooth bore",
    ))  # fmt: skip

for _ours, _theirs in (
    ("elbow 90", "Elbow, 90°, Standard (R/D = 1), Screwed"),
    ("elbow 45", "Elbow, 45°, Standard (R/D = 1), All types"),
    ("tee straight", "Tee, Run, Screwed"),
    ("tee branch", "Elbow, Used as, Standard, Screwed"),
    ("ball valve", "Valve, Gate, Full line size, Beta = 1"),
    ("needle valve", "Valve, Globe, Angle or Y-type"),
    ("lift check valve", "Valve, Check, Lift"),
):
    CHECKS.append(Check(
        f"hooper-{_ours.replace(' ', '-')}", "wetend.physics.lines.two_k",
        {"fitting": FITTINGS[_ours], "reynolds": 250.0, "bore": 0.0095},
        lambda name=_theirs: Hooper2K(Di=0.0095 / 0.0254, Re=250.0, name=name), 1e-9,
        "the same formula", FLUIDS + "Hooper2K, whose table is W. B. Hooper's (1981)",
    ))  # fmt: skip


def _whole_line() -> float:
    hoses = sum(one_phase_dP(m=0.05 * 1.2, rho=1200.0, mu=0.3, D=d, roughness=0.0, L=15.0)
                for d in (0.0127, 0.0095))  # fmt: skip
    speed = 5e-5 * 4 / math.pi / 0.0095**2
    narrowing = 0.5 * (1 - (0.0095 / 0.0127) ** 2) * 1200 / 2 * speed**2
    return hoses + narrowing + 1200 * 9.80665 * 8


CHECKS.append(Check(
    "whole-line", "calc line-loss",
    {"law": "newtonian", "viscosity": "300 mPa*s", "density": "1200 kg/m3",
     "bores": "12.7 mm, 9.5 mm", "lengths": "15 m, 15 m", "rise": "8 m", "flow": "5e-5"},
    lambda: {"pressure_loss": _whole_line()}, 1e-6, "the same laws, laminar",
    FLUIDS + "one_phase_dP of each hose; a sudden narrowing loses half the step (Crane TP 410); "
    "hydrostatics",
))  # fmt: skip

for _altitude in (500, 2500, 4000):
    CHECKS.append(Check(
        f"air-at-{_altitude}", "calc suction-margin",
        {"density": "1000", "lift": "0 m", "vapour_pressure": "0 Pa", "altitude": f"{_altitude} m"},
        lambda h=_altitude: {"pressure": ATMOSPHERE_1976(h).P}, 1e-3,
        "height above the sea against geopotential height",
        FLUIDS + "ATMOSPHERE_1976, the US standard atmosphere",
    ))  # fmt: skip

for _reynolds in (0.5, 5.0, 50.0, 500.0, 5e3, 5e4):
    CHECKS.append(Check(
        f"clift-{_reynolds:g}", "wetend.physics.valves.drag_coefficient", {"reynolds": _reynolds},
        lambda re=_reynolds: Clift(re), 0.06, "two correlations of one set of measurements",
        FLUIDS + "drag.Clift (Clift, Grace and Weber 1978)",
    ))  # fmt: skip

for _d, _viscosity in ((2e-3, 1.0), (5e-3, 0.1), (0.02, 0.01)):
    CHECKS.append(Check(
        f"sinking-{_d:g}", "calc ball-fall",
        {"diameter": f"{_d} m", "ball_density": "7800", "liquid_density": "1200",
         "viscosity": f"{_viscosity} Pa*s"},
        lambda d=_d, mu=_viscosity: {
            "velocity": v_terminal(D=d, rhop=7800, rho=1200, mu=mu, Method="Clift")}, 0.03,
        "two correlations of drag; the speed goes with the root of it at most",
        FLUIDS + "v_terminal by the drag of Clift",
    ))  # fmt: skip

_HB = herschel_bulkley(12.0, 6.5, 0.6, 1400.0)


def _slit(gap: float, pressure: float, liquid: Liquid = _HB, length: float = 0.022) -> float:
    """Flow per breadth: twice the integral of distance from the middle times shear rate."""
    slope = pressure / length
    start = min(liquid.yield_stress / slope, gap / 2)

    def moment(y: float) -> float:
        return y * _sheared(liquid, max(slope * y, liquid.yield_stress))

    return 2 * quad(moment, start, gap / 2, epsabs=0, epsrel=1e-12, limit=300)[0]


for _name, _liquid, _gap in (
    ("6e-05", _HB, 60e-6), ("0.0002", _HB, 200e-6), ("casson", casson(15.0, 0.3, 1300.0), 60e-6),
):  # fmt: skip
    CHECKS.append(Check(
        f"slit-{_name}", "wetend.physics.slits.slit_flow",
        {"liquid": _liquid, "gap": _gap, "breadth": 0.1, "length": 0.022, "pressure": 1e7},
        lambda gap=_gap, liquid=_liquid: 0.1 * _slit(gap, 1e7, liquid), 1e-9, "quadrature to 1e-12",
        "SciPy quad over the profile of a plane slit",
    ))  # fmt: skip
CHECKS.append(Check(
    "ring-off-centre", "calc gap-leak",
    {"diameter": "38 mm", "clearance": "60 um", "length": "22 mm", "pressure": "100 bar",
     "consistency": "6.5", "index": "0.6", "yield_stress": "12 Pa", "eccentricity": "0.6"},
    lambda: {"flow": quad(lambda t: 0.038 * _slit(60e-6 * (1 + 0.6 * math.cos(t)), 1e7),
                          0, math.pi, epsabs=0, epsrel=1e-10)[0]}, 1e-8,
    "quadrature to 1e-10", "SciPy quad round the ring over slits of the local gap",
))  # fmt: skip


def _chip() -> float:
    """p = 12 mu L Q/(w h^3) + 1.5 rho/2 (Q/(w h))^2, by Brent."""
    drag = 12 * 0.05 * 1e-3 / (2e-3 * (60e-6) ** 3)
    ends = 1.5 * 1300 / (2 * (2e-3 * 60e-6) ** 2)
    return brentq(lambda q: drag * q + ends * q * q - 2e7, 0.0, 1.0, xtol=1e-18, rtol=1e-14)


CHECKS.append(Check(
    "chipped-seat", "calc seat-leak",
    {"gap": "60 um", "breadth": "2 mm", "length": "1 mm", "pressure": "200 bar",
     "viscosity": "50 mPa*s", "density": "1300"},
    lambda: {"flow": _chip()}, 1e-9, "the same equation, solved otherwise",
    "plane Poiseuille flow with 1.5 velocity heads at its ends (Borda), SciPy brentq",
))  # fmt: skip
for _shape, _depth, _exact in (
    # Darcy f Re 160/3 of an equilateral triangle; 56.908 of a square, by its series
    ("triangle", 200e-6 * math.sqrt(3) / 2, 160 / 3),
    (
        "rectangle",
        200e-6,
        96
        / (
            4
            * (
                1
                - 192
                / math.pi**5
                * sum(math.tanh(n * math.pi / 2) / n**5 for n in range(1, 400, 2))
            )
        ),
    ),
):
    CHECKS.append(Check(
        f"score-{_shape}", "calc score-leak",
        {"shape": _shape, "width": "200 um", "depth": f"{_depth} m", "length": "22 mm",
         "pressure": "200 bar", "viscosity": "0.5"},
        lambda value=_exact: {"poiseuille": value}, 2e-4, "finite elements and tables to 1e-4",
        "exact solution of the duct equation: F. M. White, Viscous Fluid Flow, section 3-3",
        "closed form",
    ))  # fmt: skip


@cache
def properties() -> object:
    """CoolProp, which takes three seconds to read in."""
    return importlib.import_module("CoolProp.CoolProp")


def _known(what: str, kelvin: float, liquid: str) -> float:
    return float(properties().PropsSI(what, "T", kelvin, "P", 101325, liquid))  # type: ignore[attr-defined]


for _liquid_name in ("o-Xylene", "n-Decane", "Toluene"):
    CHECKS.append(Check(
        f"andrade-{_liquid_name.lower()}", "wetend.physics.rheology.temperature.ThroughTwo",
        {"method": "andrade", "points": (_liquid_name, 283.15, 313.15)},
        lambda name=_liquid_name: _known("V", 298.15, name), 0.005,
        "two constants over 30 K", "CoolProp reference equation at 10, 25 and 40 degC",
        run=lambda name=_liquid_name: _through("andrade", name, 283.15, 313.15).viscosity(298.15),
    ))  # fmt: skip


def _through(method: Method, name: str, cool: float, warm: float) -> ThroughTwo:
    return ThroughTwo(method, (cool, _known("V", cool, name)), (warm, _known("V", warm, name)))


def _databook(t: float, name: str) -> float:
    a, b, c = {"water": (-1.5318, -220.57, 149.39),
               "butyl acetate": (-1.7722, -431.58, 29.726)}[name]  # fmt: skip
    return float(Viswanath_Natarajan_3(t, a - 3, b, c))


for _liquid_name in ("water", "butyl acetate"):
    _three = [(t, _databook(t, _liquid_name)) for t in (280.0, 300.0, 340.0)]
    CHECKS.append(Check(
        f"vogel-{_liquid_name.replace(' ', '-')}", "calc viscosity-temperature",
        {"method": "vogel", "temperature": "320 K",
         **{f"temperature_{i}": f"{t} K" for i, (t, _) in enumerate(_three, 1)},
         **{f"viscosity_{i}": f"{v}" for i, (_, v) in enumerate(_three, 1)}},
        lambda name=_liquid_name: {"viscosity": _databook(320.0, name)}, 1e-6,
        "the same law through three of its points",
        "chemicals library, Viswanath_Natarajan_3 (Viswanath and Natarajan 1989)",
    ))  # fmt: skip


def _oil(kelvin: float) -> float:
    return _known("V", kelvin, "n-Dodecane") / _known("D", kelvin, "n-Dodecane")


CHECKS.append(Check(
    "walther-dodecane", "wetend.physics.rheology.temperature.ThroughTwo",
    {"method": "d341", "points": ("n-Dodecane", 273.15, 303.15)}, lambda: _oil(288.15), 0.01,
    "the form of ASTM D341 over 30 K", "CoolProp reference equation at 0, 15 and 30 degC",
    run=lambda: ThroughTwo(
        "d341", (273.15, _oil(273.15)), (303.15, _oil(303.15))
    ).viscosity(288.15),
))  # fmt: skip
CHECKS.append(Check(
    "warm-by-two", "calc warm-viscosity",
    {"viscosity": "1 Pa*s", "measured_at": "283.15 K", "wanted_at": "298.15 K",
     "second_viscosity": "0.3 Pa*s", "second_at": "313.15 K"},
    lambda: {"viscosity": math.exp(math.log(0.3) * (1 / 298.15 - 1 / 283.15)
                                   / (1 / 313.15 - 1 / 283.15))}, 1e-9,
    "the same law", "Andrade's law, ln mu straight over 1/T, written through two points",
    "closed form",
))  # fmt: skip


def _solvent(key: str, what: str, kelvin: float) -> float:
    return float(getattr(find_solvent(key), what)(kelvin))


def _saturated(liquid: str, kelvin: float) -> float:
    return float(properties().PropsSI("P", "T", kelvin, "Q", 0, liquid))  # type: ignore[attr-defined]


for _key, _liquid_name in (("water", "Water"), ("toluene", "Toluene"), ("acetone", "Acetone")):
    for _what, _sign, _within in (("density", "D", 0.003), ("viscosity", "V", 0.05)):
        if (_key, _what) == ("acetone", "viscosity"):
            continue  # the library has none
        CHECKS.append(Check(
            f"{_key}-{_what}", f"wetend.materials.solvents.Solvent.{_what}",
            {"key": _key, "temperature": 303.15},
            lambda n=_liquid_name, s=_sign: _known(s, 303.15, n), _within,
            "a line between table values at 20 and 40 degC of another handbook",
            "CoolProp reference equation at 30 degC",
            run=lambda k=_key, w=_what: _solvent(k, w, 303.15),
        ))  # fmt: skip
    CHECKS.append(Check(
        f"{_key}-vapour", "wetend.materials.solvents.Solvent.vapour_pressure",
        {"key": _key, "temperature": 303.15}, lambda n=_liquid_name: _saturated(n, 303.15), 0.02,
        "the line of Clausius and Clapeyron between 20 and 40 degC",
        "CoolProp reference equation, saturation at 30 degC",
        run=lambda k=_key: _solvent(k, "vapour_pressure", 303.15),
    ))  # fmt: skip


@cache
def _heated() -> tuple[float, float]:
    """Outlet temperature and loss of a hose in a warm jacket, step by step."""
    rate = 60.0 * math.pi * 0.0095 / (1400.0 * 2000.0 * 3e-5)
    found = solve_ivp(lambda _, t: rate * (318.15 - t), (0, 30), [293.15], rtol=1e-11, atol=1e-10,
                      dense_output=True)  # fmt: skip

    def slope(x: float) -> float:
        thin = math.exp(COATING_ACTIVATION * (1 / found.sol(x)[0] - 1 / 293.15))
        return 128 * 1.2 * thin * 3e-5 / (math.pi * 0.0095**4)

    return float(found.y[0, -1]), quad(slope, 0, 30, epsrel=1e-10)[0]


CHECKS.append(Check(
    "heated-hose", "calc heated-hose",
    {"law": "newtonian", "viscosity": "1.2 Pa*s", "density": "1400 kg/m3",
     "measured_at": "293.15 K", "inlet": "293.15 K", "surroundings": "318.15 K", "flow": "3e-5",
     "bore": "9.5 mm", "length": "30 m", "transfer": "60", "heat_capacity": "2000"},
    lambda: {"outlet": _heated()[0], "pressure_loss": _heated()[1]}, 1e-6,
    "both to 1e-9", "SciPy solve_ivp of the heat balance, quad of Hagen and Poiseuille along it",
))  # fmt: skip
CHECKS.append(Check(
    "warmth-needed", "calc warmth-needed",
    {"law": "newtonian", "viscosity": "1 Pa*s", "density": "1300 kg/m3", "bores": "9.5 mm",
     "lengths": "30 m", "flow": "3e-5", "pressure": "20 bar", "measured_at": "283.15 K",
     "cup_ratio": "0.65"},
    lambda: {"temperature": 1 / (1 / 283.15 + (1 / 293.15 - 1 / 283.15) / math.log(0.65)
             * math.log(2e6 * math.pi * 0.0095**4 / (128 * 30 * 3e-5)))}, 1e-6,
    "laminar flow", "Hagen and Poiseuille solved for the viscosity, Andrade for its temperature",
    "closed form",
))  # fmt: skip
CHECKS.append(Check(
    "fall-from-rest", "wetend.physics.falls.fall_time",
    {"rise": 0.003, "ball_diameter": 0.022, "ball_density": 7800.0, "density": 1300.0,
     "viscosity": 1.0},
    lambda: _fallen(), 2e-3, "step by step, drag of Clift against drag of Cheng at Re below 10",
    "SciPy solve_ivp with the added mass of a sphere and the fluids library's drag of Clift",
))  # fmt: skip


def _fallen() -> float:
    d, ball, rho, mu, g = 0.022, 7800.0, 1300.0, 1.0, 9.80665
    volume = math.pi / 6 * d**3

    def slope(_: float, y: np.ndarray) -> list[float]:
        re = max(rho * y[1] * d / mu, 1e-9)
        drag = Clift(re) * rho / 2 * y[1] ** 2 * math.pi / 4 * d**2
        return [y[1], ((ball - rho) * volume * g - drag) / ((ball + rho / 2) * volume)]

    def there(_: float, y: np.ndarray) -> float:
        return float(y[0] - 0.003)

    there.terminal = True  # type: ignore[attr-defined]
    found = solve_ivp(slope, (0, 5), [0.0, 0.0], events=there, rtol=1e-9, atol=1e-12)
    return float(found.t_events[0][0])


CHECKS.append(Check(
    "solvent-flow", "wetend.physics.lines.line_flow",
    {"liquid": newtonian(0.0007, 880.0), "pressure": 5e5, "line": Line((Piece(0.0095, 30.0),))},
    lambda: brentq(lambda q: _smooth(q) - 5e5, 1e-6, 1e-2, xtol=1e-15), 0.003,
    "Colebrook there, Prandtl and Nikuradse here", FLUIDS + "friction_factor with SciPy brentq",
))  # fmt: skip
