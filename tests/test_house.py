"""A newcomer finds the room: few rooms a floor, no circles, tests where one looks."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

import pytest
from where_tested import not_tested_where_one_looks

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "wetend"
ADVICE = SOURCE / "advice"
_LINES = 500
"""A module longer than this holds more than one thing."""
_TESTED_ELSEWHERE = {
    "__main__.py", "advice/rebuild/entered.py", "jit/__main__.py",
    "pump/measurements.py", "pump/readings_file.py",
    "pump/removed.py", "pump/simulation.py",
    "reports/order_list.py", "units/constants.py", "web/listening/rows.py",
    "web/listening/trace.py", "workflows/calculators.py", "workflows/demo/depot.py",
    "workflows/memory.py", "workflows/months_in_background.py", "workflows/practice.py",
    "workflows/validation.py",
}  # fmt: skip
"""Tested only from a room above. Takes no new names: give the module tests and strike it out."""


def _modules(folder: Path) -> list[Path]:
    return [p for p in sorted(folder.rglob("*.py")) if p.name != "__init__.py"]


def _rooms_used(room: Path) -> set[str]:
    """Rooms of advice that a room of it imports from."""
    found: set[str] = set()
    for path in [room] if room.is_file() else sorted(room.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("wetend.advice"):
                below = (node.module or "").split(".")[2:]
                found |= {below[0]} if below else {a.name for a in node.names}
    return found - {room.stem}


def _floors() -> dict[str, int]:
    """Floor of each room of advice: one above the highest that it imports from."""
    rooms = {
        p.stem: p for p in ADVICE.iterdir()
        if (p.suffix == ".py" and p.stem != "__init__") or (p / "__init__.py").exists()
    }  # fmt: skip
    uses = {name: _rooms_used(path) for name, path in rooms.items()}
    floors: dict[str, int] = {}
    while len(floors) < len(rooms):
        ready = [n for n in rooms if n not in floors and uses[n] <= floors.keys()]
        assert ready, f"a circle between {sorted(set(rooms) - set(floors))}"
        floors |= {n: 1 + max((floors[u] for u in uses[n]), default=0) for n in ready}
    return floors


def test_advice_has_one_room_a_stage_and_no_circle() -> None:
    floors = _floors()
    assert len(floors) <= 20, sorted(floors)
    assert max(floors.values()) <= 6, floors


@pytest.mark.parametrize(
    "folder", sorted({p.parent.relative_to(SOURCE) for p in _modules(SOURCE)}), ids=str
)
def test_no_family_of_names_stands_in_for_a_folder(folder: Path) -> None:
    """Three modules whose names begin with one word are a folder in disguise."""
    families: dict[str, list[str]] = defaultdict(list)
    for path in (SOURCE / folder).glob("*.py"):
        families[path.stem.partition("_")[0]].append(path.stem)
    assert not {k: v for k, v in families.items() if k and len(v) > 2}


def test_no_module_grows_past_reading() -> None:
    long = {
        str(p.relative_to(SOURCE)): n
        for p in _modules(SOURCE)
        if (n := len(p.read_text(encoding="utf-8").splitlines())) > _LINES
    }
    assert not long


def test_tests_stand_where_one_looks() -> None:
    """A module's test has its name and place; what tests a package stands with the package."""
    strangers = [
        str(path.relative_to(ROOT))
        for path in sorted((ROOT / "tests").rglob("test_*.py"))
        if not (SOURCE / path.parent.relative_to(ROOT / "tests")).is_dir()
        and path.parent.name not in {"reference", "hazards"}
    ]
    assert not strangers


def test_a_module_is_tested_where_one_looks() -> None:
    assert not_tested_where_one_looks(ROOT) == sorted(_TESTED_ELSEWHERE)


def test_a_test_that_bears_no_modules_name_says_what_it_holds() -> None:
    silent = []
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        folder = SOURCE / path.parent.relative_to(ROOT / "tests")
        name = path.stem.removeprefix("test_")
        own = (folder / f"{name}.py").exists() or (folder / name).is_dir()
        if not own and not ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))):
            silent.append(str(path.relative_to(ROOT)))
    assert not silent


def test_a_package_has_its_tests() -> None:
    untested = [
        str(folder.relative_to(SOURCE))
        for folder in sorted({p.parent for p in _modules(SOURCE)})
        if folder != SOURCE
        and "migrations" not in folder.parts
        and not list((ROOT / "tests" / folder.relative_to(SOURCE)).rglob("test_*.py"))
    ]
    assert not untested


def test_every_package_says_what_is_in_it() -> None:
    silent = [
        str(p.relative_to(SOURCE))
        for p in sorted(SOURCE.rglob("__init__.py"))
        if "versions" not in p.parts
        and len((ast.get_docstring(ast.parse(p.read_text(encoding="utf-8"))) or "").split()) < 4
    ]
    assert not silent
