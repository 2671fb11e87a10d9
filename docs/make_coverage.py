"""The table of docs/coverage.md: what the tests run of each room, from a report of coverage.py.

    python docs/make_coverage.py REPORT.json [--tests "tests/stats src/wetend/stats"] [--write docs/coverage.md]

``make coverage`` runs the tests under coverage.py, writes the report and calls this.
"""

from __future__ import annotations

import argparse
import json
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wetend import __version__

ROOT = Path(__file__).resolve().parents[1]
DIVIDED = "advice"
"""The room whose folders have a row each."""
FEW = 10
"""Modules named as the least covered."""
MOST = 0.9
"""Of branches taken: a module with more is not named."""
LEAST = 8
"""Branches of a module that is named."""


@dataclass
class Count:
    """Lines and branches, and how many of them a run passed."""

    modules: int = 0
    lines: int = 0
    run: int = 0
    branches: int = 0
    taken: int = 0

    def add(self, other: Count) -> None:
        """Count another's too."""
        for name, value in vars(other).items():
            setattr(self, name, getattr(self, name) + value)

    @property
    def share(self) -> float:
        """Of the branches, those taken; 1 where there is none."""
        return self.taken / self.branches if self.branches else 1.0


def counts_of(report: dict[str, Any]) -> dict[str, Count]:
    """Counts of each module, as ``advice/ratings.py``, of a report with branches.

    Raises:
        SystemExit: the report has no branches, or nothing of the program.
    """
    if not report["meta"]["branch_coverage"]:
        raise SystemExit("The report counts no branches: run coverage with branch = true.")
    found = {}
    for path, file in report["files"].items():
        _, ours, place = Path(path).as_posix().rpartition("wetend/")
        if ours:
            s = file["summary"]
            found[place] = Count(1, s["num_statements"], s["covered_lines"], s["num_branches"],
                                 s["covered_branches"])  # fmt: skip
    if not found:
        raise SystemExit("The report holds no module of wetend.")
    return found


def room_of(place: str) -> str:
    """Folder that a module is counted under; a lone one of the top is of ``.``."""
    *folders, _ = place.split("/")
    return "/".join(folders[: 2 if folders[:1] == [DIVIDED] else 1]) or "."


def mirrored(counts: dict[str, Count], tests: list[str]) -> dict[str, Count]:
    """What stands in the folders that these tests mirror; all where none are named."""
    folders = [test.removeprefix("src/wetend").removeprefix("tests").strip("/") for test in tests]
    return {place: count for place, count in counts.items()
            if not folders or any(f"{place}/".startswith(f"{f}/") for f in folders)}  # fmt: skip


def _share(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f}" if whole else "-"


def _row(name: str, count: Count) -> str:
    cells = (name, count.modules, count.lines, _share(count.run, count.lines), count.branches,
             _share(count.taken, count.branches))  # fmt: skip
    return "| " + " | ".join(map(str, cells)) + " |"


def page(counts: dict[str, Count], tests: str = "") -> str:
    """The whole page."""
    rooms: dict[str, Count] = defaultdict(Count)
    for place, count in counts.items():
        rooms[room_of(place)].add(count)
        rooms["all"].add(count)
    rows = [_row(name, rooms[name]) for name in (*sorted(rooms.keys() - {"all"}), "all")]
    least = sorted((c.share, place) for place, c in counts.items()
                   if c.branches >= LEAST and c.share < MOST)[:FEW]  # fmt: skip
    named = [
        f"- `{place}`: {counts[place].taken} of {counts[place].branches}" for _, place in least
    ]
    places = [f"`{place}`" for place in tests.split() if place.startswith("tests")]
    by = f"the tests in {', '.join(places)} alone" if places else "all tests"
    return "\n".join((
        "# What the tests run", "",
        f"Lines run and branches taken by {by} and the examples in docstrings, version {__version__}, "
        "measured by coverage.py. Written by `make coverage`; not by hand.", "",
        "A line that is run is not yet a line that is tested: `make mutations` asks that. Not counted: "
        "compiled code. What Numba compiles (`physics/stroke/kernel.py`, `block.py`, `alone.py`, "
        "`rows.py`; `physics/motion`) counts only where its plain functions run; tests hold the "
        "compiled ones to those.", "",
        "| room | modules | lines | run, % | branches | taken, % |",
        "|---|---:|---:|---:|---:|---:|", *rows, "",
        *(("Least branches taken:", "", *named, "") if named else ()),
    ))  # fmt: skip


def main() -> None:
    """Read the report, write the page."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("report", type=Path)
    parser.add_argument("--tests", default="", help="which were run, where not all")
    parser.add_argument("--write", type=Path, default=ROOT / "docs" / "coverage.md")
    args = parser.parse_args()
    counts = counts_of(json.loads(args.report.read_text("utf-8")))
    shown = mirrored(counts, args.tests.split())
    args.write.write_text(page(shown, args.tests), "utf-8")


if __name__ == "__main__":
    main()
