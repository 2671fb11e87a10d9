"""The figures of the theory pages: each a published table or curve, with ours over it.

Every figure checks itself while it is drawn: where a published value stands, ours must lie within
the distance named, or the build stops.
"""

from __future__ import annotations

import csv
import importlib.util
import json
import math
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np
from chemicals.viscosity import viscosity_converter
from fluids.atmosphere import ATMOSPHERE_1976
from fluids.fittings import Hooper2K
from fluids.friction import friction_factor
from plot import Axis, Plot

from wetend.materials.cups import find_cup
from wetend.physics import air, channels, falls, grooves, lines, nozzle, scored, valves
from wetend.physics.circle import least_squares_circle
from wetend.physics.film import theoretical_coverage
from wetend.physics.leakage import eccentric_factor
from wetend.physics.rheology.bingham import hanks_critical
from wetend.physics.rheology.cups import kinematic_viscosity
from wetend.physics.rheology.fit import fit
from wetend.physics.rheology.friction import dodge_metzner, fanning_friction
from wetend.physics.rheology.liquid import Liquid, shear_stress
from wetend.physics.rheology.temperature import ThroughTwo, vogel
from wetend.physics.rheology.thinning import thinned_viscosity
from wetend.physics.seals import stretched_section
from wetend.physics.slits import annulus_leak, slit_flow
from wetend.physics.suction import ACCELERATION_CONSTANT, atmosphere_at, crank_head
from wetend.physics.threads import stress_area

ROOT = Path(__file__).parents[1]
REFERENCE = ROOT / "tests" / "reference"


def near(ours: float, published: float, within: float) -> None:
    """Stop the build where ours and the published figure differ by more than this share."""
    if abs(ours - published) > within * abs(published):
        raise ValueError(f"{ours:g} against {published:g} published: more than {within:.2%}")


def rows(name: str) -> list[dict[str, str]]:
    """Published figures of one source, from the tests' own tables."""
    with (REFERENCE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _runner() -> ModuleType:
    """The runner of the published figures, whose reading of a row is the only one."""
    spec = importlib.util.spec_from_file_location(
        "reference_runner", REFERENCE / "test_reference.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _numbers(value: object) -> list[float]:
    if isinstance(value, dict):
        return [n for item in value.values() for n in _numbers(item)]
    if isinstance(value, list):
        return [n for item in value for n in _numbers(item)]
    return [] if isinstance(value, str) else [float(value)]  # type: ignore[arg-type]


def _results(
    result: object, expected: object, picked: Callable[[object, str], object]
) -> list[float]:
    if isinstance(expected, dict):
        return [n for k, v in expected.items() for n in _results(picked(result, k), v, picked)]
    if isinstance(expected, str):
        return []
    return [float(n) for n in np.ravel(np.asarray(result, dtype=float))]


def agreement(modules: tuple[str, ...], what: str) -> str:
    """Ours over published, for every published figure that calls one of these modules."""
    runner = _runner()
    shares: list[float] = []
    memory: list[bool] = []
    for _, row in runner.ROWS:
        if not any(
            row["calls"].startswith(f"wetend.physics.{m}.") or row["calls"] == m for m in modules
        ):
            continue
        expected = runner.meant(json.loads(row["expected"]))
        for ours, told in zip(
            _results(runner.result_of(row), expected, runner.picked),
            _numbers(expected),
            strict=True,
        ):
            if told == 0:
                continue
            near(ours, told, float(row["tolerance"]) * 1.01 + 1e-12)
            shares.append(100 * (ours / told - 1))
            memory.append(row["status"] == "memory")
    reach = max(0.1, 1.25 * max(abs(s) for s in shares))
    plot = Plot(
        Axis("published figure, in the order of the evidence page", 0, len(shares) + 1),
        Axis("ours over published, %", -reach, reach),
        f"Agreement with published figures: {what}",
        f"{len(shares)} published figures; the largest difference is {max(abs(s) for s in shares):.2g} %.",
    )
    plot.law(lambda x: 0 * x, ink=4)
    numbered = list(enumerate(shares, 1))
    seen = [(i, s) for (i, s), m in zip(numbered, memory, strict=True) if not m]
    told = [(i, s) for (i, s), m in zip(numbered, memory, strict=True) if m]
    if seen:
        plot.points(*zip(*seen, strict=True), label="source seen", ink=0)
    if told:
        plot.points(*zip(*told, strict=True), label="from memory", ink=1)
    return plot.svg()


def flow_laws() -> str:
    """Two laws through the same two readings: Coulson and Richardson, ex. 3.10."""
    rates, stresses = [10.0, 50.0], [15.85, 21.87]
    power, plastic = (fit(rates, stresses, law).liquid for law in ("power-law", "bingham"))
    near(power.consistency, 10.0, 2e-3)
    near(power.index, 0.2, 2e-3)
    near(plastic.yield_stress, 14.345, 1e-4)
    near(plastic.consistency, 0.1505, 1e-4)
    plot = Plot(
        Axis("rate of shear, 1/s", 0.1, 1e4, log=True), Axis("shear stress, Pa", 4, 1000, log=True),
        "Two flow laws through the same two readings",
        "A power law and a Bingham law agree between 10 and 50 reciprocal seconds and part outside.",
    )  # fmt: skip
    plot.law(lambda x: shear_stress(power, x), "power law, K = 10, n = 0.2", ink=0)
    plot.law(
        lambda x: shear_stress(plastic, x), "Bingham, 14.345 Pa and 0.1505 Pa s", ink=2, dash=1
    )
    return plot.points(rates, stresses, "the readings").svg()


def cups() -> str:
    """Cups and the seconds they take; Cannon's table of oils and drain times."""
    plot = Plot(
        Axis("time to empty, s", 18, 160, log=True), Axis("kinematic viscosity, mm²/s", 5, 2000, log=True),
        "Flow cups: seconds to viscosity",
        "Six cups by their formulas, Cannon Instrument's table of drain times, and another table of Zahn cups.",
    )  # fmt: skip
    for i, key in enumerate(("iso-4mm", "ford-2", "ford-4", "ford-5", "zahn-2", "zahn-3")):
        cup = find_cup(key)
        times = np.geomspace(cup.shortest, cup.longest, 41)
        plot.curve(
            times,
            [kinematic_viscosity(float(t), cup) * 1e6 for t in times],
            cup.title,
            ink=i,
            dash=i,
        )
    told = []
    for row in rows("cannon-cups"):
        given = json.loads(row["inputs"])
        published = json.loads(row["expected"])["kinematic_viscosity"]["kinematic viscosity"]
        told.append((float(given["time"].split()[0]), float(published.removesuffix(" mm^2/s"))))
    plot.points(*zip(*told, strict=True), label="Cannon Instrument, drain times of oils", ink=1)
    other = [(t, viscosity_converter(t, f"zahn cup #{n}", "kinematic viscosity") * 1e6)
             for n, times in ((2, (22, 33, 46)), (3, (24, 34, 47))) for t in times]  # fmt: skip
    plot.points(
        *zip(*other, strict=True),
        label="Zahn 2 and 3 by the chemicals library: they disagree",
        ink=3,
    )
    return plot.svg()


_VOGEL = {
    "water": (-1.5318, -220.57, 149.39, 270, 380), "o-xylene": (-1.8927, -553.59, -14.003, 270, 380),
    "butyl acetate": (-1.7722, -431.58, 29.726, 270, 380),
}  # fmt: skip


def temperature() -> str:
    """Vogel's law by the databook constants, and Andrade and Vogel through two of its points."""
    plot = Plot(
        Axis("temperature, °C", 0, 100), Axis("viscosity, mPa s", 0.2, 3, log=True),
        "Viscosity and temperature",
        "Vogel's law with the databook constants of Viswanath and Natarajan, values of reference "
        "equations, and Andrade's law through two of the points.",
    )  # fmt: skip
    seen = {
        "water": ((20, 1.0016), (25, 0.8900)),
        "o-xylene": ((20, 0.8112), (25, 0.7569)),
        "butyl acetate": (),
    }
    for i, (name, (a, b, c, *_)) in enumerate(_VOGEL.items()):
        at = [vogel(t + 273.15, a=a, b=b, c=c) for t in range(0, 101, 2)]
        plot.curve(range(0, 101, 2), [v * 1000 for v in at], f"{name}, Vogel", ink=i)
        line = ThroughTwo("andrade", (283.15, at[5]), (333.15, at[30]))
        plot.curve(
            range(0, 101, 2),
            [1000 * line.viscosity(t + 273.15) for t in range(0, 101, 2)],
            ink=i,
            dash=2,
        )
        for t, value in seen[name]:
            near(vogel(t + 273.15, a=a, b=b, c=c) * 1000, value, 0.005)
    told = [p for points in seen.values() for p in points]
    plot.points(*zip(*told, strict=True), label="IAPWS and CoolProp reference equations", ink=4)
    plot.curve([0, 0], [1, 1], "dotted: Andrade through 10 and 60 °C", ink=4, dash=2)
    return plot.svg()


def thinning() -> str:
    """The logarithmic rule; no published table of a coating was found."""
    plot = Plot(
        Axis("thinner, % of the coating's volume", 0, 30), Axis("viscosity, mPa s", 10, 3000, log=True),
        "What thinner does", "Three coatings thinned with a solvent of 0.7 mPa s by the logarithmic rule.",
    )  # fmt: skip
    for i, thick in enumerate((2.0, 0.8, 0.3)):
        plot.law(lambda x, mu=thick: np.array([1000 * thinned_viscosity(mu, 7e-4, s / 100) for s in x]),
                 f"{thick * 1000:g} mPa s as bought", ink=i)  # fmt: skip
    return plot.svg()


def friction() -> str:
    """The friction chart: laminar line and turbulent curves by flow index."""
    plot = Plot(
        Axis("Reynolds number of Metzner and Reed", 100, 1e6, log=True), Axis("Fanning friction factor", 1e-3, 0.2, log=True),
        "Friction in a smooth bore",
        "Laminar flow, turbulent flow of Dodge and Metzner for four flow indices, Colebrook's smooth pipe and one measured slurry.",
    )  # fmt: skip
    plot.law(lambda x: np.where(x < 3000, 16 / x, np.nan), "laminar, 16/Re", ink=4)
    for i, n in enumerate((1.0, 0.8, 0.6, 0.4)):
        plot.law(
            lambda x, n=n: np.where(x > 3000, dodge_metzner(x, n), np.nan),
            f"turbulent, n′ = {n:g}",
            ink=i % 4,
            dash=i,
        )
    known = [(re, friction_factor(Re=re, eD=0.0) / 4) for re in (5e3, 2e4, 1e5, 5e5)]
    for re, value in known:
        near(float(dodge_metzner(re, 1.0)), value, 0.01)
    plot.points(*zip(*known, strict=True), label="Colebrook, smooth, by the fluids library", ink=0)
    liquid = Liquid("bingham", 1530.0, 3.8, 0.00686, 1.0)
    ours = fanning_friction(liquid, 3.47, 0.0206)
    near(2 * float(ours.wall_stress) / (1530 * 3.47**2), 0.00619, 0.12)
    label = "measured Bingham slurry, de Nevers ex. 13.5 (ours 11 % high)"
    return plot.points([float(ours.reynolds)], [0.00619], label, ink=1).svg()


def transition() -> str:
    """Where laminar flow of a Bingham liquid ends."""
    plot = Plot(
        Axis("Hedström number", 1e3, 1e8, log=True), Axis("critical Reynolds number, plastic viscosity", 1e3, 1e6, log=True),
        "End of laminar flow of a Bingham liquid",
        "The limit of Hanks, with the coal slurry of Chhabra and Richardson.",
    )  # fmt: skip
    plot.law(lambda x: np.array([hanks_critical(float(h)) for h in x]), "Hanks 1963", ink=0)
    near(hanks_critical(4.73e5), 11760, 2e-3)
    return plot.points([4.73e5], [11760], "coal slurry, Chhabra and Richardson (from memory)").svg()


def fittings() -> str:
    """Loss of fittings against Reynolds number."""
    plot = Plot(
        Axis("Reynolds number", 1, 1e6, log=True), Axis("loss, velocity heads", 0.1, 3000, log=True),
        "Loss of small fittings, slow and fast", "Hooper's two numbers in a 9.5 mm bore, and the fluids library's.",
    )  # fmt: skip
    names = (("elbow 90", "Elbow, 90°, Standard (R/D = 1), Screwed"), ("tee branch", "Elbow, Used as, Standard, Screwed"),
             ("ball valve", "Valve, Gate, Full line size, Beta = 1"), ("lift check valve", "Valve, Check, Lift"))  # fmt: skip
    for i, (ours, theirs) in enumerate(names):
        item = lines.FITTINGS[ours]
        plot.law(
            lambda x, f=item: np.array([lines.two_k(f, float(r), 0.0095) for r in x]),
            ours,
            ink=i,
            dash=i,
        )
        known = [(r, Hooper2K(Di=0.0095 / 0.0254, Re=r, name=theirs)) for r in (10.0, 1e3, 1e5)]
        for r, value in known:
            near(lines.two_k(item, r, 0.0095), value, 1e-9)
        plot.points(
            *zip(*known, strict=True), label="by the fluids library" if i == 0 else "", ink=i
        )
    return plot.svg()


def nozzle_coefficient() -> str:
    """Discharge coefficient against Reynolds number, with its two limits."""
    plot = Plot(
        Axis("Reynolds number of the nozzle", 1, 1e5, log=True), Axis("discharge coefficient", 0.05, 1, log=True),
        "Discharge of a nozzle, slow and fast",
        "The coefficient for a sharp hole and for lands of one and four diameters, and Sampson's limit.",
    )  # fmt: skip
    for i, ratio in enumerate((0.0, 1.0, 4.0)):

        def at(x: np.ndarray, ratio: float = ratio) -> np.ndarray:
            flow = x * math.pi * 0.02 * 0.5e-3 / (4 * 1200.0)
            return nozzle.effective_coefficient(
                flow, 0.5e-3, density=1200.0, viscosity=0.02, land=ratio * 0.5e-3
            )[1]

        plot.law(at, "sharp hole" if ratio == 0 else f"land of {ratio:g} diameters", ink=i, dash=i)
    plot.law(
        lambda x: np.where(x < 60, np.sqrt(x / (12 * math.pi)), np.nan),
        "Sampson 1891, slow flow through a hole",
        ink=4,
        dash=4,
    )
    return plot.svg()


def drag() -> str:
    """The standard drag curve of a sphere."""
    table = ((0.1, 240), (1, 26.5), (10, 4.1), (100, 1.07), (1e3, 0.46), (1e4, 0.405), (1e5, 0.48))
    plot = Plot(
        Axis("Reynolds number", 0.05, 2e5, log=True), Axis("drag coefficient", 0.2, 600, log=True),
        "Drag of a sphere", "The law of Cheng with the standard table of Lapple and Shepherd, and Stokes's law.",
    )  # fmt: skip
    plot.law(
        lambda x: np.array([valves.drag_coefficient(float(r)) for r in x]), "Cheng 2009", ink=0
    )
    plot.law(lambda x: np.where(x < 3, 24 / x, np.nan), "Stokes", ink=4, dash=2)
    for re, value in table:
        near(valves.drag_coefficient(re), value, 0.07)
    return plot.points(
        *zip(*table, strict=True), label="Lapple and Shepherd 1940 (from memory)"
    ).svg()


def wall() -> str:
    """How a tube slows a slow sphere."""
    table = (
        (0.1, 1.263),
        (0.2, 1.680),
        (0.3, 2.371),
        (0.4, 3.596),
        (0.5, 5.970),
        (0.6, 11.135),
        (0.7, 24.955),
        (0.8, 73.555),
    )
    plot = Plot(
        Axis("ball over tube diameter", 0, 0.85), Axis("drag over that far from walls", 1, 150, log=True),
        "A slow ball in a tube", "Bungay and Brenner against the table of Haberman and Sayre, Faxén and Francis.",
    )  # fmt: skip
    plot.law(
        lambda x: np.array([valves.wall_factor(float(r)) for r in x]),
        "Bungay and Brenner 1973 (ours)",
        ink=0,
    )
    plot.law(
        lambda x: 1 / (1 - 2.104 * x + 2.09 * x**3 - 0.95 * x**5),
        "Faxén, good to 0.3",
        ink=2,
        dash=1,
    )
    plot.law(lambda x: ((1 - 0.475 * x) / (1 - x)) ** 4, "Francis", ink=3, dash=2)
    for ratio, value in table:
        near(valves.wall_factor(ratio), value, 0.017)
    return plot.points(
        *zip(*table, strict=True), label="Haberman and Sayre, table (from memory)"
    ).svg()


def opening() -> str:
    """Flow area of a ball on a 45 degree cone over its lift."""
    seat = valves.Seat(0.020, math.radians(45), 0.0135, 0.003)
    hole = math.pi / 4 * 0.0135**2 * 1e6
    plot = Plot(
        Axis("rise, mm", 0, 7), Axis("flow area, mm²", 0, 170),
        "A ball of 20 mm on a 45 degree cone",
        "The narrowest ring over the whole lift, the law for small lifts, and the published law at 45 degrees.",
    )  # fmt: skip
    plot.law(
        lambda x: valves.seat_opening(seat, x / 1000) * 1e6,
        "narrowest ring, then the hole (ours)",
        ink=0,
    )
    plot.law(lambda x: valves.curtain_area(0.020, seat.half_angle, rise=x / 1000, seat_bore=0.0135) * 1e6,
             "ring square to the cone, for small lifts", ink=2, dash=1)  # fmt: skip
    a, told = 0.010 * math.cos(math.radians(45)), []
    for rise in (0.5, 1.0, 1.5, 2.0, 3.0):
        x = rise / 1000
        area = math.pi * (2 * a + x * 0.5) * x * math.cos(math.radians(45)) * 1e6
        near(
            float(valves.curtain_area(0.020, seat.half_angle, rise=x, seat_bore=0.0135)) * 1e6,
            area,
            1e-9,
        )
        told.append((rise, area))
    plot.points(
        *zip(*told, strict=True), label="conical poppet, Modelon Hydraulics help, 45 degrees"
    )
    return plot.law(lambda x: 0 * x + hole, "area of the hole", ink=4, dash=4).svg()


def fall() -> str:
    """Time of a ball back to its seat."""
    plot = Plot(
        Axis("viscosity, Pa s", 0.01, 30, log=True), Axis("time back from 3 mm, s", 0.01, 10, log=True),
        "A ball of 22 mm on its way back",
        "Steel ball in a liquid of 1300 kg per cubic metre: from rest, at its steady speed, in a tube and with a spring.",
    )  # fmt: skip
    grid = np.geomspace(0.01, 30, 31)
    how = {"ball_density": 7800.0, "density": 1300.0}

    def times(**more: float) -> list[float]:
        return [falls.fall_time(0.003, 0.022, viscosity=float(v), **how, **more) for v in grid]

    plot.curve(grid, times(), "far from walls, from rest", ink=0)
    plot.curve(grid, times(tube=0.030), "in a tube of 30 mm", ink=1, dash=1)
    plot.curve(
        grid, times(tube=0.030, spring=10.0), "the same with a spring of 10 N", ink=2, dash=2
    )
    steady = [
        0.003 / valves.fall_speed(0.022, 6500.0, density=1300.0, viscosity=float(v)) for v in grid
    ]
    return plot.curve(grid, steady, "far from walls, at its steady speed", ink=4, dash=4).svg()


def ducts() -> str:
    """f Re of rectangles, and of other grooves."""
    told = {}
    for row in rows("shah-london"):
        if row["calls"].endswith("rectangle_poiseuille"):
            told[json.loads(row["inputs"])["aspect"]] = float(row["expected"])
    plot = Plot(
        Axis("depth over width of the groove", 0.02, 1), Axis("Darcy f Re", 45, 100),
        "Poiseuille number of grooves",
        "Rectangles by series with the handbook's values, and other profiles by finite elements.",
    )  # fmt: skip
    plot.law(
        lambda x: np.array([channels.rectangle_poiseuille(float(a)) for a in x]), "rectangle", ink=0
    )
    at = np.linspace(0.02, 1, 25)
    plot.curve(
        at,
        [grooves.ellipse_groove(float(a), 1.0).poiseuille for a in at],
        "half ellipse",
        ink=2,
        dash=1,
    )
    plot.curve(
        at,
        [grooves.parabola_groove(float(a), 1.0).poiseuille for a in at],
        "parabola",
        ink=3,
        dash=2,
    )
    plot.curve(
        at, [channels.triangle(float(a), 1.0).poiseuille for a in at], "triangle", ink=4, dash=3
    )
    for aspect, value in told.items():
        near(channels.rectangle_poiseuille(aspect), value, 3e-4)
    near(grooves.ellipse_groove(0.5, 1.0).poiseuille, 63.07, 2e-4)
    plot.points(list(told), list(told.values()), "Shah and London 1978, rectangles")
    return plot.points([0.5], [63.07], "semicircle, Fanning 15.767", ink=2).svg()


def triangles() -> str:
    """f Re of isosceles triangles by apex angle."""
    told = [(float(json.loads(r["inputs"])["apex"]["angle"].split()[0]), float(r["expected"]))
            for r in rows("shah-london") if r["calls"].endswith("triangle_poiseuille")]  # fmt: skip
    plot = Plot(
        Axis("apex angle, degrees", 0, 180), Axis("Darcy f Re", 47, 54),
        "Poiseuille number of V-shaped scores",
        "Isosceles triangles by finite elements, the handbook's values and the fit of the Modelica library.",
    )  # fmt: skip
    plot.law(
        lambda x: np.array([channels.triangle_poiseuille(math.radians(float(b))) for b in x]),
        "finite elements (ours)",
        ink=0,
    )
    plot.law(
        lambda x: np.where(x <= 90, 48.5575 + 0.1577 * x - 0.0013 * x**2, np.nan),
        "fit of the Modelica library, to 90 degrees",
        ink=2,
        dash=1,
    )
    for angle, value in told:
        near(channels.triangle_poiseuille(math.radians(angle)), value, 5e-4)
    return plot.points(*zip(*told, strict=True), label="Shah and London 1978 (from memory)").svg()


def eccentric() -> str:
    """How much more an eccentric ring leaks, by flow law."""
    plot = Plot(
        Axis("offset over clearance", 0, 1), Axis("leak over that of a centred ring", 1, 5),
        "A ring off its centre",
        "The factor for a newtonian liquid with its three known values, and for coatings that thin with shear.",
    )  # fmt: skip
    how = {"length": 0.022, "pressure": 2e6}
    for i, n in enumerate((1.0, 0.7, 0.5)):
        liquid = Liquid("power-law", 1400.0, 0.0, 3.0, n)
        centred = annulus_leak(liquid, 0.038, 60e-6, **how)
        plot.law(lambda x, q=centred, c=liquid: np.array(
            [annulus_leak(c, 0.038, 60e-6, **how, eccentricity=float(e)) / q for e in x]),
            "newtonian" if n == 1 else f"power law, n = {n:g}", ink=i, dash=i)  # fmt: skip
    told = ((0.0, 1.0), (0.5, 1.375), (1.0, 2.5))
    for offset, value in told:
        near(eccentric_factor(offset), value, 1e-12)
    return plot.points(
        *zip(*told, strict=True), label="1, 1.375 and 2.5: Merritt 1967 (from memory)"
    ).svg()


def stretch() -> str:
    """Section lost by a stretched ring; the points are exact at constant volume."""
    plot = Plot(
        Axis("stretch of the inside, %", 0, 5), Axis("section lost, %", 0, 3),
        "A ring stretched over its groove", "Constant volume, the section staying round.",
    )  # fmt: skip
    plot.law(
        lambda x: np.array([100 * (1 - stretched_section(1.0, s / 100)) for s in x]),
        "constant volume (ours)",
        ink=0,
    )
    told = ((2.0, 0.99), (3.0, 1.47), (5.0, 2.41))
    for percent, lost in told:
        near(100 * (1 - stretched_section(1.0, percent / 100)), lost, 5e-3)
    return plot.points(*zip(*told, strict=True), label="1 − 1/√(1 + x), worked by hand").svg()


def threads() -> str:
    """Tensile stress areas of coarse threads."""
    told = [(d, p, a) for d, p, a in ((20, 2.5, 244.79), (30, 3.5, 560.59), (48, 5, 1473.2), (56, 5.5, 2030.0),
                                      (64, 6, 2676.0), (80, 6, 4344.1), (100, 6, 6994.7))]  # fmt: skip
    plot = Plot(
        Axis("nominal diameter, mm", 15, 110, log=True), Axis("stress area, mm²", 100, 10000, log=True),
        "Stress area of metric threads", "The formula with a pitch of 6 mm and of none, and Bickford's table.",
    )  # fmt: skip
    plot.law(
        lambda x: np.array([stress_area(d / 1000, 0.006) * 1e6 for d in x]), "pitch 6 mm", ink=0
    )
    plot.law(
        lambda x: np.array([stress_area(d / 1000, 0.0025) * 1e6 for d in x]),
        "pitch 2.5 mm",
        ink=2,
        dash=1,
    )
    for d, p, a in told:
        near(stress_area(d / 1000, p / 1000) * 1e6, a, 1e-4)
    return plot.points(
        [d for d, _, _ in told], [a for _, _, a in told], "Bickford, coarse threads"
    ).svg()


def atmosphere() -> str:
    """Pressure of the air by height."""
    plot = Plot(
        Axis("height above the sea, m", 0, 5000), Axis("pressure of the air, bar", 0.5, 1.05),
        "What the air gives to suction", "The standard atmosphere by formula, and by the fluids library.",
    )  # fmt: skip
    plot.law(
        lambda x: np.array([atmosphere_at(float(h)) / 1e5 for h in x]), "formula (ours)", ink=0
    )
    told = [(h, ATMOSPHERE_1976(h).P / 1e5) for h in (0.0, 1000.0, 2000.0, 3000.0, 4000.0)]
    for h, p in told:
        near(atmosphere_at(h) / 1e5, p, 1e-3)
    return plot.points(
        *zip(*told, strict=True), label="US Standard Atmosphere 1976, fluids library"
    ).svg()


def acceleration() -> str:
    """The crank's constant by theory for one cylinder, with those of the Hydraulic Institute."""
    names = (
        "simplex double-acting",
        "duplex double-acting",
        "triplex",
        "quintuplex",
        "septuplex",
        "nonuplex",
    )
    cylinders = (1, 2, 3, 5, 7, 9)
    told = [ACCELERATION_CONSTANT[n] for n in names]
    mean = 2 * 0.3 * 1.5 * 4
    theory = 1.2 * crank_head(5.0, 4.0, 0.3, 1.5) * 9.80665 / (5.0 * mean * 90.0)
    near(theory, told[0], 0.02)
    plot = Plot(
        Axis("cylinders", 0, 10), Axis("constant C of the acceleration head", 0, 0.25),
        "Acceleration head of crank-driven pumps",
        "The Hydraulic Institute's constants by cylinders, and the theory of the crank for one.",
    )  # fmt: skip
    plot.points(cylinders, told, "Hydraulic Institute 6.1-6.5 (from memory)")
    return plot.points([1], [theory], "theory, connecting rod of five cranks", ink=0).svg()


def coverage() -> str:
    """Coverage by film and solids."""
    told = (
        (100, 60, 6.0),
        (125, 75, 6.0),
        (125, 65, 5.2),
        (175, 100, 5.7),
        (300, 80, 2.7),
        (225, 55, 2.4),
    )
    plot = Plot(
        Axis("dry film, µm", 50, 350), Axis("coverage, m²/L", 0, 14),
        "How far a litre goes", "Coverage by dry film for three contents of solids, with a published table.",
    )  # fmt: skip
    for i, solids in enumerate((1.0, 0.75, 0.55)):
        plot.law(
            lambda x, s=solids: s / (x * 1e-6) / 1000,
            f"{solids:.0%} solids by volume",
            ink=i,
            dash=i,
        )
    for film, solids, value in told:
        near(theoretical_coverage(film * 1e-6, solids / 100) / 1000, value, 0.02)
    return plot.points(
        [t[0] for t in told], [t[2] for t in told], "coverage table, 55 to 100 % solids"
    ).svg()


def free_air() -> str:
    """Free air by pressure."""
    plot = Plot(
        Axis("absolute pressure, bar", 0.2, 20, log=True), Axis("free air, % of the liquid", 0.01, 100, log=True),
        "Air free in the coating", "Boyle alone, and Boyle with Henry for a liquid that holds 15 % dissolved.",
    )  # fmt: skip
    plot.law(lambda x: 100 * air.free_air(x * 1e5, 0.02), "2 % whipped in, none dissolved", ink=0)
    plot.law(
        lambda x: 100 * air.free_air(x * 1e5, 0.02, 0.15),
        "2 % whipped in, 15 % dissolved",
        ink=1,
        dash=1,
    )
    return plot.law(
        lambda x: 100 * air.free_air(x * 1e5, 0.0, 0.15),
        "none whipped in, 15 % dissolved",
        ink=2,
        dash=2,
    ).svg()


def circle() -> str:
    """A reference data set of NIST and the circle through it."""
    row = rows("nist-circle")[0]
    given = json.loads(row["inputs"])
    xs, ys = (np.asarray(v, dtype=float) for v in list(given.values())[:2])
    found = least_squares_circle(xs, ys)
    plot = Plot(
        Axis("x, mm", -140, -121), Axis("y, mm", 136, 152.5),
        "Least squares on a reference data set", "Nine points of NIST's set cir2d8 and the circle fitted to them.",
    )  # fmt: skip
    turn = np.linspace(0, 2 * math.pi, 121)
    x0, y0, r = (float(getattr(found, n)) for n in ("x", "y", "radius"))
    near(2 * r, 12.8837663777, 1e-9)
    plot.curve(x0 + r * np.cos(turn), y0 + r * np.sin(turn), "least squares (ours)", ink=0)
    return plot.points(xs, ys, "NIST cir2d8").svg()


def scored_ways() -> str:
    """How far the short way falls behind the solved one, by flow index."""
    plot = Plot(
        Axis("flow index n", 0.3, 1.2),
        Axis("leak by the two numbers of Kozicki, over solved", 0.3, 1.1),
        "Coatings in a score: the short way against the solved one",
        "For a square and a shallow V the ratio of the two; rings: the square by handbook, the V by lubrication.",
    )
    indices = np.linspace(0.3, 1.2, 19)
    shapes = (
        ("square", scored.Score("rectangle", 1.0, 1.0), channels.rectangle(1.0, 1.0)),
        (
            "shallow V, 1 to 400",
            scored.Score("triangle", 0.0025, 1.0),
            channels.triangle(0.0025, 1.0),
        ),
    )
    for i, (name, score, channel) in enumerate(shapes):
        ratios = []
        for n in indices:
            liquid = Liquid("power-law", 1000.0, 0.0, 1.0, float(n))
            short = float(channels.liquid_flow(channel, liquid, length=1.0, pressure=1.0))
            ratios.append(short / scored.score_flow(score, liquid, length=1.0, pressure=1.0))
        plot.curve(indices, ratios, name, ink=i, dash=i)
    told = []
    for n in (0.5, 0.7, 1.0):
        liquid = Liquid("power-law", 1000.0, 0.0, 1.0, n)
        short = float(channels.liquid_flow(shapes[1][2], liquid, length=1.0, pressure=1.0))
        # a row of slits: the mean of h^(2+1/n) over the width
        deep = float(slit_flow(liquid, 0.0025, breadth=1.0, length=1.0, pressure=1.0))
        exact = deep / (3 + 1 / n)
        near(scored.score_flow(shapes[1][1], liquid, length=1.0, pressure=1.0), exact, 2e-3)
        told.append((n, short / exact))
    plot.points(*zip(*told, strict=True), label="shallow V by lubrication", ink=1)
    half = Liquid("power-law", 1000.0, 0.0, 1.0, 0.5)
    handbook = (0.5 / 5.72) ** 2
    near(scored.score_flow(shapes[0][1], half, length=1.0, pressure=1.0), handbook, 2e-3)
    short = float(channels.liquid_flow(shapes[0][2], half, length=1.0, pressure=1.0))
    return plot.points(
        [0.5],
        [short / handbook],
        "square, f Re 5.72 at n = 0.5: Chhabra and Richardson (from memory)",
        ink=0,
    ).svg()
