"""No sentence of ours escapes: in a language that only tests speak, no page says a plain word."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from pseudo import PSEUDO, Pseudo, escaped, own_words, texts

from wetend.background import BACKGROUND
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.units.message import raised
from wetend.web.stage_nav import STAGE_WORDS

from .conftest import Person, Site

sys.path.append(str(Path(__file__).parents[2] / "docs"))
from make_messages import every_message

PAGES = (
    "/", "/pumps/new", "/pumps/new/full", "/pumps/new?like={pump}", "/pumps/{pump}",
    "/pumps/{pump}/visits", "/pumps/{pump}/life",
    "/pumps/{pump}/parts", "/pumps/{pump}/record", "/visits/{open}/coating", "/visits/{open}/box",
    "/visits/{closed}/record", "/visits/{open}/site", "/calculators", "/calculators/gap-leak",
    "/gallery", "/faults", "/faults/air", "/preferences", "/nowhere", "/stores", "/stores/items",
    "/questions",
    "/fleet", "/fleet/months",
    "/import", "/incidents", "/injection", "/practice", "/simulate?pump={pump}", "/memory",
    "/start/{pump}",
    *(f"/visits/{{{visit}}}/{stage}" for visit in ("open", "closed") for stage in STAGE_WORDS),
    *(f"/visits/{{open}}/do/{act}" for act in (
        "list", "complaint/crew", "checks/coating", "checks/strokes", "checks/creep",
        "make-safe/needle", "strip/bag", "inspect/foot-seat", "inspect/fitted", "rebuild/heights",
        "rebuild/tin", "prove/guards", "prove/stall-up", "handover/sign",
    )),
    "/visits/{closed}/strip/steps", "/visits/{closed}/rebuild/steps",
)  # fmt: skip
"""Every kind of page."""
LEFT: frozenset[str] = frozenset()
"""Texts that are the same in every language."""


OF_EXAMPLES = tuple(
    said
    for pump in map(demo_pump, DEMO_PUMPS)
    for own in (pump.build, pump.name, *(part.title for part in pump.stack.parts))
    for said in (own, raised(own))
)
"""What the descriptions of the example pumps call themselves and their parts."""


def _at(path: str, shown: Site) -> str:
    return path.format(pump=shown.pump, open=shown.open_visit, closed=shown.closed_visit)


@pytest.mark.parametrize("path", PAGES)
def test_no_sentence_escapes(
    path: str, pseudo: Pseudo, shown: Site, reader: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(BACKGROUND, "_faults", {})  # what jobs of other tests failed of
    page = reader.get(_at(path, shown), headers={"accept-language": PSEUDO})
    data = [*own_words(shown.depot, codes=path.endswith("/record")), *OF_EXAMPLES]
    left = [t for t in escaped(texts(page.text), data) if t not in LEFT]
    assert not left, "\n".join(left)
    assert pseudo.asked


def test_what_pages_say_is_in_the_translators_template(
    pseudo: Pseudo, shown: Site, reader: Person
) -> None:
    for path in PAGES:
        if path == "/memory":  # names what other tests hold too
            continue
        reader.get(_at(path, shown), headers={"accept-language": PSEUDO})
    known = {m if isinstance(m, str) else m[0] for m in every_message()}
    left = sorted(pseudo.asked - known)
    assert not left, "\n".join(left)
