"""Which test files reach a module, the nearest first, read from what imports what.

First the file of the module's name at the mirrored place, then those of the mirrored folder that
import it, then others that import it, then those from which more steps lead to it; of equally near
ones, those that reach the least besides.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path

PACKAGE = "wetend"


def imported_by(path: Path) -> set[str]:
    """Dotted names that a file imports: modules, or names in them."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_bytes())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def imports_of(path: Path) -> set[str]:
    """The same of the package only."""
    return {name for name in imported_by(path) if name.split(".")[0] == PACKAGE}


class NearestTests:
    """The tests of a tree with ``src`` and ``tests``."""

    def __init__(self, root: Path) -> None:
        """Read all imports.

        Args:
            root: the tree.
        """
        self.root = root
        self.names = {self.name_of(p): p for p in sorted((root / "src" / PACKAGE).rglob("*.py"))}
        self.users: dict[str, set[str]] = defaultdict(set)
        for name, path in self.names.items():
            for used in imports_of(path) & self.names.keys():
                self.users[used].add(name)

    def name_of(self, path: Path) -> str:
        """A module's dotted name."""
        parts = path.relative_to(self.root / "src").with_suffix("").parts
        return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)

    @cached_property
    def tests(self) -> dict[Path, set[str]]:
        """Each test file and the modules that it or its helpers import.

        Helpers: what it imports from ``tests/shared``, and programs in a folder of its name.
        """
        return {path: self._used(path) & self.names.keys()
                for path in sorted((self.root / "tests").rglob("test_*.py"))}  # fmt: skip

    def _used(self, test: Path) -> set[str]:
        used = imported_by(test)
        shared = (self.root / "tests" / "shared" / f"{name}.py" for name in used)
        own = (test.parent / test.stem.removeprefix("test_")).glob("*.py")
        for helper in (*filter(Path.is_file, shared), *own):
            used |= imported_by(helper)
        return used

    def _steps(self, name: str) -> dict[str, int]:
        """How many imports lead from each module to this one."""
        steps, row = {name: 0}, [name]
        while row:
            row = [user for each in row for user in sorted(self._new(each, steps))]
        return steps

    def _new(self, name: str, steps: dict[str, int]) -> Iterator[str]:
        for user in self.users[name]:
            if user not in steps:
                steps[user] = steps[name] + 1
                yield user

    def of(self, path: Path) -> list[Path]:
        """Test files that reach a module, the nearest first."""
        steps = self._steps(self.name_of(path))
        place = path.relative_to(self.root / "src" / PACKAGE)
        mirrored = self.root / "tests" / place.parent / f"test_{place.stem}.py"
        by_reference = self.root / "tests" / "reference"
        ranked = []
        for test, used in self.tests.items():
            near = min((steps[u] for u in used if u in steps), default=None)
            if test == mirrored:
                near = -1
            if near is None and test.parent in (mirrored.parent, by_reference):
                near = 2  # a module may be read in by its name
            if near is not None:
                away = near * 2 + (not test.is_relative_to(mirrored.parent))
                ranked.append((away, len(used), test))
        return [test for *_, test in sorted(ranked)]
