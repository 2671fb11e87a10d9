"""Published values that figures show, and how far ours may lie from them."""

from __future__ import annotations

import csv
from pathlib import Path

REFERENCE = Path(__file__).parents[2] / "tests" / "reference"


def near(ours: float, published: float, within: float) -> None:
    """Stop the build where ours and the published figure differ by more than this share."""
    if abs(ours - published) > within * abs(published):
        raise ValueError(f"{ours:g} against {published:g} published: more than {within:.2%}")


def rows(name: str) -> list[dict[str, str]]:
    """Published figures of one source, from the tests' own tables."""
    with (REFERENCE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
