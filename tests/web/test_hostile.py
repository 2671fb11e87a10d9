"""Whatever is sent to whatever form, the answer is a page with a sentence, never a crash.

What is refused leaves the depot byte for byte as it was.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Mapping
from html.parser import HTMLParser
from pathlib import Path

import pytest
from examples import costly
from fastapi.testclient import TestClient
from hypothesis import given
from hypothesis import strategies as st
from starlette.routing import Route
from untouched import Untouched, watching

from wetend.pump.coating import Coating
from wetend.pump.measurements import ProofReadings, StackMeasured
from wetend.pump.readings import CheckReadings, SetUpRequest
from wetend.units.fields import Field, fields_of
from wetend.units.noun import Noun
from wetend.web.app import ROUTERS
from wetend.web.inspect import BENCHES

from .conftest import TOKEN

POSTS = sorted(
    {
        route.path
        for router in ROUTERS
        for route in router.routes
        if isinstance(route, Route)
        and "POST" in (route.methods or ())
        and route.path != "/passcode"
    }
)
PARTS = (
    "rod",
    "foot-ball",
    "foot-seat",
    "cylinder",
    "seal-land",
    "moving-packings",
    "foot-test",
    "piston-ball",
    "nothing",
)
NAMES = re.compile(r'name="([^"]+)"')
ODD = st.one_of(
    st.text(max_size=60),
    st.sampled_from(
        [
            "",
            " ",
            "0",
            "-1",
            "1e308",
            "1e999",
            "nan",
            "inf",
            "1,5",
            "1,500",
            "3/0",
            "3/8 in",
            "2x0.5",
            "999x1",
            "12 parsec",
            "200 bar",
            "1" * 60,
            "x" * 5000,
            "yes",
            "\x00",
            "\ud83d",
            "‮",
            "'; DROP TABLE entries; --",
            "../../etc/passwd",
            "{{ 7*7 }}",
            "<script>",
            "as-kept",
            "quay-air",
            "none",
            "other",
            "2e-9 mm",
            ", , ,",
            ";;",
            "1;2;3",
            "a = [",
            "[[[[",
        ]
    ),
)


@pytest.fixture(scope="module")
def names(shown) -> tuple[str, ...]:
    """Every field name any form of the site uses, and some it does not."""
    found: set[str] = set()
    with TestClient(shown.app, base_url="http://localhost") as client:
        for path in (
            f"/visits/{shown.open_visit}/{s}"
            for s in ("complaint", "checks", "coating", "strip", "rebuild", "prove", "handover")
        ):
            found |= set(NAMES.findall(client.get(path).text))
        for part in PARTS[:-1]:
            page = client.get(f"/visits/{shown.open_visit}/inspect?part={part}")
            found |= set(NAMES.findall(page.text))
        found |= set(NAMES.findall(client.get("/pumps/new").text))
    found -= {"_token", "viewport"}
    return (
        *sorted(found),
        "_more",
        "hose.7.bore",
        "stack.parts.999.kind",
        "heights.",
        "heights.x",
        "no-such-field",
        "a.b.c.d",
        "operation",
        "undo",
        "coating",
        "toml",
    )


@pytest.fixture
def hostile(site):
    """A browser that is up to no good."""
    with TestClient(site.app, base_url="http://localhost", raise_server_exceptions=False) as client:
        yield client


@pytest.fixture
def depot(site) -> Iterator[Untouched]:
    """The depot's file and those beside it, watched."""
    with watching(Path(site.depot.url.database)) as watch:
        yield watch


@pytest.fixture
def token(hostile) -> str:
    """What lets this browser's forms in."""
    return TOKEN.search(hostile.get("/preferences").text)[1]


def _answered(answer, path: str) -> None:
    assert answer.status_code < 500, (path, answer.status_code)
    if answer.status_code >= 400:
        assert "<h1" in answer.text, path
    for inside in ("Traceback", "validation error", "Input should be"):
        assert inside not in answer.text, path


ACTS = (
    ("checks", "strokes"), ("checks", "creep"), ("make-safe", "drive_off"), ("inspect", "rod"),
    ("prove", "bucket"), ("handover", "sign-off"), ("checks", "x"), ("x", "y"),
)  # fmt: skip
"""Acts of a visit, and two that are none."""


@pytest.mark.parametrize("path", POSTS)
@costly(10)
@given(data=st.data())
def test_no_form_sent_anyhow_breaks_a_page_or_half_keeps(
    hostile, token, site, depot, names, path: str, data
):
    part = data.draw(st.sampled_from(PARTS)) if "{part}" in path else ""
    visit = data.draw(st.sampled_from([site.open_visit, site.open_visit, "0" * 32, "x"]))
    stage, act = data.draw(st.sampled_from(ACTS)) if "{stage}" in path else ("", site.pump)
    where = path.format(visit_id=visit, key=act, part=part, stage=stage)
    fields = data.draw(
        st.dictionaries(st.sampled_from(names), st.lists(ODD, min_size=1, max_size=3), max_size=25)
    )
    sent = {k: [v.encode("utf-8", "replace").decode() for v in vs] for k, vs in fields.items()}
    before = depot.state()
    answer = hostile.post(where, data={**sent, "_token": token}, follow_redirects=False)
    assert answer.status_code != 403, where  # else the form would not even be read
    _answered(answer, where)
    if answer.status_code >= 400:
        assert depot.state() == before, where
    back = answer.headers.get("location", "")
    if back:
        _answered(hostile.get(back), back)


@costly(25)
@given(
    body=st.binary(max_size=400),
    kind=st.sampled_from(
        [
            "application/x-www-form-urlencoded",
            "multipart/form-data; boundary=b",
            "multipart/form-data",
            "multipart/form-data; boundary=b; charset=utf-16",
            "application/json",
            "text/plain",
            "é",
        ]
    ),
    head=st.sampled_from(
        [b"", b"--b\r\n", b"_token=", b'--b\r\nContent-Disposition: form-data; name="']
    ),
)
def test_no_body_of_any_kind_breaks_a_page(hostile, site, body: bytes, kind: str, head: bytes):
    for path in (f"/visits/{site.open_visit}/photos", "/pumps/toml", "/preferences"):
        answer = hostile.post(path, content=head + body, headers={"content-type": kind.encode()})
        _answered(answer, path)


@pytest.mark.parametrize(
    "data", [b"", b"not a picture", b"\xff\xd8\xff", b"<svg xmlns='x'/>", b"GIF89a" + b"x" * 99]
)
def test_what_is_no_photo_is_refused_with_a_sentence(person, site, data: bytes):
    before = len(site.depot.entries(visit=site.open_visit))
    answer = person.send(f"/visits/{site.open_visit}/photos", {}, files={"photo": data})
    assert answer.status_code == 422
    assert len(site.depot.entries(visit=site.open_visit)) == before


@costly(25)
@given(
    query=st.dictionaries(st.sampled_from(["law", "flow", "bore", "length", "_units", "x"]), ODD)
)
def test_no_address_of_a_calculator_breaks_it(hostile, query):
    plain = {k: v.encode("utf-8", "replace").decode() for k, v in query.items()}
    _answered(hostile.get("/calculators/hose-loss", params=plain), "hose-loss")


def _possible(field: Field) -> st.SearchStrategy[tuple[str, ...]]:
    """Texts a field takes, its extremes among them."""
    if field.shape in ("quantity", "number", "whole"):
        low, high = field.least, field.greatest
        unit = field.unit.kind.si if field.unit else ""
        near = st.sampled_from([0.0, 1e-9, 1e-4, 0.01, 0.3, 0.5, 0.9, 1 - 1e-9, 1.0])
        spread = st.floats(0, 1) | near
        value = spread.map(lambda s: f"{low + s * (high - low):.12g} {unit}")
        if field.shape == "whole":
            value = spread.map(lambda s: str(round(low + s * (high - low))))
        series = st.lists(value, min_size=1, max_size=8).map(lambda v: ("; ".join(v),))
        return series if field.many else value.map(lambda v: (v,))
    if field.choices:
        return st.sampled_from(field.choices).map(lambda c: (c,))
    known = {"solvent": "white-spirit", "cup": "iso-4mm", "key": "odd"}
    return st.just((known.get(field.name, "some words"),))


def possible(noun: type[Noun]) -> st.SearchStrategy[Mapping[str, tuple[str, ...]]]:
    """Texts of a form that holds together field by field."""
    law = {"viscosity", "consistency", "index", "yield_stress", "plastic_viscosity"}
    known = {f: _possible(f) for f in fields_of(noun) if f.shape != "map"}
    needed = {f.name: texts for f, texts in known.items() if f.required or f.name in law}
    others = {f.name: texts for f, texts in known.items() if f.name not in {*needed, "cup"}}
    return st.fixed_dictionaries(needed, optional=others)


FORMS = {
    "checks": CheckReadings,
    "coating": Coating,
    "rebuild": StackMeasured,
    "prove": ProofReadings,
    "handover": SetUpRequest,
    **{f"inspect/{part}": bench.noun for part, bench in BENCHES.items()},
}
PAGES = ("checks", "inspect", "rebuild", "prove", "handover")


@pytest.mark.parametrize("form", FORMS)
@costly(8)
@given(data=st.data())
def test_any_readings_a_form_takes_give_a_page(hostile, token, site, form: str, data):
    sent = {n: list(t) for n, t in data.draw(possible(FORMS[form])).items()}
    sent.pop("cup_time", None)
    where = f"/visits/{site.open_visit}/{form}"
    answer = hostile.post(where, data={**sent, "_token": token}, follow_redirects=False)
    assert answer.status_code != 403, where  # else the form would not even be read
    _answered(answer, where)
    if answer.status_code == 303:
        pages = PAGES if form == "coating" else (form.partition("/")[0],)
        for page in pages:
            _answered(hostile.get(f"/visits/{site.open_visit}/{page}"), page)


class _Forms(HTMLParser):
    """Every form of a page that is posted: its action, its hidden texts, and what may be typed."""

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, tuple[dict[str, str], dict[str, str]]] = {}
        self._open = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._open = said.get("action", "") if said.get("method") == "post" else ""
            if self._open:
                self.found.setdefault(self._open, ({}, {}))
        elif self._open and "name" in said and tag in ("input", "textarea", "select"):
            kind = said.get("type", tag)
            hidden, typed = self.found[self._open]
            (hidden if kind == "hidden" else typed)[said["name"]] = (
                said.get("value", "") if kind == "hidden" else kind
            )

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = ""


BAD = ("abc", "12 parsec", "1e999", "nan", "1,500", "-1e30", "a\x01b", "x" * 5000, "2031-13-45")
"""What no quantity is; all but the longest and the odd character may be somebody's words."""


def _pages(site) -> tuple[str, ...]:
    visit, pump = f"/visits/{site.open_visit}", f"/pumps/{site.pump}"
    stages = ("complaint", "checks", "strip", "inspect", "rebuild", "prove", "handover", "record",
              "listen", "box")  # fmt: skip
    return (
        *(f"{visit}/{stage}" for stage in stages),
        *(f"{visit}/inspect?part={part}" for part in PARTS[:-1]),
        pump, f"{pump}/life", f"{pump}/record", "/pumps/new", "/incidents", "/import",
        "/stores/items", "/preferences", f"/visits/{site.closed_visit}/handover", "/",
    )  # fmt: skip


@pytest.mark.timeout(300)
def test_every_form_as_drawn_with_every_box_wrong_keeps_nothing(hostile, site, depot):
    """Each form of the site just as its page draws it, all that may be typed replaced."""
    forms = _Forms()
    for page in _pages(site):
        answer = hostile.get(page)
        if answer.status_code == 200:
            forms.feed(answer.text)
    kinds, refused = itertools.cycle(BAD), set()
    assert len(forms.found) > 35
    for action, (hidden, typed) in forms.found.items():
        boxes = {n for n, kind in typed.items() if kind in ("text", "input", "textarea")}
        for _ in range(3 if boxes else 0):
            bad = next(kinds)
            sent = {**hidden, **dict.fromkeys(boxes, bad)}
            sent.pop("_was", None)
            before = depot.state()
            answer = hostile.post(action, data=sent, follow_redirects=False)
            _answered(answer, action)
            if answer.status_code >= 400:
                assert depot.state() == before, (action, bad)
                refused.add(action)
    assert len(refused) > 20
