"""One invented visit to each demo pump, done to the end by the real sums, and a reader of PDFs."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import UTC, datetime
from functools import lru_cache

import pytest
from pypdf import PdfReader

from wetend.advice.diagnosis.diagnose import diagnose
from wetend.advice.handover.set_up import set_up
from wetend.advice.inspect.judge import judge_all
from wetend.advice.prove.proof import prove
from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.safety.zero import Proven, Record
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.pump.make_safe import all_done
from wetend.pump.measurements import (
    BallMeasured,
    CylinderMeasured,
    ProofReadings,
    SeatMeasured,
    StackMeasured,
)
from wetend.pump.readings import (
    CheckReadings,
    Complaint,
    Note,
    Photo,
    SetUpRequest,
    SignOff,
    StripProgress,
    ToolBag,
    VisitStart,
)
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.reports.visit.report import VisitReport

WHEN = datetime(2031, 5, 4, 11, 5, tzinfo=UTC)
COATING = next(c for c in demo_coatings() if c.key == "alkyd-topcoat")
READINGS = CheckReadings(
    up_times=(1.41, 1.44, 1.40), down_times=(0.97, 0.99, 1.0), spray_pressure=1.5e7,
    stall_pressure=2.1e7, creep_up=0.0, creep_down=0.0008, supply_pressure=6e5,
)  # fmt: skip
PROOF = ProofReadings(
    solvent_lost=0, solvent_head=0.05, solvent_time=600, stall_pressure=2.4e7, stall_time=60,
    stall_creep_up=0.0002, stall_creep_down=0.0003, wet_cup="clean",
)  # fmt: skip


ZERO = Record((Proven("1", "Rowan Example", WHEN, "by the gauge: needle on its stop", True),))


def _whole(key: str) -> VisitReport:
    pump = demo_pump(key)
    ball, bore = pump.foot_valve.ball_diameter, pump.cylinder.bore
    measured = (
        BallMeasured(diameters=(ball, ball - 3e-6), marks="dents or scars"),
        SeatMeasured(band_width=9e-4, chip_depth=5e-5, chip_width=1.2e-3, concentric="yes"),
        CylinderMeasured(diameters=(bore + 4e-5, bore + 5e-5, bore + 4.5e-5, bore + 6e-5)),
    )
    plan = plan_strip(pump, ToolBag(tools=tuple(tool_titles()), goal="foot-valve"))
    return VisitReport(
        pump=pump, visit_id="0190a0b1c2d37e4f8a9b0c1d2e3f4a5b",
        started=datetime(2031, 5, 4, 7, 40, tzinfo=UTC), issued=WHEN, version="0.1.0",
        entries_hash="0123456789abcdef" * 4, entries=19, who="Rowan Example",
        start=VisitStart(pump=pump.key, site="North quay", reason="Fan pulses"),
        make_safe=all_done(pump.drive.kind), zero=ZERO,
        complaint=Complaint(said="Runs fast going down.", since="this morning"),
        coating=COATING, readings=READINGS,
        diagnosis=diagnose(pump, COATING, READINGS, particles=2000), plan=plan,
        progress=StripProgress(done=tuple(s.operation.key for s in plan.steps)),
        judgements=judge_all(pump, COATING, measured),
        fit=fit_stack(pump, StackMeasured(tin=(1e-4, 2.5e-4, 5e-4, 5e-4, 1e-3), lever=0.5),
                      draws=500),
        proof=prove(pump, COATING, PROOF), set_up=set_up(pump, COATING, SetUpRequest()),
        sign_off=SignOff(technician="Rowan Example", received_by="Site foreman",
                         found="Seat chipped across the cone.", fitted="Seat turned over.",
                         watch="Down-stroke time.", come_back="after 4000 L"),
        photos=(Photo(sha256="cd" * 32, media="image/jpeg", caption="The seat as found"),),
        notes=(Note(stage="strip", text="Housing was dry, greased."),),
    )  # fmt: skip


@pytest.fixture(scope="session", params=["quay-air", "yard-hydraulic"])
def whole(request: pytest.FixtureRequest) -> VisitReport:
    """A visit with every stage done."""
    return _whole(request.param)


@pytest.fixture(scope="session")
def quay() -> VisitReport:
    """The same at the pump with the threaded housing."""
    return _whole("quay-air")


@pytest.fixture(scope="session")
def pages() -> Callable[[bytes], list[str]]:
    """Text of a PDF, page by page, runs of white space as one space."""

    @lru_cache(maxsize=32)
    def read(pdf: bytes) -> tuple[str, ...]:
        found = PdfReader(io.BytesIO(pdf)).pages
        return tuple(re.sub(r"\s+", " ", page.extract_text()) for page in found)

    return lambda pdf: list(read(pdf))
