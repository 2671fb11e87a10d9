"""A second tap keeps once: every form that keeps something, sent twice as its page drew it."""

from __future__ import annotations

import html
import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_pump, to_toml
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

PUMP = "quay-air"
_HIDDEN = re.compile(r'<input type="hidden" name="(_[a-z]+)" value="([^"]*)">')
DOT = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cf"
    "c0000003010100c9fe92ef0000000049454e44ae426082"
)
"""A picture of one pixel."""
TOML = to_toml(demo_pump(PUMP).model_copy(update={"key": "copied", "name": "Copied"}))
VISIT, LIFE = "/visits/{visit}", f"/pumps/{PUMP}/life"
DAYS = {"first": "2026-01-01", "last": "2026-01-31"}
FORMS: tuple[tuple[str, str, dict[str, str]], ...] = (
    (f"/pumps/{PUMP}/visits", f"/pumps/{PUMP}/visits", {"reason": "weeps"}),
    (f"{VISIT}/checks", f"{VISIT}/notes", {"text": "gland weeps"}),
    (f"{VISIT}/checks", f"{VISIT}/photos", {"caption": "the seat"}),
    (f"{VISIT}/complaint", f"{VISIT}/complaint", {"said": "drops on the way down"}),
    (f"{VISIT}/checks", f"{VISIT}/checks", {"stall_pressure": "230"}),
    (f"{VISIT}/checks", f"{VISIT}/coating", {"key": "another", "name": "Another", "law":
     "newtonian", "density": "1.2", "viscosity": "300"}),
    (f"{VISIT}/inspect?part=rod", f"{VISIT}/inspect/rod", {"diameters": "26.97"}),
    (f"{VISIT}/rebuild", f"{VISIT}/rebuild", {"lever": "0.5 m"}),
    (f"{VISIT}/rebuild", f"{VISIT}/fitted", {"did.foot-ball": "new, planned"}),
    (f"{VISIT}/prove", f"{VISIT}/prove", {"stall_pressure": "230"}),
    (f"{VISIT}/handover", f"{VISIT}/handover", {"guns": "2"}),
    (f"{VISIT}/handover", f"{VISIT}/handover/sign-off", {"technician": "Ann"}),
    (f"{VISIT}/complaint", f"{VISIT}/site", {"permit": "hot work"}),
    (LIFE, f"{LIFE}/use", {**DAYS, "pumped": "400"}),
    (LIFE, f"{LIFE}/fitted", {"part": "rod", "why": "planned", "done": "new"}),
    (LIFE, f"{LIFE}/nozzle", {"fan": "200", "fan_new": "250"}),
    ("/incidents", "/incidents", {"kind": "near miss", "said": "hose burst"}),
    ("/pumps/new", "/pumps/toml", {"toml": TOML}),
    ("/stores/items", "/stores/items", {"number": "A-1", "name": "Seat", "parts": "foot-seat",
                                        "pumps": PUMP, "pack": "1"}),
)  # fmt: skip
"""The page that draws a form, where it is sent, and what is typed."""


@dataclass
class Place:
    depot: Depot
    client: TestClient
    visit: str

    def hidden(self, page: str, action: str) -> dict[str, str]:
        """What a page puts into a form by itself."""
        text = self.client.get(page.format(visit=self.visit)).text
        where = re.escape(action.format(visit=self.visit))
        form = re.search(rf'<form[^>]*action="{where}".*?</form>', text, re.DOTALL)
        found = dict(_HIDDEN.findall(form[0] if form else text))
        return {name: html.unescape(value) for name, value in found.items()}

    def send(self, action: str, fields: dict[str, str]) -> int:
        files = {"photo": ("dot.png", DOT)} if action.endswith("photos") else None
        where = action.format(visit=self.visit)
        answer = self.client.post(where, data=fields, files=files, follow_redirects=False)
        return int(answer.status_code)

    @property
    def kept(self) -> int:
        return len(self.depot.entries())


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        desk = Desk(depot, who="Ann")
        pumps.describe(desk, demo_pump(PUMP))
        visit = visits.start(desk, VisitStart(pump=PUMP))
        visits.choose_coating(desk, visit, desk.coating("alkyd-topcoat"))
        with TestClient(create_app(depot), base_url="http://localhost") as client:
            yield Place(depot, client, visit)


@pytest.mark.parametrize(("page", "action", "typed"), FORMS, ids=[a for _, a, _ in FORMS])
def test_a_form_sent_twice_is_kept_once(place: Place, page: str, action: str, typed) -> None:
    sent = {**place.hidden(page, action), **typed}
    before = place.kept
    assert place.send(action, sent) == 303
    once = place.kept
    assert once > before
    assert place.send(action, sent) in (303, 409, 422)
    assert place.kept == once


@pytest.mark.parametrize(
    "number", [i for i, (_, a, _) in enumerate(FORMS) if a.endswith(("notes", "visits", "use"))]
)
def test_two_taps_at_once_keep_once(place: Place, number: int) -> None:
    page, action, typed = FORMS[number]
    sent = {**place.hidden(page, action), **typed}
    before = place.kept
    assert place.send(action, {**sent, "_act": "0" * 31 + "1"}) == 303
    each = place.kept - before
    ready, codes = threading.Barrier(2), []

    def tap() -> None:
        ready.wait()
        codes.append(place.send(action, sent))

    taps = [threading.Thread(target=tap) for _ in range(2)]
    for one in taps:
        one.start()
    for one in taps:
        one.join()
    assert codes == [303, 303]
    assert place.kept == before + 2 * each
