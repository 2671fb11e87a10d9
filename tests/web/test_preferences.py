"""What is switched on for a device: each off until then, without script and without an account."""

from __future__ import annotations

import pytest

from wetend.web.person import SWITCHES

MARK = {"sun": 'class="sun', "big": "big", "aloud": "data-aloud", "awake": "data-awake",
        "buzz": "data-buzz"}  # fmt: skip


def _head(text: str) -> str:
    return text.partition('<a class="skip"')[0]


@pytest.mark.parametrize("switch", SWITCHES)
def test_a_switch_is_off_until_it_is_on_and_stays_on_this_device(reader, switch: str):
    assert f" {MARK[switch]}" not in _head(reader.get("/").text)
    back = reader.send("/preferences", {switch: "on", "back": "/calculators"})
    assert back.url.path == "/calculators"
    assert MARK[switch] in _head(back.text)
    assert MARK[switch] in _head(reader.get("/").text)
    assert ("/static/hands.js" in back.text) is (switch in ("aloud", "awake", "buzz"))
    page = reader.get("/preferences").text
    assert f'name="{switch}" value="on" checked' in page
    assert MARK[switch] not in _head(reader.send("/preferences", {switch: "off"}).text)


def test_a_switch_takes_nothing_odd(reader):
    assert MARK["big"] not in _head(reader.send("/preferences", {"big": "enormous"}).text)
