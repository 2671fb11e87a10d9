"""Measure how well strokes are timed on made recordings and logs, over many seeds.

Run as ``python benchmarks/listening.py [SEEDS]``. For each kind of noise: how many records were
read, how far the stroke times given lie from the true ones, how far single strokes do, and how many
strokes were counted that never were. The recordings are invented (``pump_sounds.py``,
``pump_logs.py``); pumps, scatter and drift are drawn anew for each seed.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
import pump_logs
import pump_sounds
from numpy.typing import NDArray

from wetend.advice.listening import judge
from wetend.advice.listening_answer import Listening
from wetend.stats.signal.hearing import listen_to_sound, read_from_log
from wetend.stats.signal.log import even_log
from wetend.stats.signal.table import read_table
from wetend.stats.signal.wav import read_wav

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Score:
    """How one record came out."""

    read: bool
    middles: tuple[float, ...]
    """Errors of the two stroke times given, s."""
    singles: tuple[float, ...]
    """Errors of the strokes counted that lie at a true one, s."""
    false: int
    """Strokes counted where there was none."""
    share: float
    """Strokes counted, of those that were."""


def drawn_pump(seed: int, seconds: float = 40.0) -> pump_sounds.Pumping:
    """A pump drawn for a seed: strokes of 0.4 to 3 s, scatter to 3 %, drift to 8 %."""
    rng = np.random.default_rng(seed + 5000)
    return pump_sounds.Pumping(
        up=rng.uniform(0.4, 3.0), down=rng.uniform(0.4, 3.0), scatter=rng.uniform(0.005, 0.03),
        drift=rng.uniform(-0.08, 0.08), seconds=seconds,
    )  # fmt: skip


def score(heard: Listening, turns: Floats, kinds: Sequence[int]) -> Score:
    """A record's strokes against the true turns."""
    spans = np.diff(turns)
    singles, false, votes = [], 0, []
    for stroke in (s for s in heard.strokes if s.used):
        lag = turns[:-1] - stroke.start
        near = int(np.argmin(np.abs(lag) + np.abs(spans - stroke.length)))
        if abs(lag[near]) > 0.15 or abs(spans[near] - stroke.length) > 0.15:
            false += 1
            continue
        singles.append(float(stroke.length - spans[near]))
        votes.append(stroke.kind == kinds[near])
    if heard.quality == "not read":
        return Score(False, (), (), 0, 0.0)
    same = bool(np.mean(votes) > 0.5) if votes else True
    middles = []
    for k, side in enumerate(heard.sides):
        true = spans[np.array(kinds[:-1]) == (k if same else 1 - k)]
        middles.append(float((side.middle or 0.0) - np.median(true)))
    return Score(True, tuple(middles), tuple(singles), false, len(singles) / len(spans))


def sound_case(seed: int, noise: str, level: float, *, local: bool) -> Score:
    """A recording made, written as WAV, read and followed."""
    made = pump_sounds.recording(seed, noise=noise, level=level, local=local, run=drawn_pump(seed))
    heard = judge(listen_to_sound(read_wav(pump_sounds.as_wav(made))), "sound")
    return score(heard, made.turns, made.kinds)


def log_case(seed: int, rate: float, noise: float) -> Score:
    """A log with gaps made, written as CSV, read and followed."""
    made = pump_logs.log_of(seed, rate=rate, noise=noise, run=drawn_pump(seed))
    log = even_log(read_table(pump_logs.as_csv(made, delimiter=";", decimal=",")))
    return score(judge(read_from_log(log), "log"), made.turns, made.kinds)


def line(name: str, scores: Sequence[Score]) -> str:
    """One row of the table."""
    read = [s for s in scores if s.read]
    middles = np.abs([m for s in read for m in s.middles] or [np.nan]) * 1e3
    singles = np.abs([m for s in read for m in s.singles] or [np.nan]) * 1e3
    return (
        f"| {name} | {len(read)}/{len(scores)} | {np.mean(middles <= 20):.0%} | "
        f"{np.median(middles):.0f} | {np.max(middles):.0f} | {np.mean(singles <= 20):.1%} | "
        f"{np.percentile(singles, 95):.0f} | {np.mean([s.share for s in read] or [0]):.0%} | "
        f"{sum(s.false for s in read)} |"
    )


def main(seeds: int) -> None:
    """Write the table."""
    heads = ("record", "read", "times within 20 ms", "median error, ms", "worst, ms",
             "single strokes within 20 ms", "95 % of them, ms", "strokes counted",
             "false")  # fmt: skip
    sys.stdout.write("| " + " | ".join(heads) + " |\n" + "|---" * len(heads) + "|\n")
    cases: list[tuple[str, Callable[[int], Score]]] = [
        (
            f"{noise}, {level:.0f} dB {'at the turns' if local else 'over all'}",
            partial(sound_case, noise=noise, level=level, local=local),
        )
        for local, level in ((False, 0.0), (True, 0.0), (True, -6.0))
        for noise in (*pump_sounds.NOISES, "all")
    ]
    cases += [
        (
            f"log, {rate:.0f} a second, noise {noise:.0f} bar",
            partial(log_case, rate=rate, noise=noise),
        )
        for rate in (200.0, 50.0, 20.0)
        for noise in (2.0, 4.0)
    ]
    for name, case in cases:
        sys.stdout.write(line(name, [case(seed) for seed in range(seeds)]) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
