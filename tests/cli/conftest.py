"""A depot of its own for each test of the command line, and a way to run commands."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from wetend.cli.app import run
from wetend.records.store import Depot


@dataclass(frozen=True)
class Said:
    """What a command wrote and how it ended."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


@pytest.fixture(scope="session")
def new_depot(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty depot, made once and copied."""
    made = tmp_path_factory.mktemp("new") / "depot.sqlite3"
    Depot.open(made).close()
    return made


@pytest.fixture
def say(
    new_depot: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Callable[..., Said]:  # fmt: skip
    """Run ``wetend`` with these words, on a new depot of this test's own."""
    shutil.copy(new_depot, tmp_path / "depot.sqlite3")
    monkeypatch.setenv("WETEND_DEPOT", str(tmp_path / "depot.sqlite3"))
    monkeypatch.setenv("WETEND_WHO", "A. Tester")
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.delenv("WETEND_UNITS", raising=False)

    def speak(*words: str) -> Said:
        capsys.readouterr()
        code = run(list(words))
        out, err = capsys.readouterr()
        return Said(code, out, err)

    return speak
