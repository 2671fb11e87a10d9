"""The version is real: what alters a number that anyone can see comes with a version of its own."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import depot_answers
import pytest

from wetend import __version__

ROOT = Path(__file__).parents[1]
CHANGELOG = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
_EXACT, _DRAWN = 1e-5, 0.05
"""Machines differ in the last digits, a person reads four; what rests on draws may differ by one
draw in a thousand, and then by so much."""
_BY_DRAWS = ("checks", "life", "handover", "stores", "fleet")
_MOST_OFF = 0.02
"""Share of such numbers that may be further off."""


def _differs(one: Any, other: Any, *, drawn: bool) -> bool:
    if isinstance(one, str) or isinstance(other, str) or one is None or other is None:
        return bool(one != other)
    return one != pytest.approx(other, rel=_DRAWN if drawn else _EXACT, abs=0.01 * drawn + 1e-12)


def _changed(page: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, Any]:
    """What a page answers otherwise than it did, by place; nothing where so little may be."""
    drawn = page.endswith(_BY_DRAWS)
    found = {
        f"{page} {path}": (before.get(path), after.get(path))
        for path in before.keys() | after.keys()
        if _differs(before.get(path), after.get(path), drawn=drawn)
    }
    return {} if drawn and len(found) < _MOST_OFF * len(before) else found


@pytest.fixture(scope="module")
def now(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    with depot_answers.opened("0.1.0", tmp_path_factory.mktemp("kept")) as depot:
        return depot_answers.answers(depot)


def test_a_depot_written_before_is_answered_as_this_version_says(
    now: dict[str, dict[str, Any]],
) -> None:
    """Wanted otherwise? Raise the version, say in CHANGELOG.md which numbers moved and why, and
    write the answers anew: ``PYTHONPATH=src:tests/shared python tests/shared/depot_answers.py
    --write``.
    """
    written = depot_answers.written()["answers"]
    assert now.keys() == written.keys()
    changed: dict[str, Any] = {}
    for page in written:
        changed |= _changed(page, written[page], now[page])
    assert not changed


def test_a_number_that_moves_is_seen(now: dict[str, dict[str, Any]]) -> None:
    for page in (next(name for name in now if name.endswith("prove")), "stores"):
        numbers = {p: v for p, v in now[page].items() if isinstance(v, float) and v}
        moved = {p: 1.2 * v for p, v in numbers.items()}
        assert numbers
        assert _changed(page, now[page], now[page] | moved)


def test_answers_are_those_of_this_version() -> None:
    """A version raised without new answers, or the other way round, stops here."""
    assert depot_answers.written()["version"] == __version__


def test_the_changelog_has_a_section_for_this_version() -> None:
    sections = re.findall(r"^## (\S+)", CHANGELOG, flags=re.MULTILINE)
    assert sections[0] == "Unreleased"
    assert sections[1] == __version__
    assert sections[1:] == sorted(sections[1:], key=lambda v: [int(n) for n in v.split(".")])[::-1]


def test_the_changelog_has_a_line_a_change() -> None:
    lines = CHANGELOG.split("## Unreleased", 1)[1].splitlines()
    assert all(not line or line.startswith(("- ", "  ", "## ", "### ")) for line in lines)
