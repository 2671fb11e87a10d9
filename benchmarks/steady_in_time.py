"""The steady answer against the model in time, over pumps at random from what the forms accept.

    python benchmarks/steady_in_time.py [pumps] [--write]

Prints, and with ``--write`` puts into docs/diagnosis.md, how far stroke times, mean gauge and
delivery part. The model in time is run until its strokes repeat to 5 in 10,000; a pump whose
hose takes longer than 200 cycles to settle is left out and counted.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from accepted_pumps import accepted_condition, accepted_pump
from numpy.typing import NDArray

from wetend.advice.hose.compliance import spraying
from wetend.advice.pump_physics import Condition, Motion, liquid_of, stroke_parameters
from wetend.advice.simulation.parameters import motion_parameters
from wetend.errors import NoAnswer
from wetend.physics.motion.simulate import Stroke, Trace, simulate
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.description import Pump

Array = NDArray[np.float64]

PUMPS, SEED = 2000, 16
WITHIN = 0.03
MOST_CYCLES, REPEATS = 200, 5e-4
STARVED = -0.9e5
"""Pressure below the piston, over the atmosphere, under which the suction does not follow."""
FIGURES = ("up-stroke", "down-stroke", "cycle", "gauge", "delivery")
DOC = Path(__file__).parents[1] / "docs" / "diagnosis.md"
MARKS = ("<!-- steady figures -->", "<!-- end of steady figures -->")


def _read(up: Stroke, down: Stroke) -> Array:
    time = up.time + down.time
    gauge = (up.gauge * up.time + down.gauge * down.time) / time
    flow = (up.delivered + down.delivered) / time
    return np.array([up.time, down.time, time, gauge, flow])


def _pairs(trace: Trace) -> list[tuple[Stroke, Stroke]]:
    strokes = trace.strokes[len(trace.strokes) % 2 :]
    return list(zip(strokes[::2], strokes[1::2], strict=True))


def in_time(pump: Pump, coating: Coating, condition: Condition) -> tuple[Array, bool] | None:
    """What it reads in time once settled, and whether it fills; ``None`` if it does not settle."""
    made, cycles = motion_parameters(pump, coating, Motion(steady=condition)), 12
    while cycles <= MOST_CYCLES:
        try:
            trace = simulate(made, cycles=cycles)
        except NoAnswer:
            return None
        pairs = _pairs(trace)
        if len(pairs) < cycles:
            return None
        last, earlier = _read(*pairs[-1]), _read(*pairs[-1 - cycles // 3])
        if np.abs(last / earlier - 1).max() < REPEATS:
            up = pairs[-1][0]
            rows = (trace.t >= up.start) & (trace.t <= up.end)
            return last, bool(trace.below[rows].min() > STARVED)
        cycles *= 2
    return None


def by_steady(pump: Pump, coating: Coating, condition: Condition) -> Array:
    """What it reads by the steady answer."""
    liquid = liquid_of(coating)
    parameters = stroke_parameters(pump, liquid, condition)
    seen = spraying(pump, liquid, parameters, steady(parameters))
    up, down = float(seen.up_time[0]), float(seen.down_time[0])
    return np.array([up, down, up + down, float(seen.gauge[0]), float(seen.flow[0])])


def _row(name: str, off: Array) -> str:
    middle, most = np.median(off), off.max()
    return (
        f"| {name} | {len(off)} | {100 * middle:.1f} % | {100 * np.quantile(off, 0.95):.1f} % "
        f"| {100 * most:.1f} % | {100 * np.mean(off <= WITHIN):.1f} % |"
    )


def _table(off: Array, regions: dict[str, NDArray[np.bool_]], left_out: int) -> str:
    lines = ["| figure | pumps | in the middle | 95 in a hundred under | worst | within 3 % |",
             "|---|---|---|---|---|---|"]  # fmt: skip
    full = regions["fills"]
    for fills, rows in (("fills", full), ("suction at its limit", ~full)):
        lines += [_row(f"{name}, {fills}", off[rows, k]) for k, name in enumerate(FIGURES)]
    for region, rows in regions.items():
        if region != "fills" and (rows & full).any():
            lines.append(_row(f"either stroke, {region}, fills", off[rows & full, :2].max(axis=1)))
    said = f"{len(off)} pumps; {left_out} more do not settle, or do not come round, in time."
    return "\n".join([*lines, "", said])


def _regions(pump: Pump) -> dict[str, bool]:
    length, share = sum(h.length for h in pump.hose), pump.rod_area / pump.bore_area
    hard = not any(h.growth for h in pump.hose)
    return {
        "hard pipe": hard, "hose under 3 m": not hard and length < 3,
        "hose of 3 to 30 m": not hard and 3 <= length < 30,
        "hose of 30 m and more": not hard and length >= 30,
        "rod under 30 % of the bore": share < 0.3, "rod over 70 %": share > 0.7,
        **{f"{kind} drive": pump.drive.kind == kind for kind in ("air", "electric")},
    }  # fmt: skip


def main(wanted: int, *, write: bool) -> None:
    """Compare so many pumps, and print the table."""
    off, regions, left_out = [], [], 0
    for k in range(wanted):
        rng = np.random.default_rng([SEED, k])
        pump, coating = accepted_pump(rng)
        condition = accepted_condition(rng, pump, coating)
        found = in_time(pump, coating, condition)
        if found is None:
            left_out += 1
            continue
        off.append(np.abs(by_steady(pump, coating, condition) / found[0] - 1))
        regions.append({"fills": found[1]} | _regions(pump))
    rows = {name: np.array([r[name] for r in regions]) for name in regions[0]}
    table = _table(np.array(off), rows, left_out)
    print(table)
    if write:
        text = DOC.read_text(encoding="utf-8")
        before, after = text.partition(MARKS[0])[0], text.partition(MARKS[1])[2]
        DOC.write_text(f"{before}{MARKS[0]}\n{table}\n{MARKS[1]}{after}", encoding="utf-8")


if __name__ == "__main__":
    given = [word for word in sys.argv[1:] if word.isdigit()]
    main(int(given[0]) if given else PUMPS, write="--write" in sys.argv)
