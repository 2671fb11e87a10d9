"""Invented logs of a pump's outlet pressure, with the true moments of its turns.

At each turn delivery stops for a moment and the pressure dips; between turns it stands a little
higher on one stroke than on the other. Readings come at uneven times, and some do not come at all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pump_sounds import Pumping, turns_of

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class MadeLog:
    """A made log and its truth."""

    times: Floats
    pressure: Floats
    """Bar."""
    turns: Floats
    kinds: tuple[int, ...]


def log_of(
    seed: int,
    *,
    rate: float = 50.0,
    run: Pumping | None = None,
    dip: float = 25.0,
    noise: float = 4.0,
    uneven: float = 0.2,
    dropouts: int = 4,
    longest: float = 2.5,
) -> MadeLog:
    """A log of outlet pressure.

    Args:
        seed: of everything drawn.
        rate: readings a second.
        run: how the pump runs.
        dip: bar by which the pressure falls at a turn.
        noise: standard deviation of one reading, bar.
        uneven: scatter of the times of reading, as a share of the step.
        dropouts: stretches without readings.
        longest: seconds of the longest of them.
    """
    rng = np.random.default_rng(seed)
    run = run or Pumping()
    turns, kinds = turns_of(rng, run)
    count = int(run.seconds * rate)
    times = (np.arange(count) + uneven * rng.uniform(-1, 1, count)) / rate
    pressure = 180 + 3 * np.sin(2 * np.pi * times / 23) + noise * rng.standard_normal(count)
    step = rng.uniform(0, 6)
    for i, (at, kind) in enumerate(zip(turns, kinds, strict=True)):
        since = times - at
        late = np.clip(since, 0, None)
        fall = np.where(since > 0, (late / 0.03) * np.exp(1 - late / 0.03), 0.0)
        pressure -= dip * (1.0 if kind else 0.8) * fall * rng.lognormal(0, 0.1)
        until = turns[i + 1] if i + 1 < len(turns) else np.inf
        pressure += step * (kind == 0) * ((since > 0) & (times < until))
    kept = np.ones(count, dtype=bool)
    for _ in range(dropouts):
        start = rng.uniform(2, run.seconds - 4)
        kept &= ~((times > start) & (times < start + rng.uniform(0.3, longest)))
    return MadeLog(times[kept], pressure[kept], turns, kinds)


def as_csv(made: MadeLog, *, delimiter: str = ",", decimal: str = ".") -> bytes:
    """The log as a table with headings."""
    rows = [delimiter.join(["Time (s)", "Outlet pressure (bar)"])]
    rows += [
        delimiter.join([f"{t:.4f}", f"{p:.2f}"]).replace(".", decimal)
        for t, p in zip(made.times, made.pressure, strict=True)
    ]
    return "\n".join(rows).encode()
