"""A command reads in only what it uses: which libraries are there afterwards, not how fast.

Seconds are measured by ``benchmarks/startup.py``.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

HEAVY = (
    "alembic", "fastapi", "starlette", "uvicorn", "jinja2", "typst", "openpyxl", "PIL", "segno",
    "psycopg", "scipy", "scipy.special", "scipy.optimize", "scipy.stats", "scipy.interpolate",
    "scipy.integrate", "scipy.ndimage", "scipy.sparse", "numba", "llvmlite", "numpy",
    "sqlalchemy", "pydantic", "sqlalchemy.dialects.postgresql", "pint",
)  # fmt: skip
_RUN = """
import contextlib, io, json, sys
from wetend.cli.app import run
with contextlib.redirect_stdout(io.StringIO()):
    code = run(sys.argv[2:])
loaded = [name for name in json.loads(sys.argv[1]) if name in sys.modules]
print(json.dumps([code, loaded]))
"""
DEPOT = {"pydantic", "sqlalchemy"}
SUMS = DEPOT | {"numpy"}
DIAGNOSED = SUMS | {"llvmlite", "scipy", "scipy.special", "scipy.linalg", "scipy.sparse"}


@pytest.fixture(scope="module")
def demo(copy_demo: Callable[[Path], Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_demo(tmp_path_factory.mktemp("start-up") / "demo.sqlite3")


@pytest.mark.parametrize(
    ("words", "may"),
    [
        ("", set()),
        ("pump", DEPOT | {"numpy"}),
        ("calc cup-viscosity cup=ford-4 time=64s", {"numpy", "pydantic"}),
        ("calc gap-leak", {"numpy", "pydantic"}),
        ("visit list", DEPOT),
        ("visit show last", DEPOT),
        ("depot where", DEPOT),
        ("rebuild last", SUMS),
        ("strip last", SUMS),
        ("site last", SUMS),
        ("checks last", DIAGNOSED),
        ("find-fault --pump quay-air --coating epoxy-tank --readings READINGS", DIAGNOSED),
    ],
)
def test_only_what_is_used_is_read_in(
    demo: Path, tmp_path: Path, words: str, may: set[str]
) -> None:
    readings = tmp_path / "readings.toml"
    readings.write_text('creep_down = "900 mm/min"\n', encoding="utf-8")
    given = [str(readings) if word == "READINGS" else word for word in words.split()]
    before = ["--depot", str(demo)] if given else []
    done = subprocess.run(
        [sys.executable, "-c", _RUN, json.dumps(HEAVY), *before, *given],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}, capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    code, loaded = json.loads(done.stdout.splitlines()[-1])
    assert code == 0, done.stderr
    assert set(loaded) <= may


def test_the_server_starts_without_what_its_first_page_does_not_use() -> None:
    code = (
        "import json, sys, wetend.cli.serve, wetend.web.server; "
        "print(json.dumps([n for n in json.loads(sys.argv[1]) if n in sys.modules]))"
    )
    late = [
        "numba",
        "scipy",
        "scipy.optimize",
        "PIL",
        "openpyxl",
        "alembic",
        "pint",
        "rich.progress",
    ]
    done = subprocess.run(
        [sys.executable, "-c", code, json.dumps(late)], capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert json.loads(done.stdout) == []
