"""A pump found by its words from any page, without script."""

from __future__ import annotations

import re

import pytest


@pytest.mark.parametrize(
    ("words", "path"),
    [("dry dock", "/pumps/dry-dock"), ("DRY-DOCK", "/pumps/dry-dock"),
     ("berth", "/pumps/north-quay"), ("yard", "/pumps/east-yard"), ("hydraulic", "/"),
     ("nowhere", "/"), ("", "/")],
)  # fmt: skip
def test_words_that_fit_one_pump_open_it_and_others_list_what_fits(reader, words, path):
    answer = reader.get("/find", params={"q": words})
    assert answer.url.path == path
    assert answer.status_code == 200
    if path == "/" and words:
        assert answer.url.params["q"] == words


def test_every_page_has_the_form_and_the_pumps_at_hand_but_for_who_may_not_look(reader, guarded):
    for path in ("/", "/calculators", "/pumps/tank-farm/life"):
        page = reader.get(path).text
        assert 'action="/find"' in page
        menu = page.partition("<summary>Pumps</summary>")[2].partition("</details>")[0]
        named = re.findall(r'href="/pumps/([a-z-]+)"', menu)
        assert set(named[:2]) == {"north-quay", "east-yard"}  # their visits are open
        assert "tank-farm" in named
    assert "tank-farm" not in reader.get("/injection").text  # kept on the device
    assert "<summary>Pumps" not in guarded.get("/").text
