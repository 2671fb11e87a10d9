"""Nothing else in the program remembers what it computed, and nothing else starts threads."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import wetend

SOURCE = Path(wetend.__file__).parent
MEMORY = {"lru_cache", "cache", "LRUCache", "TTLCache", "cached", "OrderedDict"}
"""Names by which something would be remembered."""
THREADS = {
    "Thread": {
        "background.py",
        "web/lan/serving.py",  # the page that hands out the certificate, beside the pages
    },
    "Timer": set(),
    "start_new_thread": set(),
    "ThreadPoolExecutor": {
        "workflows/executors.py",  # fleets, as the command says, and one shared by the pages
        "physics/stroke/kernel.py",  # half of a large block beside the caller, one for the process
        "physics/motion/simulate.py",  # many runs, for as long as the call takes
    },
}
"""What starts threads, and where it may stand."""


def _files() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        yield path.relative_to(SOURCE).as_posix(), ast.parse(path.read_text("utf-8"))


def _names(tree: ast.Module, modules: set[str]) -> Iterator[str]:
    """Names imported from some modules, or read off them as attributes."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module in modules:
            yield from (alias.name for alias in node.names)
        elif (
            isinstance(node, ast.Attribute)
            and isinstance(node.value, ast.Name)
            and node.value.id in modules
        ):
            yield node.attr


def test_only_keeping_remembers() -> None:
    modules = {"functools", "collections", "cachetools"}
    found = {
        f"{name}: {used}"
        for name, tree in _files() if not name.startswith("keeping/")
        for used in _names(tree, modules) if used in MEMORY
    }  # fmt: skip
    assert found == set()


def test_no_class_of_our_own_drops_the_oldest() -> None:
    """The two calls that any memory of the latest things makes."""
    found = set()
    for name, tree in _files():
        if name.startswith("keeping/"):
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                last = any(k.arg == "last" for k in node.keywords)
                if node.func.attr == "move_to_end" or (node.func.attr == "popitem" and last):
                    found.add(f"{name}:{node.lineno}")
    assert found == set()


@pytest.mark.parametrize("starter", sorted(THREADS))
def test_only_the_background_starts_threads(starter: str) -> None:
    modules = {"threading", "_thread", "concurrent.futures", "futures"}
    found = {name for name, tree in _files() if starter in set(_names(tree, modules))}
    assert found <= THREADS[starter]


def test_no_two_memories_have_one_name() -> None:
    """Told apart only when both modules are read in, which no single test need do."""
    named: dict[str, list[str]] = {}
    for path in sorted(SOURCE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            called = isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
            if called and node.func.id in {"kept", "constant", "Keep"} and node.args:
                first = node.args[0]
                if isinstance(first, ast.Constant) and isinstance(first.value, str):
                    named.setdefault(first.value, []).append(path.name)
    assert len(named) > 20
    assert {n: where for n, where in named.items() if len(where) > 1} == {}
