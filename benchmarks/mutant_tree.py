"""A copy of the sources and tests in which one mutation at a time is made and tried."""

from __future__ import annotations

import importlib
import json
import os
import random
import shutil
import signal
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any, Literal

import pytest
from mutants import Mutation, modules_of, mutations_of
from nearest_tests import NearestTests

ROOMS = ("physics", "advice", "stats", "pump", "records", "workflows")
LEFT_OUT = ("workflows/demo/", "records/migrations/")
"""Invented data, and steps of the past."""
STAGES = (5, 40)
"""Test files of one mutation that are read in first, and those at most."""
COPIED = ("src", "tests", "benchmarks", "docs", "requirements", "pyproject.toml", "Makefile",
          "README.md", "CHANGELOG.md", "CONTRIBUTING.md", ".ci")  # fmt: skip
MOTION = "physics/motion/"
Outcome = Literal["caught", "survived", "equivalent", "not run"]


@dataclass
class Result:
    """What became of one mutation."""

    mutation: Mutation
    outcome: Outcome
    by: str
    """The test that failed, or how many passed."""
    seconds: float = 0.0


@dataclass(eq=False)
class Watch:
    """A plugin of pytest: order of the files, an end when time is up, the first failure."""

    order: list[Path]
    seconds: float
    failed: str = ""
    passed: int = 0
    began: float = field(default_factory=time.monotonic)

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """The nearest first."""
        turn = {path: n for n, path in enumerate(self.order)}
        items.sort(key=lambda item: turn.get(item.path, len(turn)))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Keep the first failure, count the rest."""
        if report.failed and not self.failed:
            self.failed = report.nodeid
        self.passed += report.passed and report.when == "call"

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """A file that can't be read in fails too."""
        if report.failed and not self.failed:
            self.failed = report.nodeid or "import"

    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        """No more when time is up."""
        if time.monotonic() - self.began > self.seconds:
            item.session.shouldstop = "time is up"


class Tree:
    """A copy of the sources and tests, in which one mutation at a time is made."""

    def __init__(self, folder: Path, source: Path) -> None:
        """Copy all.

        Args:
            folder: where the copy goes.
            source: what is copied.
        """
        self.root = folder
        for name in COPIED:
            if (source / name).is_dir():
                ignored = shutil.ignore_patterns("__pycache__")
                shutil.copytree(source / name, folder / name, ignore=ignored)
            elif (source / name).exists():
                shutil.copy2(source / name, folder / name)
        self.package = folder / "src" / "wetend"
        self.near = NearestTests(folder)

    def place(self, path: Path) -> str:
        """A module as ``advice/ratings.py``."""
        return path.relative_to(self.package).as_posix()

    def drawn(self, count: int, seed: int, rooms: Sequence[str] = ROOMS) -> list[Mutation]:
        """So many mutations, each possible one as likely as any other."""
        all_of_them = [m for path in modules_of(self.package, tuple(rooms), LEFT_OUT)
                       for m in mutations_of(path)]  # fmt: skip
        drawn = random.Random(seed).sample(all_of_them, min(count, len(all_of_them)))
        return sorted(drawn, key=lambda m: (m.path, m.span, m.after))

    def is_sound(self) -> bool:
        """Whether the tests of one module pass where nothing is changed."""
        module = self.package / "advice" / "ratings.py"
        found = self._run(module, self.near.of(module)[:1], 60.0)
        return bool(found["passed"]) and not found["failed"]

    def tried(self, mutation: Mutation, seconds: float) -> Result:
        """Make it, run the tests that reach it, undo it."""
        sound, began = mutation.path.read_bytes(), time.monotonic()
        try:
            mutation.path.write_text(mutation.source(), encoding="utf-8")
            _forget(mutation.path)
            found = self._staged(mutation.path, seconds)
        finally:
            mutation.path.write_bytes(sound)
            _forget(mutation.path)
        outcome: Outcome = "caught" if found["failed"] else "survived"
        by = found["failed"] or f"{found['passed']} tests passed"
        return Result(mutation, outcome, by, time.monotonic() - began)

    def _staged(self, path: Path, seconds: float) -> dict[str, Any]:
        """The nearest tests, and the others where those pass."""
        files, passed, began = [path, *self.near.of(path)], 0, time.monotonic()
        for stage in pairwise((0, *STAGES)):
            left = seconds - (time.monotonic() - began)
            if (tests := files[slice(*stage)]) and left > 0:
                found = self._run(path, tests, left)
                if found["failed"]:
                    return found
                passed += found["passed"]
        return {"failed": "", "passed": passed}

    def _run(self, path: Path, tests: list[Path], seconds: float) -> dict[str, Any]:
        answer = self.root / "answer.json"
        answer.unlink(missing_ok=True)
        child = os.fork()
        if child == 0:
            self._test(path, Watch(tests, seconds), answer)
        deadline = time.monotonic() + 2 * seconds + 60
        while os.waitpid(child, os.WNOHANG) == (0, 0):
            if time.monotonic() > deadline:
                os.killpg(child, signal.SIGKILL)
                os.waitpid(child, 0)
                return {"failed": "no end", "passed": 0}
            time.sleep(0.05)
        if not answer.exists():
            raise RuntimeError((self.root / "last.log").read_text("utf-8")[-3000:])
        found: dict[str, Any] = json.loads(answer.read_text("utf-8"))
        return found

    def _test(self, path: Path, watch: Watch, answer: Path) -> None:
        """In the child: tests of one module, the nearest first; never returns."""
        os.setsid()
        os.chdir(self.root)
        sys.path.insert(0, str(self.root / "src"))
        os.environ["PYTHONPATH"] = str(self.root / "src")
        with (self.root / "last.log").open("w") as log:
            os.dup2(log.fileno(), 1)
            os.dup2(log.fileno(), 2)
        status: int = pytest.ExitCode.OK
        try:
            if self.place(path).startswith(MOTION):
                _run_plain()
            status = pytest.main(
                ["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-W",
                 "ignore::pytest.PytestAssertRewriteWarning", "-m",
                 "not browser and not postgresql", *map(str, watch.order)],
                plugins=[watch],
            )  # fmt: skip
            if status == pytest.ExitCode.INTERNAL_ERROR:
                os._exit(1)
            found = {"failed": watch.failed, "passed": watch.passed}
        except BaseException as error:  # noqa: BLE001 - what a mutation may raise is not known
            found = {"failed": f"import: {type(error).__name__}", "passed": 0}
        if not found["failed"] and status == pytest.ExitCode.USAGE_ERROR:
            found["failed"] = "the program can't be imported"
        answer.write_text(json.dumps(found), "utf-8")
        os._exit(0)


def _forget(module: Path) -> None:
    """What Python compiled of a module: told to be old by seconds, which are too coarse here."""
    for kept in (module.parent / "__pycache__").glob(f"{module.stem}.*.pyc"):
        kept.unlink()


def _run_plain() -> None:
    """The pump in motion by its plain functions only."""
    engines: Any = importlib.import_module("wetend.physics.motion.engines")
    engines.Engines.at_hand = engines.Engines.compiled = lambda _: engines.PLAIN
