"""Every page: reached, well formed, light, in each person's units, and safe to put text on."""

from __future__ import annotations

import gzip
import re
from html.parser import HTMLParser

import httpx2
import pytest

from wetend.web.stage_nav import STAGE_WORDS
from wetend.web.static import STATIC

from .conftest import someone_at

VOID = {"meta", "link", "input", "br", "img", "hr"}
_WEIGHT = 60_000


def paths_of(site) -> list[str]:
    """An address of every kind of page."""
    stages = [f"/visits/{v}/{stage}" for v in (site.open_visit, site.closed_visit)
              for stage in STAGE_WORDS]  # fmt: skip
    return [
        "/", "/pumps/new", "/pumps/new/full", f"/pumps/{site.pump}", f"/pumps/{site.pump}/edit",
        f"/pumps/{site.pump}/visits", f"/visits/{site.open_visit}/coating", *stages,
        f"/visits/{site.open_visit}/inspect?part=cylinder", "/calculators",
        "/calculators/gap-leak", "/gallery", "/faults", "/faults/air", "/preferences", "/nowhere",
    ]  # fmt: skip


class Page(HTMLParser):
    """Checks a page's markup as it is read."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.ids: list[str] = []
        self.faults: list[str] = []
        self.pointed: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.faults += [
            f"{tag} {name}" for name in named if name == "style" or name.startswith("on")
        ]
        runs = tag == "script" and named.get("type") != "application/json"
        if tag == "style" or (runs and "src" not in named):
            self.faults.append(f"inline {tag}")
        if any((named.get(a) or "").startswith(("http:", "https:", "//")) for a in ("src", "href")):
            self.faults.append(f"{tag} points away")
        self.ids += [named["id"] or ""] if "id" in named else []
        for name in ("aria-describedby", "aria-labelledby", "for"):
            self.pointed += (named.get(name) or "").split()
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"stray </{tag}>")


@pytest.fixture(scope="module")
def answers(shown) -> dict[str, httpx2.Response]:
    """Every page, asked for once."""
    with someone_at(shown) as reader:
        return {path: reader.get(path) for path in paths_of(shown)}


def test_every_page_is_reached_and_well_formed(answers):
    for path, answer in answers.items():
        assert answer.status_code == (404 if path == "/nowhere" else 200), path
        page = Page()
        page.feed(answer.text)
        assert page.faults == [], path
        assert page.open == [], path
        assert len(set(page.ids)) == len(page.ids), path
        assert set(page.pointed) <= set(page.ids), path
        assert answer.text.count("<h1>") == 1, path


def test_no_page_says_none_or_shows_a_bare_object(answers):
    for path, answer in answers.items():
        unlabelled = re.sub(r"<label.*?</label>", " ", answer.text)  # a mark may be "None"
        text = re.sub(r"<[^>]*>", " ", unlabelled)
        assert not re.search(r"\bNone\b|object at 0x|Undefined|\bnan\b", text), path


def test_a_page_with_all_it_needs_weighs_less_than_sixty_kilobytes_on_the_wire(answers):
    each = {name: len(gzip.compress(data)) for name, (data, _) in STATIC.items()}
    for path, answer in answers.items():
        assert answer.headers["content-encoding"] == "gzip", path
        needs = {n for n in each if f"/static/{n}" in answer.text or n.endswith("-worker.js")}
        weight = len(gzip.compress(answer.content)) + sum(each[name] for name in needs)
        assert weight < _WEIGHT, (path, weight)


def test_units_and_sun_mode_are_remembered_without_script(reader, shown):
    page = f"/visits/{shown.closed_visit}/handover"
    assert " bar" in reader.get(page).text
    back = reader.send("/preferences", {"units": "imperial", "back": page})
    assert back.url.path == page
    figures = re.findall(r"<dd>[\d.]+ <small>([^<]+)</small>", back.text)
    assert "psi" in figures
    assert "bar" not in figures
    assert not re.search(r"\d bar\b(?! \()", back.text)
    sunny = reader.send("/preferences", {"sun": "on", "back": page})
    assert 'class="sun"' in sunny.text
    assert 'aria-pressed="true"' in sunny.text
    assert 'class="sun"' not in reader.send("/preferences", {"sun": "off", "back": page}).text


def test_preferences_go_nowhere_else_and_take_nothing_odd(reader):
    answer = reader.send("/preferences", {"units": "cubits", "back": "https://elsewhere.example/"})
    assert answer.url.path == "/"
    assert "Metric" in answer.text


def test_the_name_given_stands_on_what_is_entered(person, site):
    person.send("/preferences", {"who": "Ä. Müller; <b>", "place": "North  quay"})
    person.send(f"/visits/{site.open_visit}/notes", {"text": "Wet cup topped up"})
    entry = site.depot.entries(visit=site.open_visit, kinds=("note",))[-1]
    assert (entry.who, entry.place) == ("Ä. Müller; <b>", "North quay")


@pytest.mark.parametrize("cookie", ["%ff%fe", "a" * 5000, "%00%0a", "\u20ac"])
def test_odd_cookies_are_as_good_as_none(reader, cookie: str):
    header = f"wetend-who={cookie}; wetend-units={cookie}; wetend-sun={cookie}".encode()
    assert reader.get("/", headers=[(b"cookie", header)]).status_code == 200


def test_text_people_type_is_never_markup(person, site):
    evil = "</textarea><script>alert(1)</script>{{ 7*7 }}${7*7}'\"><img src=x onerror=alert(1)>"
    path = f"/visits/{site.open_visit}"
    person.send(f"{path}/complaint", {"said": evil, "since": evil[:150]})
    person.send(f"{path}/notes", {"text": evil, "stage": "checks"})
    person.send("/preferences", {"who": evil})
    for page in (f"{path}/complaint", f"{path}/checks", "/", "/preferences", f"/pumps/{site.pump}"):
        text = person.get(page).text
        assert "<script>alert" not in text, page
        assert "<img src=x" not in text, page
        assert ">49<" not in text, page


def test_a_page_asked_for_with_head_or_a_long_query_answers(reader):
    assert reader.get("/?" + "x" * 4000).status_code == 200
    assert reader.get("/preferences?back=" + "x" * 4000).status_code in (200, 404)
