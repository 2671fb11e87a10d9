"""What stands on each page of docs/theory: its modules, its figures and the line under each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import flow_figures as flows
import leak_figures as leaks
import liquid_figures as liquids
import motion_figures as moving
import part_figures as parts
import stroke_figures as strokes
import table_figures as tables
import theory_figures as draw

from wetend.physics.rheology.laws import LAWS


OF_A_LAW = tuple(law.make.__module__.removeprefix("wetend.physics.") for law in LAWS.values())
"""The module of each flow law."""


@dataclass(frozen=True)
class Figure:
    """A figure of a page: its name, how it is drawn, and the line under it."""

    name: str
    make: Callable[[], str]
    caption: str


@dataclass(frozen=True)
class Page:
    """A page: the modules it tells of, and its figures."""

    name: str
    title: str
    modules: tuple[str, ...]
    figures: tuple[Figure, ...] = ()


def _agree(name: str, what: str, *modules: str) -> Figure:
    return Figure(f"{name}-agreement", lambda: draw.agreement(modules, what),
                  f"Every published figure that checks {what}: ours over the published, within the tolerance its row "
                  "names and why. Sources: [evidence](../evidence.md).")  # fmt: skip


PAGES: tuple[Page, ...] = (
    Page("flow-laws", "Flow laws of coatings", (
        "rheology.liquid", "rheology.law", "rheology.laws", *OF_A_LAW, "rheology.flow", "rheology.fit",
    ), (
        Figure("flow-laws", liquids.flow_laws, "Why the rates measured matter. Coulson and Richardson, Chemical Engineering "
               "vol. 1, 6th ed., ex. 3.10, as transcribed in the FOSSEE Python Textbook Companions."),
    )),
    Page("cups", "Flow cups", ("rheology.cups",), (
        Figure("cups", liquids.cups, "Rings: drain times of viscosity oils, Cannon Instrument, and the Zahn tables held in "
               "the chemicals library 1.5.2. They part by 14 to 50 %: a Zahn figure repeats your own work, no more."),
    )),
    Page("temperature", "Viscosity and temperature", ("rheology.temperature",), (
        Figure("temperature", liquids.temperature, "Constants of Viswanath and Natarajan (1989) as held in the chemicals "
               "library; rings: reference equations at 20 and 25 °C. No published example of Andrade's two-constant law "
               "was found."),
    )),
    Page("thinning", "Thinning", ("rheology.thinning",), (
        Figure("thinning", liquids.thinning, "The rule alone: no published table of a thinned coating was found."),
    )),
    Page("friction", "Friction in a bore", ("rheology.friction",), (
        Figure("friction", liquids.friction, "The friction chart of Dodge and Metzner redrawn. Measured point: N. de Nevers, "
               "Fluid Mechanics for Chemical Engineers, 3rd ed., ex. 13.5, as transcribed in the FOSSEE Companions."),
    )),
    Page("hose", "Pressure along a hose", ("hose",), (_agree("hose", "hoses", "hose", "calc hose-loss"),)),
    Page("lines", "Lines of several hoses", ("lines",), (
        Figure("fittings", flows.fittings, "W. B. Hooper, Chemical Engineering, 24 August 1981, as held in the fluids "
               "library 1.3.1."),
    )),
    Page("nozzle", "Nozzles", ("nozzle",), (
        Figure("nozzle", flows.nozzle_coefficient, "Both limits are exact; between them the sum is good to about 10 %. No "
               "coefficient measured on an airless nozzle was found in print."),
        _agree("nozzle", "nozzles and orifices", "nozzle", "calc nozzle-flow"),
    )),
    Page("valves", "Ball valves", ("valves",), (
        Figure("drag", flows.drag, "The standard drag curve redrawn."),
        Figure("wall", flows.wall, "Haberman and Sayre's table is remembered from Happel and Brenner, table 7-3.1."),
        Figure("opening", flows.opening, "The published conical law holds the same at 45 degrees and small lifts; past "
               "them the ring that is narrowest moves, and the hole rules."),
    )),
    Page("falls", "A ball's way back", ("falls",), (
        Figure("fall", flows.fall, "No published times were found; the tests hold the solver to the closed form of slow "
               "flow and to free fall."),
    )),
    Page("leakage", "Leaks through gaps", ("leakage", "slits"), (
        Figure("eccentric", leaks.eccentric, "A coating that thins with shear makes more of an eccentric ring than a "
               "newtonian liquid: 2.5 times becomes 4.4 at n = 0.5."),
        _agree("leakage", "leaks", "leakage", "calc gap-leak"),
    )),
    Page("channels", "Scores and grooves", ("channels", "grooves", "scored"), (
        Figure("ducts", leaks.ducts, "The handbook's f Re of ducts redrawn, with profiles that handbooks leave out."),
        Figure("triangles", leaks.triangles, "The handbook's 50.80 at ten degrees in heat-transfer tables does not "
               "reproduce; 49.90 does."),
        Figure("scored", leaks.scored_ways, "Why a thinning coating in a scratch is solved: the short way is a third low "
               "at n = 0.5."),
    )),
    Page("seals", "Rings and packings", ("seals",), (
        Figure("stretch", parts.stretch, "Measured rings lose more: which law is used must be said."),
    )),
    Page("threads", "Screws and wrenches", ("threads",), (
        _agree("threads", "screws and wrenches", "threads", "calc thread-torque", "calc wrench-extension"),
    )),
    Page("suction", "Suction", ("suction",), (
        Figure("atmosphere", flows.atmosphere, "A kilometre up, a tenth of the suction is gone."),
        Figure("acceleration", flows.acceleration, "For crank motion. An air or hydraulic drive turns round in its own "
               "time: there the reversal pressure counts."),
        _agree("suction", "suction", "suction", "calc suction-margin", "calc acceleration-head"),
    )),
    Page("filling", "Air, and how full the cylinder gets", ("air", "filling"), (
        Figure("air", flows.free_air, "Below one atmosphere air comes out of the coating; above it the free air goes in."),
    )),
    Page("displacement", "Displacement and slip", ("displacement",), (
        _agree("displacement", "displacement and slip", "displacement", "calc displacement"),
    )),
    Page("film", "Film and coverage", ("film",), (
        Figure("coverage", parts.coverage, "Published table: scribd.com document 290710110, printed to one decimal."),
    )),
    Page("circle", "Roundness", ("circle",), (
        Figure("circle", parts.circle, "NIST Algorithm Testing, data and reference fit as held in zdavkeos/balyrond, "
               "commit d078dcdb."),
    )),
    Page("stroke", "The steady stroke", ("stroke.steady", "stroke.gap", "stroke.parameters", "stroke.block", "stroke.rows"), (
        Figure("stroke-times", strokes.stroke_times, "No published table of an airless pump's strokes was found; the "
               "rings are a second route: SciPy's Brent on the balances, hose and nozzle by the fluids library 1.3.1."),
        Figure("stroke-leak", strokes.leak_by_gap, "R. W. Fox and A. T. McDonald, Introduction to Fluid Mechanics, 5th "
               "ed., ex. 8.1, as transcribed in the FOSSEE Python Textbook Companions."),
    )),
    Page("motion", "The pump in time", (
        "motion.wet_end", "motion.passages", "motion.turns", "motion.parameters",
        "motion.rosenbrock", "motion.integrator", "motion.simulate",
    ), (
        Figure("motion-cycle", moving.motion_cycle, "The down-stroke starts with a quick drop while the chamber below is "
               "pressed together; the hose evens out what the turns leave."),
        Figure("motion-rhythm", moving.motion_rhythm, "Where the steady model stops: the same leak, the same pump, hoses "
               "that give more and more."),
        Figure("motion-published", moving.motion_published, "F. Mazzia and C. Magherini, Test Set for Initial Value Problem "
               "Solvers, release 2.4 (2008): largest relative error of any state at the end, against the published "
               "solution."),
    )),
    Page("stackup", "The stack", ("stackup",), (
        Figure("stack-chance", strokes.stop_chance, "Nothing published on where an elbow stops was found; the rings are a "
               "second route: the wrapped normal's own series (Mardia and Jupp, Directional Statistics, 2000, from memory)."),
    )),
)  # fmt: skip

TABLES: tuple[Figure, ...] = (
    Figure("solvent-viscosity", tables.solvent_viscosity, "A second route, no measurement of ours: reference equations in "
           "CoolProp 8.0.0, and Perry's Chemical Engineers' Handbook, 8th ed., as held in chemicals 1.5.2."),
    Figure("solvent-vapour", tables.solvent_vapour, "The same for vapour pressure, which sets what suction may draw."),
)  # fmt: skip
"""Figures of the page of tables."""
