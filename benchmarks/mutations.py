"""Which small mutations of the program do its tests catch? Those drawn at random, by seed.

    python benchmarks/mutations.py [--count 200] [--seed 1] [--room physics --room stats]
        [--write docs/mutations.csv] [--seconds 60]
    python benchmarks/mutations.py --again [--only survived] --write docs/mutations.csv
    python benchmarks/mutations.py --named

Each mutation (``mutants``) is made in a copy of the sources and tests in a temporary folder; then
the tests that reach its module run, the nearest first (``nearest_tests``), until one fails or so
many seconds are spent. What changes nothing that can be seen is named with its reason in
``equivalent_mutations.csv`` and counted apart. Libraries are imported once; each mutation has a
process of its own, one after another. A compiled model of the pump in motion would take minutes to
compile for each mutation, so it runs by its plain functions, which tests hold to the compiled ones.
"""

from __future__ import annotations

import argparse
import csv
import importlib
import os
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any, cast, get_args

from mutant_tree import ROOMS, Outcome, Result, Tree
from mutants import Mutation, mutations_of
from rich.console import Console
from rich.progress import track
from rich.table import Table

ROOT = Path(__file__).resolve().parents[1]
HEAVY = ("numpy", "scipy.optimize", "scipy.stats", "scipy.signal", "scipy.special", "numba",
         "pydantic", "sqlalchemy", "alembic", "fastapi.testclient", "typer", "rich.table",
         "psycopg", "hypothesis.strategies", "PIL.Image", "jinja2", "pypdf")  # fmt: skip
HEAD = ("room", "module", "line", "kind", "what", "outcome", "by")
EQUIVALENT = ROOT / "benchmarks" / "equivalent_mutations.csv"
"""Module, change and the reason why nobody can see it; reviewed by hand."""
NAMED = ROOT / "benchmarks" / "named_mutations.csv"
"""Module, text before and after: mutations that once survived and would have hurt a user."""


def table_of(results: Sequence[Result], place: Any) -> Table:
    """How many of each room were caught."""
    table = Table("room", "drawn", "caught", "survived", "equivalent", "caught of the rest")
    counted: dict[str, Counter[str]] = {}
    for result in results:
        room = place(result.mutation.path).split("/")[0]
        for row in (room, "all"):
            counted.setdefault(row, Counter())[result.outcome] += 1
    for room in (*sorted(counted.keys() - {"all"}), *(["all"] if counted else [])):
        row = counted[room]
        rest = row.total() - row["equivalent"]
        share = f"{row['caught'] / rest:.1%}" if rest else "-"
        counts = (row.total(), row["caught"], row["survived"], row["equivalent"])
        table.add_row(room, *map(str, counts), share)
    return table


def _row(result: Result, place: str) -> dict[str, object]:
    mutation = result.mutation
    return dict(zip(HEAD, (place.split("/")[0], place, mutation.line, mutation.kind, mutation.what,
                           result.outcome, result.by), strict=True))  # fmt: skip


def write(results: Sequence[Result], tree: Tree, record: Path) -> None:
    """The record, a line a mutation."""
    with record.open("w", encoding="utf-8", newline="") as file:
        rows = csv.DictWriter(file, HEAD, lineterminator="\n")
        rows.writeheader()
        rows.writerows(_row(each, tree.place(each.mutation.path)) for each in results)


def read(path: Path | None) -> list[dict[str, str]]:
    """The lines of a record; none where there is none."""
    if path is None or not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def named(tree: Tree, path: Path = NAMED) -> list[Mutation]:
    """The mutations of the fixed list.

    Raises:
        SystemExit: if one does not fit the sources any more.
    """
    found = []
    for row in read(path):
        module = tree.package / row["module"]
        source = module.read_text("utf-8")
        if source.count(row["before"]) != 1:
            raise SystemExit(f"{row['module']} has not one {row['before']!r}: mend {path.name}.")
        start = len(source[: source.index(row["before"])].encode())
        line = source[: source.index(row["before"])].count("\n") + 1
        span = (start, start + len(row["before"].encode()))
        found.append(Mutation(module, line, span, "named", row["before"], row["after"]))
    return found


def recorded(tree: Tree, rows: Sequence[dict[str, str]]) -> list[Result]:
    """The mutations of a record, found again in sources that may have moved; not what is gone.

    Alike ones of a module are told apart by what stands beside them, then by their line.
    """
    found: list[Result] = []
    taken: set[tuple[Path, tuple[int, int], str]] = set()
    for row in rows:
        module, change = tree.package / row["module"], row["what"].partition(" in: ")[0]
        free = [
            m for m in (mutations_of(module) if module.exists() else ())
            if m.change == change and (m.path, m.span, m.after) not in taken
        ]  # fmt: skip
        if free:
            like = [SequenceMatcher(None, m.what, row["what"]).ratio() for m in free]
            away = [-abs(m.line - int(row["line"])) for m in free]
            best = free[max(range(len(free)), key=lambda n: (like[n], away[n]))]
            taken.add((best.path, best.span, best.after))
            found.append(Result(best, cast("Outcome", row["outcome"]), row["by"]))
    return found


def _to_try(args: argparse.Namespace, tree: Tree) -> list[Result]:
    """What is tried, and what is known of it."""
    if args.again:
        return recorded(tree, read(args.write))
    drawn = named(tree) if args.named else tree.drawn(args.count, args.seed, args.room or ROOMS)
    return [Result(mutation, "not run", "") for mutation in drawn]


def _tried(args: argparse.Namespace, tree: Tree, console: Console) -> list[Result]:
    """Try all, with a bar; the record is written as it grows."""
    reviewed = {(row["module"], row["what"]) for row in read(EQUIVALENT)}
    results = _to_try(args, tree)
    for number, known in enumerate(track(results.copy(), "mutations", console=console)):
        mutation, place = known.mutation, tree.place(known.mutation.path)
        if (place, mutation.what) in reviewed:
            results[number] = Result(mutation, "equivalent", "reviewed")
        elif known.outcome in (args.only or ("not run", "survived", "equivalent")):
            results[number] = result = tree.tried(mutation, args.seconds)
            said = f"{result.outcome:9s} {result.seconds:4.0f} s  {place}:{mutation.line}"
            console.print(f"{said}  {mutation.what}  [{result.by}]", markup=False, soft_wrap=True)
        if args.write:
            write(results, tree, args.write)
    return results


def _not_sound(results: Sequence[Result], tree: Tree) -> list[Result]:
    """Those caught by a test that fails without any mutation too."""
    tests = sorted({r.by for r in results if r.outcome == "caught" and "::" in r.by})
    if not tests:
        return []
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-n", "0", "-p", "no:cacheprovider", "-rf",
         *tests], cwd=tree.root, text=True, capture_output=True, check=False,
        env={**os.environ, "PYTHONPATH": str(tree.root / "src")},
    )  # fmt: skip
    failed = [line.split()[1] for line in run.stdout.splitlines() if line.startswith("FAILED ")]
    if run.returncode not in (0, 1):
        raise SystemExit(run.stdout[-2000:])
    return [r for r in results if r.by in failed]


def main() -> int:
    """Draw, try, print, write; ends with 1 where a test that caught one fails of itself."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", action="append", choices=ROOMS)
    parser.add_argument("--seconds", type=float, default=60.0, help="of tests, for one mutation")
    parser.add_argument("--named", action="store_true", help="the fixed list instead")
    parser.add_argument("--write", type=Path, help="record to write, as docs/mutations.csv")
    parser.add_argument("--root", type=Path, default=ROOT, help="tree with src and tests")
    parser.add_argument(
        "--again", action="store_true", help="what the record holds, not caught yet"
    )
    parser.add_argument("--only", action="append", choices=get_args(Outcome), help="with --again")
    args = parser.parse_args()
    for name in HEAVY:
        importlib.import_module(name)
    console = Console()
    with tempfile.TemporaryDirectory(prefix="wetend-mutations-") as folder:
        os.environ.setdefault("WETEND_COMPILED", f"{folder}/compiled")
        Path(os.environ["WETEND_COMPILED"]).mkdir(exist_ok=True)
        tree = Tree(Path(folder) / "tree", args.root)
        sys.dont_write_bytecode = False  # some thousand files, else compiled anew each time
        if not tree.is_sound():
            raise SystemExit((tree.root / "last.log").read_text("utf-8")[-3000:])
        results = _tried(args, tree, console)
        doubtful = _not_sound(results, tree)
        console.print(table_of(results, tree.place))
    for result in doubtful:
        console.print(f"fails without any mutation too: {result.by}", markup=False)
    return 1 if doubtful else 0


if __name__ == "__main__":
    sys.exit(main())
