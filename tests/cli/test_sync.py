"""``wetend sync``: through a stick, with a file, and what stands in its way."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.toml import demo_pump, to_toml


def refused(say: Callable, *words: str) -> str:
    answer = say(*words)
    assert answer.code == 2
    return str(answer.err)


@pytest.fixture
def described(say: Callable, tmp_path: Path) -> Callable:
    (tmp_path / "pump.toml").write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(tmp_path / "pump.toml"))
    return say


def test_a_visit_goes_from_a_van_to_the_depot_by_a_stick(
    described: Callable, tmp_path: Path
) -> None:
    say, stick, lead = described, tmp_path / "stick", str(tmp_path / "lead.sqlite3")
    stick.mkdir()
    say("visit", "start", "quay-air")
    assert "New there: 2 entries, 0 photos." in say("sync", str(stick)).out
    assert "New there: 0 entries" in say("sync", str(stick)).out
    done = json.loads(say("--depot", lead, "depot", "create", "--json").out)
    assert done["depot"].endswith("lead.sqlite3")
    found = json.loads(say("--depot", lead, "sync", str(stick), "--json").out)
    assert (found["received"], found["sent"]) == (2, 0)
    assert "quay-air" in say("--depot", lead, "pump", "list").out
    say("--depot", lead, "visit", "start", "quay-air")
    say("--depot", lead, "sync", str(stick))
    assert "New here: 1 entries" in say("sync", str(stick)).out


def test_what_stands_in_its_way_is_a_sentence(described: Callable, tmp_path: Path) -> None:
    say = described
    missing = str(tmp_path / "other.sqlite3")
    assert "--create makes one" in refused(say, "sync", missing)
    assert "New there: 1 entries" in say("sync", missing, "--create").out
    assert "Give the token" in refused(say, "sync", "https://depot.example")
    assert "plain HTTP" in refused(say, "sync", "http://depot.example", "--token", "t")
    own = str(json.loads(say("depot", "where", "--json").out)["depot"])
    assert "this very depot" in refused(say, "sync", own)


def test_tokens_are_made_listed_and_withdrawn(described: Callable) -> None:
    say = described
    token = json.loads(say("depot", "token", "van-2", "--json").out)["token"]
    assert len(token) == 43  # 256 bits in Base64 without padding: RFC 4648
    assert "van-2, since 20" in say("depot", "devices").out
    assert "is withdrawn" in say("depot", "withdraw", "van-2").out
    assert "No device holds a token" in say("depot", "devices").out
    assert "No device" in refused(say, "depot", "withdraw", "van-2")
