"""The invented recordings and logs of ``benchmarks``, importable by name."""

from __future__ import annotations

import sys
from pathlib import Path

_BENCHMARKS = str(Path(__file__).parents[3] / "benchmarks")
if _BENCHMARKS not in sys.path:
    sys.path.insert(0, _BENCHMARKS)
