"""Texts longer than their field holds: refused with the field, its length and its limit."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.toml import demo_pump, to_toml
from wetend.records.store import Depot


@pytest.fixture
def visited(say: Callable, tmp_path: Path) -> Callable:
    """The same, with a pump described and a visit begun."""
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    assert say("pump", "describe", str(described)).code == 0
    assert say("visit", "start", "quay-air").code == 0
    return say


def kept(tmp_path: Path) -> int:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        return len(depot.entries())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("visit", "start", "quay-air", "--reason", "r" * 201),
            "Reason for the call has 201 characters",
        ),
        (("visit", "start", "quay-air", "--site", "s" * 1200), "site has 1,200 characters"),
        (("visit", "note", "last", "n" * 4001), "remark has 4,001 characters; at most 4,000"),
        (("complaint", "last", "said=" + "s" * 4001), "What the crew says has 4,001 characters"),
        (("ran", "last", "why=" + "w" * 201), "has 201 characters; at most 200"),
        (("site", "last", "permit=" + "p" * 201), "Entry permit has 201 characters"),
        (("incident", "said=" + "s" * 4001), "In a few words has 4,001 characters"),
        (("--who", "w" * 201, "visit", "note", "last", "seen"), "who has 201 characters"),
    ],
    ids=lambda case: " ".join(case)[:24] if isinstance(case, tuple) else "",
)
def test_a_text_too_long_is_refused_and_nothing_kept(
    visited: Callable, tmp_path: Path, words: tuple[str, ...], told: str
) -> None:
    before = kept(tmp_path)
    said = visited(*words)
    assert said.code == 2
    assert told in said.err
    assert said.err.count("\n") == 1
    assert "inside" not in said.err
    assert len(said.err) < 300
    assert kept(tmp_path) == before


def test_a_text_as_long_as_may_be_is_kept_whole(visited: Callable, tmp_path: Path) -> None:
    assert visited("visit", "start", "quay-air", "--reason", "r" * 200).code == 0
    assert visited("visit", "note", "last", "n" * 4000).code == 0
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        (note,) = depot.entries(kinds=("note",))
    assert note.payload.count("n" * 4000) == 1


def test_a_reason_for_taking_back_is_refused_rather_than_cut(
    visited: Callable, tmp_path: Path
) -> None:
    assert visited("visit", "note", "last", "seen").code == 0
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        note = depot.entries(kinds=("note",))[0].id[-6:]
    said = visited("visit", "withdraw", "last", note, "--reason", "w" * 201)
    assert (said.code, "Why has 201 characters" in said.err) == (2, True)
    assert visited("visit", "withdraw", "last", note, "--reason", "w" * 200).code == 0


def test_a_caption_too_long_leaves_no_photo_behind(visited: Callable, tmp_path: Path) -> None:
    picture = tmp_path / "seat.png"
    picture.write_bytes(PNG)
    said = visited("visit", "photo", "last", str(picture), "--caption", "c" * 201)
    assert (said.code, "What it shows has 201 characters" in said.err) == (2, True)
    assert not [p for p in (tmp_path / "depot.photos").rglob("*") if p.is_file()]


PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c494441"
    "54789c63e870510200024600ef8a58fa9e0000000049454e44ae426082"
)
"""One brown point."""
