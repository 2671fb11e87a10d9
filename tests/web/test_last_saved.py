"""What was saved just now is taken back where it was saved, by a further entry."""

from __future__ import annotations

import html
import re

UNDO = re.compile(r'<button class="do second">Undo: ([^<]+)</button>')


def _undo(page: str) -> dict[str, str]:
    """The form that takes it back."""
    form = page[page.index('class="notice saved"') :].partition("</form>")[0]
    fields = dict(re.findall(r'name="(entry|back)" value="([^"]*)"', form))
    return {"path": re.search(r'action="([^"]+)"', form)[1], **fields}


def test_a_remark_is_taken_back_where_it_was_saved_and_stays_in_the_record(person, site):
    path = f"/visits/{site.open_visit}"
    before = len(site.depot.entries(visit=site.open_visit))
    saved = person.send(f"{path}/notes", {"text": "Wet cup topped up", "stage": "checks"})
    assert html.unescape(UNDO.search(saved.text)[1]).lower() == "remark"
    form = _undo(saved.text)
    undone = person.send(form["path"], {"entry": form["entry"], "back": form["back"]})
    assert undone.url.path == f"{path}/checks"
    assert "Taken back." in undone.text
    assert not UNDO.search(undone.text)
    assert "Wet cup topped up" not in undone.text
    kinds = [e.kind for e in site.depot.entries(visit=site.open_visit)][before:]
    assert kinds == ["note", "withdrawn"]  # nothing is erased
    again = person.send(form["path"], {"entry": form["entry"], "back": form["back"]})
    assert again.status_code == 200
    assert len(site.depot.entries(visit=site.open_visit)) == before + 2  # twice is once


def test_only_ones_own_and_only_just_now(person, site, monkeypatch):
    path = f"/visits/{site.open_visit}"
    person.send(f"{path}/notes", {"text": "Mine", "stage": "checks"})
    assert UNDO.search(person.get(f"{path}/checks?saved=note").text)
    assert not UNDO.search(person.get(f"{path}/checks").text)  # nothing was saved on this page
    person.client.cookies.set("wetend-who", "Somebody%20else")
    assert not UNDO.search(person.get(f"{path}/checks?saved=note").text)


def test_a_use_of_a_pump_is_taken_back_too(person, site):
    used = {"first": "2025-05-01", "last": "2025-05-31", "cycles": "1200"}
    saved = person.send(f"/pumps/{site.pump}/life/use", used)
    assert UNDO.search(saved.text), saved.status_code
    form = _undo(saved.text)
    undone = person.send(form["path"], {"entry": form["entry"], "back": form["back"]})
    assert undone.url.path == f"/pumps/{site.pump}/life"
    assert "Taken back." in undone.text


def test_it_leads_nowhere_else(person, site):
    path = f"/visits/{site.open_visit}"
    form = _undo(person.send(f"{path}/notes", {"text": "Mine", "stage": "checks"}).text)
    away = person.send(form["path"], {"entry": form["entry"], "back": "https://elsewhere.example/"})
    assert away.url.path == "/"
