"""What was fitted, entered once on the page or by command, and read by all the others."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from wetend.cli.app import run
from wetend.workflows import visits
from wetend.workflows.desk import Desk

from .conftest import TOKEN, Site


@dataclass(frozen=True)
class Crew:
    """Someone at the demo depot, at its visit half-way through a rebuild."""

    desk: Desk
    client: TestClient
    visit: str
    path: Path

    def page(self, where: str) -> str:
        answer = self.client.get(f"/visits/{self.visit}/{where}")
        assert answer.status_code == 200
        return answer.text

    def form(self, where: str) -> dict[str, str]:
        """The form as the page fills it in."""
        text = self.page(where)
        start = text.index('<form class="ask" method="post" action="/visits/'
                           f'{self.visit}/fitted"')  # fmt: skip
        form = text[start : text.index("</form>", start)]
        hidden = re.findall(r'<input[^>]*name="([^"]+)" value="([^"]*)"', form)
        chosen = re.findall(
            r'<select[^>]*name="([^"]+)">.*?<option value="([^"]*)" selected>', form, re.S
        )
        return {name: html.unescape(value) for name, value in (*hidden, *chosen)}

    def send(self, fields: dict[str, str]):
        token = TOKEN.search(self.client.get("/preferences").text)
        assert token
        return self.client.post(f"/visits/{self.visit}/fitted", data={**fields, "_token": token[1]})


@pytest.fixture
def crew(site: Site) -> Iterator[Crew]:
    desk = Desk(site.depot, who="A. Tester")
    (building,) = [v.id for v in visits.open_visits(desk) if desk.visit(v.id).rebuilt]
    with TestClient(site.app, base_url="http://localhost") as client:
        yield Crew(desk, client, building, site.path)


def count(crew: Crew) -> int:
    return len(crew.desk.depot.entries(kinds=("part-fitted", "withdrawn")))


@pytest.mark.parametrize("where", ["inspect", "rebuild"])
def test_one_form_filled_in_by_the_verdicts_is_all_there_is_to_enter(
    crew: Crew, where: str
) -> None:
    fields, before = crew.form(where), count(crew)
    assert fields["did.moving-packings"] == "new, found worn"
    assert fields["did.rod"] == "put back"
    assert fields["did.cage"] == ""
    answer = crew.send({**fields, "did.moving-packings": "new, worn out"})
    assert answer.status_code == 200
    assert str(answer.url).endswith(f"/{where}?saved=1#fitted")
    added = count(crew) - before
    assert added == sum(f.startswith("did.") and bool(v) for f, v in fields.items())
    crew.send({**fields, "did.moving-packings": "new, worn out"})  # a second tap
    crew.send(crew.form(where))  # and the form kept once more as it stands
    assert count(crew) - before == added
    moving = next(f for f in crew.desk.visit(crew.visit).fitted if f.part == "moving-packings")
    assert (moving.done, moving.why) == ("new", "worn out")


def test_sign_off_report_life_and_record_read_it(crew: Crew) -> None:
    assert "not recorded" not in crew.page("handover")
    assert "Enter it once at the rebuild" in crew.page("handover")
    crew.send(crew.form("rebuild"))
    page = html.unescape(crew.page("handover"))
    assert "Enter it once at the rebuild" not in page
    assert "Moving packings new (found worn)." in page  # filled in, to sign
    pdf = crew.client.get(f"/visits/{crew.visit}/report.pdf").content
    text = " ".join(" ".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages).split())
    assert "PARTS FITTED" in text.upper()
    assert re.search(r"moving packings fitted new found worn", text)
    assert re.search(r"rod put back", text)
    pump = crew.desk.visit(crew.visit).pump.key
    assert "Moving packings new (found worn)." in crew.client.get(f"/pumps/{pump}").text
    life = crew.client.get(f"/pumps/{pump}/life").text
    moving = life[life.index("<b>Moving packings</b>") :]
    assert re.search(r"Pumped so far (0|\d\d?|\d\.\d) L", moving[:600])  # since yesterday


def test_taken_back_by_saying_nothing_of_it(crew: Crew) -> None:
    crew.send(crew.form("rebuild"))
    crew.send({**crew.form("rebuild"), "did.moving-packings": ""})
    assert "moving-packings" not in {f.part for f in crew.desk.visit(crew.visit).fitted}
    assert crew.form("rebuild")["did.moving-packings"] == "new, found worn"  # proposed again


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("did.rod", "turned, damaged", "Rod can&#39;t be turned"),
        ("did.rod", "<b>polished</b>", "can&#39;t be done with a part"),
        ("did.rod", "new, because", "is not a reason"),
        ("on", "yesterday", "is not a date"),
        ("on", "1822-01-01", "Day"),
    ],
)
def test_a_mistake_comes_back_with_what_was_typed_and_keeps_nothing(
    crew: Crew, field: str, value: str, told: str
) -> None:
    before = count(crew)
    answer = crew.send({**crew.form("rebuild"), field: value})
    assert answer.status_code == 422
    assert told in answer.text
    assert html.escape(value) in answer.text
    assert "<b>polished</b>" not in answer.text
    assert count(crew) == before


def test_by_command(crew: Crew, monkeypatch, capsys) -> None:
    monkeypatch.setenv("WETEND_DEPOT", str(crew.path))
    monkeypatch.setenv("COLUMNS", "160")

    def say(*words: str) -> str:
        capsys.readouterr()
        assert run([*words]) == 0, capsys.readouterr().err
        return capsys.readouterr().out

    assert "--as-proposed" in say("fitted", crew.visit)
    assert "recorded" in say("fitted", crew.visit, "--as-proposed", "rod=new, damaged, bent")
    fitted = {f.part: f for f in crew.desk.visit(crew.visit).fitted}
    assert (fitted["rod"].done, fitted["rod"].note) == ("new", "bent")
    assert fitted["moving-packings"].done == "new"
    before = count(crew)
    say("fitted", crew.visit, "--as-proposed")
    assert count(crew) == before
    say("fitted", crew.visit, "rod=nothing")
    assert "rod" not in {f.part for f in crew.desk.visit(crew.visit).fitted}
    signed = say("sign-off", crew.visit, "technician=A. Tester", "reason=no coating left",
                 "crew_told=yes", "tagged=yes", "--json")  # fmt: skip
    assert "Moving packings new (found worn)." in signed
    assert run(["fitted", crew.visit, "flux=new"]) == 2
    assert run(["fitted", crew.visit, "rod=new", "--on", "soon"]) == 2


def test_sign_off_is_proposed_from_the_record_and_a_later_change_is_said(crew: Crew) -> None:
    page = html.unescape(crew.page("handover"))
    assert page.index("State at hand-over") < page.index('id="answer"')
    assert page.index("Proposed from the record") < page.index('name="found"')
    assert "Since the signature" not in page
