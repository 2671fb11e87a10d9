"""Both demo pumps on a visit each, with a coating and a site that bring every hazard there is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from wetend.pump.make_safe import MakeSafe
from wetend.pump.measurements import ProofReadings, StackMeasured
from wetend.pump.readings import CheckReadings, Complaint, ToolBag, VisitStart
from wetend.pump.site import SiteFacts
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import checks, complaint, job, prove, pumps, rebuild, strip, visits, zero
from wetend.workflows.desk import Desk

from .instructions import BAGS, touchy

READ = CheckReadings(up_times=(1.2, 1.2, 1.21), down_times=(0.8, 0.8, 0.81), wet_cup="clean")


@dataclass(frozen=True)
class Dangerous:
    """A depot with the two visits, its pages, and a way to read PDFs."""

    path: Path
    desk: Desk
    visits: dict[str, str]
    get: Callable[[str], bytes]

    def page(self, path: str) -> str:
        return self.get(path).decode()

    def paper(self, path: str, tmp: Path) -> str:
        """A PDF's words."""
        file = tmp / "paper.pdf"
        file.write_bytes(self.get(path))
        return " ".join(" ".join(p.extract_text() for p in PdfReader(file).pages).split())


@pytest.fixture(scope="module")
def dangerous(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Dangerous]:
    """Confined, with old lead paint; isocyanate, lead and a running pot life; a solvent to refuse
    if only anybody knew of aluminium."""
    path = tmp_path_factory.mktemp("hazards") / "depot.sqlite3"
    coating = touchy().model_copy(update={"solvent": "dichloromethane"})
    with Depot.open(path) as depot:
        desk = Desk(depot, who="R. Okafor")
        made = {}
        for key in DEMO_PUMPS:
            pumps.describe(desk, demo_pump(key).model_copy(update={"aluminium": "not known"}))
            made[key] = visit = visits.start(desk, VisitStart(pump=key, site=f"Dock {key}"))
            job.save_site(desk, visit, SiteFacts(confined_space="yes", old_lead_paint="yes",
                                                 emergency_phone="01632 960 123"))  # fmt: skip
            complaint.save_complaint(desk, visit, Complaint(seen=("does not run",)))
            visits.choose_coating(desk, visit, coating)
            job.mixed(desk, visit, ago=600.0)
            checks.save(desk, visit, READ)
            strip.save_bag(desk, visit, ToolBag(tools=BAGS["every tool"], vice=True))
            rebuild.save(desk, visit, StackMeasured(tin=(0.5e-3, 0.25e-3), lever=0.6))
            prove.save(desk, visit, ProofReadings(wet_cup="clean"))
            zero.save_list(desk, visit, MakeSafe())
        with TestClient(create_app(depot), base_url="http://localhost") as client:

            def get(address: str) -> bytes:
                answer = client.get(address)
                assert answer.status_code == 200, (address, answer.status_code)
                return bytes(answer.content)

            yield Dangerous(path, desk, made, get)
