"""Draw the figures of docs/theory, each a published table or curve with ours over it.

``python docs/figures/draw.py [NAME ...]`` writes docs/theory/figures; ``make docs`` runs it. Every figure
checks itself while it is drawn: where ours lies further from a published value than it says, it stops.
"""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from types import ModuleType

DOCS = Path(__file__).parents[1]
sys.path[1:1] = [str(DOCS.parent / folder) for folder in ("src", "benchmarks", "tests/shared")]

import flow  # noqa: E402
import leak  # noqa: E402
import liquid  # noqa: E402
import motion  # noqa: E402
import part  # noqa: E402
import stroke  # noqa: E402
import table  # noqa: E402
from compared import agreement  # noqa: E402

AGREE = {
    "hose": ("hose", "calc hose-loss"),
    "nozzle": ("nozzle", "calc nozzle-flow"),
    "leakage": ("leakage", "calc gap-leak"),
    "threads": ("threads", "calc thread-torque", "calc wrench-extension"),
    "suction": ("suction", "calc suction-margin", "calc acceleration-head"),
    "displacement": ("displacement", "calc displacement"),
}
"""Modules and calculators whose published figures are shown together."""


def _of(module: ModuleType) -> dict[str, object]:
    """A module's figures: each of its public functions, by its name."""
    return {name.replace("_", "-"): make for name, make in vars(module).items()
            if getattr(make, "__module__", "") == module.__name__ and name.islower() and name[0] != "_"}  # fmt: skip


FIGURES = {f"{name}-agreement": partial(agreement, *which) for name, which in AGREE.items()}
for each in (flow, leak, liquid, motion, part, stroke, table):
    FIGURES |= _of(each)

if __name__ == "__main__":
    folder = DOCS / "theory" / "figures"
    folder.mkdir(exist_ok=True)
    for name in sys.argv[1:] or FIGURES:
        FIGURES[name]().save(folder / f"{name}.svg")
