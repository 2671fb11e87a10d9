"""All numbers that a kept depot is answered with, so that a change of any is seen.

A depot as a version wrote it stands in ``tests/depots`` beside the answers of the version that runs
now. ``python tests/shared/depot_answers.py --write`` writes the answers anew; the test says when.
"""

from __future__ import annotations

import json
import lzma
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from unittest import mock

from wetend import __version__
from wetend.cli.output import plain
from wetend.pump.costs import Costs
from wetend.records.store import Depot
from wetend.workflows import (
    checks,
    fleet,
    handover,
    inspect,
    life,
    life_facts,
    prove,
    rebuild,
    stores,
    strip,
)
from wetend.workflows.desk import Desk

DEPOTS = Path(__file__).parents[1] / "depots"
ANSWERS = DEPOTS / "answers.json"
TODAY = date(2026, 11, 30)
_STAGES = {
    "checks": checks, "strip": strip, "inspect": inspect, "rebuild": rebuild, "prove": prove,
    "handover": handover,
}  # fmt: skip
MOST = 3
"""Visits answered: those with the most in them."""


class _Noon(datetime):
    """The clock as it stood when the depot was kept."""

    @classmethod
    def now(cls, tz: Any = None) -> datetime:
        return datetime(TODAY.year, TODAY.month, TODAY.day, 12, tzinfo=tz or UTC)


def _leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Numbers and verdicts with their place; what is said in words may be said better."""
    if isinstance(value, dict):
        for key, below in value.items():
            if key not in {"visit", "entries", "coatings"}:  # what was put in is no answer
                yield from _leaves(below, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        for number, below in enumerate(value):
            yield from _leaves(below, f"{path}[{number}]")
    elif isinstance(value, bool | int | float) or path.endswith("verdict"):
        yield path, value


def _significant(value: Any) -> Any:
    return float(f"{value:.7g}") if isinstance(value, float) else value


def _visits(depot: Depot) -> list[str]:
    """The visits with the most in them."""
    kinds = Counter(e.visit for e in depot.each_entry() if e.visit)
    return sorted(kinds, key=lambda v: (kinds[v], v), reverse=True)[:MOST]


def _views(desk: Desk) -> Iterator[tuple[str, Any]]:
    for visit in _visits(desk.depot):
        for stage, module in _STAGES.items():
            yield f"{visit[:12]} {stage}", module.view(desk, visit)
    for pump in sorted(life_facts.facts(desk).pumps)[:2]:
        yield f"{pump} life", life.view(desk, pump, today=TODAY)
    yield "stores", stores.plan(desk, Costs(), today=TODAY)
    yield "fleet", fleet.view(desk, today=TODAY)


def opened(version: str, folder: Path) -> Depot:
    """The depot that a version wrote, unpacked and opened by this one."""
    path = folder / f"{version}.sqlite3"
    path.write_bytes(lzma.decompress((DEPOTS / f"{version}.sqlite3.xz").read_bytes()))
    return Depot.open(path)


def answers(depot: Depot) -> dict[str, dict[str, Any]]:
    """Every number and verdict of every page, by page and place in it."""
    desk = Desk(depot, who="A. Tester")
    with mock.patch.object(life_facts, "datetime", _Noon):
        return {
            name: {path: _significant(v) for path, v in _leaves(plain(view))}
            for name, view in _views(desk)
        }


def written() -> dict[str, Any]:
    """Answers as they were written down, with the version that gave them."""
    return dict(json.loads(ANSWERS.read_text(encoding="utf-8")))


if __name__ == "__main__" and "--write" in sys.argv:
    with tempfile.TemporaryDirectory() as place, opened("0.1.0", Path(place)) as kept:
        given = {"version": __version__, "answers": answers(kept)}
    ANSWERS.write_text(json.dumps(given, indent=0, sort_keys=True) + "\n", encoding="utf-8")
