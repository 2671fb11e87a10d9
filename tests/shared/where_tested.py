"""Which modules have no tests where one looks for them, read from what imports what.

Where one looks: the file of the module's name at the mirrored place; where there is none, the
mirrored folder, in which a file imports the module, or a module of its package that uses it. A
module read in by its name, as commands and calculators are, counts as used by who names it.
"""

from __future__ import annotations

import ast
from pathlib import Path

from nearest_tests import NearestTests


class _Package:
    """The modules of one package, and which of them uses which."""

    def __init__(self, near: NearestTests, name: str) -> None:
        self.near = near
        self.mates = {m for m in near.names if m == name or m.startswith(f"{name}.")}
        self.texts = {m: _texts(near.names[m]) for m in self.mates}

    def users(self, module: str) -> set[str]:
        """Modules of the package that import this one or name it."""
        plain = module.rpartition(".")[2]
        names = {module, plain, plain.strip("_").replace("_", "-")}
        named = {m for m in self.mates if self.texts[m] & names}
        return (self.near.users[module] & self.mates | named) - {module}

    def reaching(self, module: str) -> set[str]:
        """The module and those of its package that lead to it."""
        found, row = {module}, {module}
        while row:
            row = set().union(*map(self.users, row)) - found
            found |= row
        return found


def _texts(path: Path) -> set[str]:
    return {node.value for node in ast.walk(ast.parse(path.read_bytes()))
            if isinstance(node, ast.Constant) and isinstance(node.value, str)}  # fmt: skip


def not_tested_where_one_looks(root: Path) -> list[str]:
    """Modules of the tree, as ``pump/costs.py``."""
    near, found, packages = NearestTests(root), [], {}
    source, tests = root / "src" / "wetend", root / "tests"
    for name, path in near.names.items():
        place = path.relative_to(source)
        if place.name == "__init__.py" or "migrations" in place.parts:
            continue
        if (tests / place.parent / f"test_{place.stem}.py").exists():
            continue
        package = name.rpartition(".")[0]
        if package not in packages:
            packages[package] = _Package(near, package)
        folder = tests / place.parent
        used = [u for test, u in near.tests.items() if test.is_relative_to(folder)]
        if not packages[package].reaching(name) & set().union(*used):
            found.append(place.as_posix())
    return sorted(found)
