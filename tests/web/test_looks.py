"""A picture of what a part looks like fills its form in, visibly as a proposal, and as judged."""

from __future__ import annotations

import re
from typing import cast

import pytest

from wetend.advice.inspect.judge import judge
from wetend.pump.measurements import Measured
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.units.kinds import System
from wetend.web.form_data import read_noun
from wetend.web.inspect import BENCHES
from wetend.web.looks import looks_of, proposed_texts
from wetend.workflows.desk import Desk

_VALUE = re.compile(r'name="([a-z_]+)" value="([^"]*)"')


@pytest.mark.parametrize("system", ["metric", "imperial"])
@pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
def test_what_a_picture_puts_into_the_form_is_judged_as_it_is_captioned(
    key: str, system: System
) -> None:
    pump = demo_pump(key)
    for coating in (None, demo_coatings()[0], demo_coatings()[2]):
        for part, bench in BENCHES.items():
            for look in looks_of(pump, coating, part):
                texts = proposed_texts(look, system)
                read = read_noun(bench.noun, texts, system, given=bench.fixed)
                assert judge(pump, coating, cast(Measured, read)).verdict is look.verdict, (
                    part, look.key, texts,
                )  # fmt: skip


def _form(text: str) -> dict[str, str]:
    form = text[text.index('<form class="ask" id="rod') :]
    return dict(_VALUE.findall(form[: form.index("</form>")]))


def test_choosing_fills_in_and_saves_nothing(person, site):
    page = f"/visits/{site.open_visit}/inspect"
    before = Desk(site.depot).visit(site.open_visit).measured
    text = person.get(f"{page}?part=rod&like=dent").text
    assert "Proposal, nothing saved yet" in text
    assert "Draw a fingernail across it" in text
    shown = _form(text)
    assert float(shown["scratch_depth"]) > 15  # past this pump's limit, in um
    assert shown["note"] == "As in the picture “Dent in the chrome”; not measured"
    assert text.count("Proposed by the picture: measure, then correct it") == 4
    assert Desk(site.depot).visit(site.open_visit).measured == before


def test_what_is_then_saved_is_judged_and_says_where_it_comes_from(person, site):
    page = f"/visits/{site.open_visit}/inspect"
    shown = _form(person.get(f"{page}?part=rod&like=dent").text)
    sent = {k: v for k, v in shown.items() if k.startswith("scratch") or k in ("note", "_units")}
    text = person.send(f"{page}/rod", {**sent, "depth_by": "straightedge and light"}).text
    assert "Replace" in text[text.index('id="verdicts-h"') :]
    rod = next(m for m in Desk(site.depot).visit(site.open_visit).measured
               if hasattr(m, "scratch_depth"))  # fmt: skip
    assert rod.note.startswith("As in the picture")


def test_a_picture_of_a_face_used_before_says_replace(person, site):
    page = f"/visits/{site.open_visit}/inspect"
    person.send(f"{page}/foot-seat", {"concentric": "yes", "faces_used": "1"})
    text = person.get(f"{page}?part=foot-seat&like=chip").text
    proposal = text[text.index('id="proposal"') : text.index("To be sure")]
    assert "Replace" in proposal
    assert 'name="faces_used" value="1"' in text


def test_a_picture_that_is_not_there_is_not_found(reader, shown):
    page = f"/visits/{shown.open_visit}/inspect?part=rod&like=banana"
    assert reader.get(page).status_code == 404


def test_every_part_measured_on_has_pictures_and_a_test_has_none(reader, shown):
    for part in BENCHES:
        text = reader.get(f"/visits/{shown.open_visit}/inspect?part={part}").text
        assert (text.count("&amp;like=") >= 5) is not part.endswith("-test"), part
