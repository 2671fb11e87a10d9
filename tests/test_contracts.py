"""The layers point downwards: the contracts in pyproject.toml hold."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_layer_contracts_hold() -> None:
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run(
        [lint, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_help_loads_no_heavy_library() -> None:
    code = (
        "import sys; from wetend.cli.app import run; run(['--help']); "
        "heavy = {'numpy', 'scipy', 'pint', 'sqlalchemy', 'fastapi', 'jinja2', 'pydantic'}; "
        "print('LOADED', sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert "LOADED []" in done.stdout
