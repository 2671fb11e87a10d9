"""Measure how well strokes are timed on made recordings and logs, over many seeds.

Run as ``python benchmarks/listening.py [SEEDS]``. For each kind of noise: how many records were
read, how far the stroke times given lie from the true ones, how far single strokes do, and how many
strokes were counted that never were; clear records and doubtful ones apart. The recordings are
invented (``pump_sounds.py``,
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

from wetend.advice.listening.answer import Listening, Quality
from wetend.advice.listening.strokes import judge
from wetend.stats.robust import centre
from wetend.stats.signal.hearing import listen_to_sound, read_from_log
from wetend.stats.signal.log import even_log
from wetend.stats.signal.table import read_table
from wetend.stats.signal.wav import read_wav

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Score:
    """How one record came out."""

    quality: Quality
    middles: tuple[float, ...]
    """Errors of the two stroke times given, against the same middle of the same true strokes, s."""
    wholes: tuple[float, ...]
    """The same against all true strokes, those not counted too."""
    halves: tuple[float, ...]
    """What was given as the times' uncertainty, nine times in ten, s."""
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


def _middles(
    heard: Listening, spans: Floats, kinds: Floats, places: Sequence[Sequence[int]]
) -> tuple[list[float], list[float]]:
    """Errors of the two times against the strokes counted, and against all."""
    counted = [place for side in places for place in side]
    ups = [kinds[place] == k for k, side in enumerate(places) for place in side]
    same = bool(np.mean(ups) > 0.5) if counted else True
    near, whole = [], []
    for k, side in enumerate(heard.sides):
        every = spans[kinds == (k if same else 1 - k)]
        mine = spans[list(places[k])] if len(places[k]) > 2 else every
        near.append(float((side.middle or 0.0) - centre(mine.tolist())[0]))
        whole.append(float((side.middle or 0.0) - centre(every.tolist())[0]))
    return near, whole


def score(heard: Listening, turns: Floats, kinds: Sequence[int]) -> Score:
    """A record's strokes against the true turns."""
    if heard.quality == "not read":
        return Score("not read", (), (), (), (), 0, 0.0)
    spans = np.diff(turns)
    singles, false = [], 0
    places: tuple[list[int], list[int]] = ([], [])
    for stroke in (s for s in heard.strokes if s.used):
        lag = turns[:-1] - stroke.start
        near = int(np.argmin(np.abs(lag) + np.abs(spans - stroke.length)))
        if abs(lag[near]) > 0.15 or abs(spans[near] - stroke.length) > 0.15:
            false += 1
            continue
        singles.append(float(stroke.length - spans[near]))
        places[stroke.kind].append(near)
    middles, wholes = _middles(heard, spans, np.array(kinds[:-1]), places)
    halves = [(side.interval.high - side.interval.low) / 2 for side in heard.sides if side.interval]
    return Score(
        heard.quality, tuple(middles), tuple(wholes), tuple(halves), tuple(singles), false,
        len(singles) / len(spans),
    )  # fmt: skip


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


def _within(errors: Floats) -> str:
    """How many lie within 20 ms, and the worst."""
    if not errors.size:
        return "- | -"
    ms = 1e3 * np.abs(errors)
    return f"{np.mean(ms <= 20):.0%} | {np.max(ms):.0f}"


def line(name: str, scores: Sequence[Score]) -> str:
    """One row of the table."""
    read = [s for s in scores if s.quality != "not read"]
    clear = [s for s in read if s.quality == "clear"]
    doubtful = [s for s in read if s.quality == "doubtful"]
    singles = 1e3 * np.abs([m for s in clear or read for m in s.singles] or [np.nan])
    held = [abs(e) <= h for s in read for e, h in zip(s.wholes, s.halves, strict=True)]
    return (
        f"| {name} | {len(clear)}/{len(doubtful)}/{len(scores) - len(read)} | "
        f"{_within(np.array([m for s in clear for m in s.middles]))} | "
        f"{_within(np.array([m for s in doubtful for m in s.middles]))} | "
        f"{np.mean(held or [np.nan]):.0%} | {np.mean(singles <= 20):.1%} | "
        f"{np.percentile(singles, 95):.0f} | {np.mean([s.share for s in read] or [0]):.0%} | "
        f"{sum(s.false for s in read)} |"
    )


def main(seeds: int) -> None:
    """Write the table."""
    heads = ("record", "clear/doubtful/not read", "clear: times within 20 ms", "worst, ms",
             "doubtful: within 20 ms", "worst, ms", "± given holds", "single strokes within 20 ms",
             "95 % of them, ms", "strokes counted", "false")  # fmt: skip
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
