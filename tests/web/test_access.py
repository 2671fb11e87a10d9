"""Form tokens on every form, and what was typed given back when one is refused."""

from __future__ import annotations

import html
import re

import pytest
from starlette.routing import Route

from wetend.web.app import ROUTERS

POSTS = sorted(
    {
        route.path
        for router in ROUTERS
        for route in router.routes
        if isinstance(route, Route) and "POST" in (route.methods or ())
    }
)


def test_there_are_forms_to_test():
    assert len(POSTS) > 12


@pytest.mark.parametrize("path", POSTS)
def test_no_form_is_taken_without_its_token(reader, shown, path: str):
    where = path.format(visit_id=shown.open_visit, key=shown.pump, part="rod", stage="checks")
    before = len(shown.depot.entries())
    for data in ({"said": "x"}, {"said": "x", "_token": "1.2.3"}):
        answer = reader.client.post(where, data=data, follow_redirects=False)
        assert answer.status_code == 403
        assert "Nothing is lost" in answer.text
    assert len(shown.depot.entries()) == before


def test_a_refused_form_shows_what_was_typed_and_can_be_sent_again(person, site):
    path = f"/visits/{site.open_visit}/complaint"
    said = 'Tails at the edge, "worse" when <cold> & windy'
    refused = person.client.post(path, data={"said": said, "seen": ["knocks at the turn"]})
    assert html.escape(said) in refused.text.replace("&#34;", "&quot;").replace("&#39;", "&#x27;")
    fields = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', refused.text)
    form = refused.text.partition('class="ask"')[2]
    again = [(n, html.unescape(v)) for n, v in fields if f'name="{n}" value="{v}"' in form]
    assert ("said", said) in again
    data: dict[str, list[str]] = {}
    for name, value in again:
        data.setdefault(name, []).append(value)
    kept = person.client.post(path, data=data, follow_redirects=False)
    assert kept.status_code == 303
    assert html.escape(said, quote=False) in person.get(path).text.replace("&#34;", '"')


def test_another_browsers_token_is_refused(reader, shown, bare):
    token = reader.token()
    reader.client.cookies.clear()
    answer = reader.client.post(
        f"/visits/{shown.open_visit}/notes", data={"text": "x", "_token": token}
    )
    assert answer.status_code == 403


def test_the_form_cookie_is_out_of_reach_of_scripts_and_other_sites(bare):
    cookie = bare.get("/").headers["set-cookie"].lower()
    assert "wetend-form=" in cookie
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


@pytest.mark.parametrize(
    "path",
    [
        "/visits/nowhere/checks",
        "/visits/" + "0" * 32 + "/checks",
        "/pumps/no-such-pump",
        "/pumps/%00",
        "/pumps/UPPER/edit",
        "/photos/zz",
        "/photos/" + "a" * 64,
        "/calculators/none",
        "/nowhere",
        "/visits/%ff/strip",
        "/pumps/..%2f..%2fetc",
        "/static/..%2fapp.py",
    ],
)
def test_what_is_not_here_is_said_plainly(reader, path: str):
    answer = reader.get(path)
    assert answer.status_code == 404
    assert "<h1>Not found</h1>" in answer.text


def test_a_page_that_takes_no_form_says_so(reader):
    answer = reader.client.post("/calculators", data={})
    assert answer.status_code == 405
