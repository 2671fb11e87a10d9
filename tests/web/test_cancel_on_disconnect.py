"""Long work ends when whoever waits for it closes the page."""

from __future__ import annotations

import re
from threading import Event

import httpx2
import pytest

from wetend.web.cancel_on_disconnect import Left
from wetend.workflows import importing, listening

PATIENCE = 60.0


class Endless:
    """Work that goes on until its progress raises, and says when it began and ended."""

    def __init__(self) -> None:
        self.begun, self.ended = Event(), Event()
        self.steps = 0

    def __call__(self, *given: object, **more: object) -> None:
        progress = given[-1]
        assert callable(progress)
        self.begun.set()
        try:
            while self.steps < 100 * PATIENCE:
                self.steps += 1
                progress(self.steps, 0)
                self.ended.wait(0.01)
        except Left:
            self.ended.set()
            raise


@pytest.mark.parametrize("page", ["listen", "import"])
def test_work_ends_when_its_page_is_closed(
    address: str, site, monkeypatch: pytest.MonkeyPatch, page: str
) -> None:
    endless = Endless()
    before = len(site.depot.entries())
    with httpx2.Client(base_url=address, timeout=PATIENCE, trust_env=False) as client:
        token = re.search(r'name="_token" value="([^"]+)"', client.get("/preferences").text)
        assert token
        path, field = f"/visits/{site.open_visit}/listen", "record"
        if page == "import":
            path, field = "/import", "table"
            monkeypatch.setattr("wetend.web.importing.read_history", endless)
        else:
            monkeypatch.setattr(listening, "analyse", endless)
        with pytest.raises(httpx2.TimeoutException):
            client.post(
                path, data={"_token": token[1]}, files={field: ("a.csv", b"t;p\n1;2\n")},
                timeout=httpx2.Timeout(PATIENCE, read=1.0),
            )  # fmt: skip
        assert endless.begun.is_set()
    assert endless.ended.wait(PATIENCE), "the work went on with nobody there"
    assert len(site.depot.entries()) == before


def test_whoever_waits_gets_the_answer(person, site, monkeypatch: pytest.MonkeyPatch) -> None:
    told = []
    monkeypatch.setattr(
        importing, "preview",
        lambda *given: told.append(given[-1](1, 2)) or _real(*given),
    )  # fmt: skip
    key = person.send("/import", {}, files={"table": b"pump,day,part\nnobody,2025-05-04,rod\n"})
    assert key.status_code == 200
    assert told
    assert "There is no pump" in key.text


_real = importing.preview
