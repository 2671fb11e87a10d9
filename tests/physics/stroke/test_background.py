"""The compiled sums made ready behind the work, as a new machine does it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

_FIRST = """
import sys
import numpy as np
from wetend.physics.stroke.gap import LeakRate
from wetend.physics.stroke.kernel import COMPILED
from wetend.physics.stroke.losses import tabulate
from wetend.physics.stroke.parameters import DriveLine, Leaks, OutletLine, StrokeParameters
from wetend.physics.stroke.steady import steady
hose = tabulate(lambda flow, scale: 1e11 * flow * scale, flow_high=6e-4)
tight = LeakRate(0.0, 0.0)
pumps = StrokeParameters(
    5e-4, 5e-4, DriveLine(9000.0, 0.2, np.linspace(100.0, 400.0, 500), 0.08, 0.05),
    OutletLine(hose, 1.0, 3e9, 0.0, 2e16), Leaks(tight, tight, tight, 2.8e7),
)
first = steady(pumps)
assert not COMPILED.code.is_whole(), "nothing was to be compiled yet"
COMPILED.loaded()
assert COMPILED.code.is_whole() and COMPILED.at_hand() is not None
np.testing.assert_allclose(steady(pumps).flow, first.flow, rtol=3e-9)
assert "numba" not in sys.modules, "what was compiled apart is read without the compiler"
"""


@pytest.mark.slow
def test_first_ever_answer_waits_for_no_compiler(tmp_path: Path) -> None:
    """Plain arrays answer while a process of its own compiles; then the compiled sums take over."""
    subprocess.run(
        [sys.executable, "-c", _FIRST], check=True, timeout=290.0,
        env={**os.environ, "WETEND_COMPILED": str(tmp_path)},
    )  # fmt: skip
    assert [file.stat().st_size > 0 for file in tmp_path.rglob("native.object")] == [True]
