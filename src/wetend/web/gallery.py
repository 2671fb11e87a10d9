"""Every page component with sample data on one page, for developers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.diagnosis.answers import Finding
from wetend.advice.faults.tables import FAULT
from wetend.advice.reasons import Caution, Figure, Interval, Verdict, Working
from wetend.advice.rebuild.fit import StackFit, fit_stack
from wetend.advice.safety.hazards import caution
from wetend.advice.simulation.film import CHANNELS, Film
from wetend.drawings import bars, clock, stack, strokes, traces
from wetend.drawings.wet_end import motion as wet_end_motion
from wetend.drawings.wet_end import section as wet_end
from wetend.errors import Problem
from wetend.keeping import constant
from wetend.pump.make_safe import MakeSafe
from wetend.pump.measurements import StackMeasured
from wetend.pump.parts import PartName
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.units.kinds import System
from wetend.units.message import Message, Words
from wetend.units.quantity import LeakFlow, M, Pa, PaS, unit_of
from wetend.units.stated import stated
from wetend.web.access import AtDesk
from wetend.web.forms import Form, FormSpec, ask, default_texts
from wetend.web.pages import drawing, render
from wetend.web.stage_nav import RailItem, rail_of

router = APIRouter()


@dataclass(frozen=True)
class Picture:
    """A drawing with what it shows."""

    svg: Markup
    caption: str


@dataclass(frozen=True)
class GalleryPage:
    """Sample data for every component."""

    verdicts: tuple[Verdict, ...]
    cautions: tuple[Caution, ...]
    working: Working
    findings: tuple[Finding, ...]
    rail: tuple[RailItem, ...]
    form: Form
    mended: Form
    pictures: tuple[Picture, ...]


_WORKING = Working(
    title=Message("leak through a gap"),
    formula="Q = π D c³ Δp / (12 μ L)",
    given=(
        Figure(Message("Diameter"), 0.038, unit_of(M), "D"),
        Figure(Message("Pressure across it"), 2e7, unit_of(Pa), "Δp"),
        Figure(Message("Viscosity"), 0.28, unit_of(PaS), "μ"),
    ),
    result=(Figure(Message("Leak"), 4.2e-6, unit_of(LeakFlow), "Q"),),
    source="Sample data of the gallery",
    validity=Message("Sample data of the gallery"),
    spread=Message("a fifth either way"),
)
_FINDINGS = (
    Finding(
        FAULT["foot-valve"],
        0.84,
        Message("likely"),
        Interval(2e-6, 4e-6, 7e-6),
        Interval(0.1, 0.2, 0.3),
        Message("the foot valve"),
        Message("Down-stroke quick, creeps down at stall."),
    ),
    Finding(
        FAULT["piston-valve"],
        0.22,
        Message("possible"),
        None,
        None,
        Message("the piston"),
        Message("Little for it."),
    ),
    Finding(
        FAULT["nozzle"],
        0.004,
        Message("unlikely"),
        None,
        None,
        Message("the nozzle"),
        Message("The gauge is right."),
    ),
)


_MARKED: dict[PartName, Verdict] = {
    "foot-ball": Verdict.REPLACE,
    "foot-seat": Verdict.TURN,
    "rod": Verdict.KEEP,
}
_WRONG = {"gauge_reading": (Message("about zero"),), "drive_off": ("yes",)}


def _film(quick: float) -> Film:
    """A made-up cycle: everything followed swings once to its ``quick`` share of a usual size."""
    t = np.linspace(0.0, 2.0, 33)
    usual = {"m": 0.08, "Pa": 2.4e7, "m^3/s": 8e-5}
    swing = 0.5 * quick * (1 - np.cos(np.pi * t))
    rows = {key: usual[c.unit.kind.si] * swing for key, c in CHANNELS.items()}
    return Film(t, rows | {k: 0.04 * rows[k] for k in ("foot_lift", "piston_lift")})


def _moving(reader: Words) -> tuple[Picture, ...]:
    this, sound = _film(0.8), _film(1.0)
    beside = wet_end_motion.beside(demo_pump(DEMO_PUMPS[0]), this, sound, time=0.6, reader=reader)
    followed = traces.panels(Message("Traces"), this, sound, ("place", "below"), reader=reader)
    return (
        Picture(drawing(beside), Message("In motion, beside a sound pump")),
        Picture(drawing(followed), Message("Traces over time")),
    )


@constant("stacks of the gallery")
def _fit(name: str) -> StackFit:
    tin = (1e-3, 0.5e-3, 0.5e-3, 0.25e-3, 0.1e-3)
    return fit_stack(demo_pump(name), StackMeasured(tin=tin, lever=0.5), draws=2000)


def _pictures(reader: Words) -> tuple[Picture, ...]:
    shown = []
    for name in DEMO_PUMPS:
        pump, fit = demo_pump(name), _fit(name)
        shown += [
            Picture(
                drawing(wet_end.section(pump, _MARKED, reader=reader)),
                Message("Wet end of {name}", name=pump.name),
            ),
            Picture(drawing(stack.section(fit, pump, reader=reader)), Message("Stack in section")),
            Picture(
                drawing(
                    clock.face(
                        fit.stop_angle,
                        fit.spread.low,
                        fit.spread.high,
                        fit.target,
                        pump.stack.target_within,
                        set_by_hand=fit.turns_freely,
                        reader=reader,
                    )
                ),
                Message("Elbow on the clock face"),
            ),
        ]
    compared = strokes.compare(1.42, 0.98, 1.4, 1.41, 0.03, 0.02, reader=reader)
    return (
        *shown,
        Picture(drawing(compared), Message("Strokes against healthy")),
        Picture(drawing(bars.faults(_FINDINGS, reader=reader)), Message("Faults as bars")),
        *_moving(reader),
    )


def _forms(system: System) -> tuple[Form, Form]:
    readings = FormSpec(CheckReadings, key="sample", submit=Message("Save"))
    safe = FormSpec(MakeSafe, key="sample-safe", submit=Message("Save"),
                 only=("drive_off", "gauge_reading"))  # fmt: skip
    plain = ask(readings, "/gallery", default_texts(CheckReadings, system), system=system)
    wrong = ask(
        safe,
        "/gallery",
        _WRONG,
        system=system,
        problems=(
            Problem(
                "gauge_reading",
                Message(
                    "“about zero” is not a pressure. Write it like {pressure}.",
                    pressure=stated("200 bar"),
                ),
            ),
        ),
    )
    return plain, wrong


@router.get("/gallery")
def show(request: Request, desk: AtDesk) -> Response:
    """Every component."""
    plain, wrong = _forms(desk.system)
    done = {"complaint": True, "checks": True}
    page = GalleryPage(
        verdicts=tuple(Verdict),
        cautions=(
            caution("injection"), caution("lever"), caution("surface"),
        ),
        working=_WORKING,
        findings=_FINDINGS,
        rail=rail_of("0" * 32, done, "checks"),
        form=plain,
        mended=wrong,
        pictures=_pictures(desk.reader),
    )  # fmt: skip
    return render(request, "gallery.html", page, title=Message("Gallery"), rail=page.rail)
