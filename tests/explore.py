"""Draws the property tests anew, round after round, and prints how to repeat whatever fails.

``make test`` always draws the same examples. This looks for those it does not draw::

    make explore MINUTES=60                  # or STOP=1 to end at the first failure
    python tests/explore.py --minutes 5 tests/physics

Each round takes a fresh seed. Every failure is printed once, as soon as it is seen, with the
command that repeats it; pytest's own report of it goes to the log. Exit status 1 if any failed.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import re
import secrets
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TextIO

_VERDICT = re.compile(r"(?:^|\s)(PASSED|FAILED|ERROR|SKIPPED|XFAIL)(?:\s|$)")
_TEST = re.compile(r"(\S+\.py::.*?)(?:\s+(?:PASSED|FAILED|ERROR)\b.*)?$")
_SHARE = re.compile(r"\[\s*(\d+)%\]")
_NO_HURRY = "--timeout=0"
"""At the lowest priority on a busy machine a sound test may take very long."""


def command(tests: list[str], seed: int, *options: str) -> list[str]:
    """The pytest command of one round, or of one test of it."""
    return [sys.executable, "-m", "pytest", *tests, "--hypothesis-profile=explore",
            f"--hypothesis-seed={seed}", *options]  # fmt: skip


def repeat(test: str, seed: int) -> str:
    """What to type to see a failure again."""
    return shlex.join(command([test], seed, "-n", "0", _NO_HURRY))


@dataclass
class Search:
    """What was searched and what was found."""

    minutes: float
    log: TextIO
    began: float = field(default_factory=time.monotonic)
    rounds: int = 0
    share: int = 0
    failed: dict[str, int] = field(default_factory=dict)
    """Tests that failed, each with the first seed it failed at."""

    @property
    def left(self) -> float:
        """Seconds left."""
        return self.began + 60 * self.minutes - time.monotonic()

    def progress(self, *, end: bool = False) -> None:
        """One line that is written over on a terminal, and now and then elsewhere."""
        spent = (time.monotonic() - self.began) / 60
        line = (f"round {self.rounds}, {self.share} % of it; {spent:.0f} of {self.minutes:g} min; "
                f"{len(self.failed)} failed")  # fmt: skip
        if sys.stdout.isatty():
            print(f"\r\033[K{line}", end="\n" if end else "", flush=True)
        elif end or self.share in (0, 50):
            print(line, flush=True)

    def saw(self, line: str, seed: int) -> None:
        """Take note of one line that pytest wrote."""
        self.log.write(line)
        if share := _SHARE.search(line):
            moved, self.share = int(share[1]) != self.share, int(share[1])
            if moved:
                self.progress()
        verdict, test = _VERDICT.search(line), _TEST.search(line.strip())
        if verdict and verdict[1] in ("FAILED", "ERROR") and share and test:
            self._found(test[1], seed)

    def _found(self, test: str, seed: int) -> None:
        if test in self.failed:
            return
        self.failed[test] = seed
        said = f"FAILED {test}\n  repeat it: {repeat(test, seed)}"
        print(("\r\033[K" if sys.stdout.isatty() else "") + said, flush=True)
        self.log.write(f"{said}\n")
        self.log.flush()


def _lines(search: Search, tests: list[str], seed: int, workers: str) -> Iterator[str]:
    """What one round of pytest writes; ended when the time is up."""
    options = ("-m", "hypothesis", "-n", workers, "-v", "--no-header", "--tb=short", "-p",
               "no:cacheprovider", "--color=no", _NO_HURRY)  # fmt: skip
    with subprocess.Popen(
        command(tests, seed, *options), stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        text=True, start_new_session=True, env={**os.environ, "PYTHONUNBUFFERED": "1"},
    ) as run:  # fmt: skip
        assert run.stdout is not None
        try:
            for line in run.stdout:
                yield line
                if search.left <= 0:
                    return
        finally:
            if run.poll() is None:
                os.killpg(run.pid, signal.SIGINT)
                try:
                    run.communicate(timeout=30)
                except subprocess.TimeoutExpired:
                    os.killpg(run.pid, signal.SIGKILL)
    if run.returncode not in (0, 1):  # no round at all: a wrong name, a module that can't be read
        raise SystemExit(f"pytest could not run (status {run.returncode}): see {search.log.name}.")


def explore(search: Search, tests: list[str], *, workers: str, stop: bool, rounds: int) -> None:
    """Rounds until the time is up, or as many as wanted (0: no end), or the first failure."""
    while search.left > 0 and not (rounds and search.rounds >= rounds):
        search.rounds, search.share = search.rounds + 1, 0
        seed = secrets.randbelow(2**32)
        search.log.write(f"round {search.rounds}, seed {seed}\n")
        search.progress()
        for line in _lines(search, tests, seed, workers):
            search.saw(line, seed)
        if stop and search.failed:
            return


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("tests", nargs="*", default=["tests"], help="folders, files or test ids")
    parser.add_argument("--minutes", type=float, default=10.0, help="how long to look")
    parser.add_argument("--rounds", type=int, default=0, help="stop after so many rounds")
    parser.add_argument("--workers", default="1", help="pytest-xdist workers; 0: none")
    parser.add_argument("--stop", action="store_true", help="stop after a round that failed")
    parser.add_argument("--log", type=Path, default=Path("explore.log"), help="all pytest wrote")
    asked = parser.parse_args()
    with asked.log.open("w", encoding="utf-8") as log:
        search = Search(asked.minutes, log)
        with contextlib.suppress(KeyboardInterrupt):
            explore(search, asked.tests, workers=asked.workers, stop=asked.stop,
                    rounds=asked.rounds)  # fmt: skip
        search.progress(end=True)
    for test, seed in search.failed.items():
        print(f"FAILED {test}\n  repeat it: {repeat(test, seed)}")
    print(f"Everything pytest wrote is in {asked.log}.")
    return 1 if search.failed else 0


if __name__ == "__main__":
    sys.exit(main())
