"""A fault more is one record and its place in the catalogue: the tool with an invented one."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.advice.faults.catalogue import EVERY
from wetend.advice.faults.tables import FAULT

HERE = Path(__file__).parent / "one_more"
ROOT = Path(__file__).parents[3]
Run = Callable[[Path], subprocess.CompletedProcess[str]]


@pytest.fixture
def with_one_more() -> Run:
    """Runs tests in a process in which the catalogue names one more fault, and nowhere else."""

    def run(tests: Path) -> subprocess.CompletedProcess[str]:
        path = os.pathsep.join([str(HERE), *sys.path])
        return subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-p", "exhaust", "-p", "no:cacheprovider",
             "-n", "0", str(tests)],
            cwd=ROOT, env={**os.environ, "PYTHONPATH": path}, capture_output=True, text=True,
            check=False,
        )  # fmt: skip

    return run


def test_the_whole_tool_knows_a_fault_that_is_one_record(with_one_more: Run) -> None:
    done = with_one_more(HERE / "with_it.py")
    assert done.returncode == 0, done.stdout + done.stderr
    assert " passed" in done.stdout
    assert len(EVERY) == len(FAULT) == 12
    assert "exhaust" not in FAULT
