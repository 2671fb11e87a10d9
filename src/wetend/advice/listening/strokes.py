"""Stroke times from taps, a sound recording or a pressure log, with what could not be read."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wetend.advice.listening.answer import (
    FEWEST,
    Corrected,
    Listening,
    Side,
    Source,
    Stroke,
    Trace,
    Way,
)
from wetend.advice.listening.confidence import trust
from wetend.advice.listening.words import (
    listening_working,
    no_rhythm,
    overall,
    reservations,
    sides_working,
)
from wetend.advice.reasons import Interval
from wetend.stats.robust import centre, rank_shift, spread_by_median, welch
from wetend.stats.signal.change_point import step
from wetend.stats.signal.follow import HEARD, Turn
from wetend.stats.signal.hearing import Heard
from wetend.stats.uncertainty import HALF_90
from wetend.units.message import Message
from wetend.units.quantity import Ratio, S

_APART: S = 0.02
"""Two stroke times closer than this are called even."""
_ONE_TURN: S = 0.01
"""A stroke's end and the next one's begin are one turn when so near: they come rounded."""
_LOOK: S = 0.08
"""How far from the moment of turning what tells it may stand out most."""


def _strokes(turns: Sequence[Turn]) -> list[tuple[Turn, Turn, str]]:
    found: list[tuple[Turn, Turn, str]] = []
    for before, after in itertools.pairwise(turns):
        if after.strokes == 0:
            continue
        if after.strokes > 1:
            why: str = Message("{strokes} turn not heard in it", strokes=after.strokes - 1)
        elif before.strength < HEARD or after.strength < HEARD:
            why = Message("a turn at its end is too faint")
        else:
            why = ""
        found.append((before, after, why))
    return found


def _with_outliers(rows: Sequence[tuple[Turn, Turn, str]]) -> tuple[Stroke, ...]:
    """Strokes numbered; those far from their fellows do not count."""
    usual = {}
    for kind in (0, 1):
        spans = [b.at - a.at for a, b, why in rows if a.kind == kind and not why]
        if len(spans) >= FEWEST:
            middle = float(np.median(spans))
            usual[kind] = (middle, max(5 * spread_by_median(spans), 0.05 * middle, 0.04))
    strokes = []
    for number, (before, after, why) in enumerate(rows, 1):
        length = after.at - before.at
        if not why and before.kind in usual:
            middle, reach = usual[before.kind]
            if abs(length - middle) > reach:
                why = Message("far from the others")
        strokes.append(Stroke(number, before.at, length, before.kind, not why, why))
    return tuple(strokes)


def _drift(starts: Sequence[S], times: Sequence[S]) -> Ratio | None:
    """Theil-Sen slope: the median of all slopes between two strokes, over a minute."""
    if len(times) < 2 * FEWEST:
        return None
    at, span = np.asarray(starts), np.asarray(times)
    one, other = np.triu_indices(at.size, 1)
    slope = float(np.median((span[other] - span[one]) / (at[other] - at[one])))
    return 60.0 * slope / float(np.median(span))


def _scatter(times: Sequence[S]) -> S:
    """Scatter of one stroke from what follows what, so that drift and a step do not swell it.

    The mean square successive difference of von Neumann, "Distribution of the ratio of the mean
    square successive difference to the variance", *Annals of Mathematical Statistics* 12 (1941)
    367-395, here by the median.
    """
    return spread_by_median(np.diff(times).tolist()) / 2**0.5


def _side(name: str, strokes: Sequence[Stroke], placed: S) -> Side:
    times = tuple(s.length for s in strokes)
    if len(times) < FEWEST:
        return Side(name, times, None, None, None, None, None)
    middle, doubt = centre(times)
    starts = [s.start for s in strokes]
    stepped = None
    if len(times) >= 2 * FEWEST:
        found = step(times, least=FEWEST)
        jump = abs(found.high_mean - found.low_mean)
        if found.gain > 10 and jump > 0.05 * middle:
            stepped = starts[found.before]
    half = HALF_90 * math.hypot(doubt, placed)
    return Side(name, times, middle, Interval(middle - half, middle, middle + half),
                _scatter(times), _drift(starts, times), stepped)  # fmt: skip


def _differ(first: Side, second: Side) -> bool:
    if first.middle is None or second.middle is None:
        return False
    if abs(first.middle - second.middle) <= _APART:
        return False
    shift = rank_shift(first.times[:60], second.times[:60])
    outside = shift.low > 0 or shift.high < 0
    if first.scatter == 0 and second.scatter == 0:
        return outside
    return outside and welch(first.times, second.times).p < 0.05


def _trace(heard: Heard, most: int = 4000) -> Trace:
    sign = heard.followed.sign
    thin = max(1, -(-sign.size // most))
    room = -(-sign.size // thin) * thin - sign.size
    padded = np.pad(np.clip(sign, 0.0, None), (0, room)).reshape(-1, thin).max(axis=1)
    known = np.pad(heard.known[: sign.size], (0, room), constant_values=True)
    strong = [t.strength for t in heard.followed.turns if t.strength > 0]
    reach = round(_LOOK / heard.step)
    at = [round((t.at - heard.start) / heard.step) for t in heard.followed.turns]
    near = [sign[max(i - reach, 0) : i + reach + 1] for i in at if 0 <= i < sign.size]
    seen = [float(part.max()) for part in near] if strong else []
    top = max(float(np.percentile(seen, 75)) if seen else float(padded.max()), 1e-9)
    return Trace(
        heard.start, heard.step * thin,
        tuple(round(float(v), 3) for v in np.clip(padded / (1.3 * top), 0.0, 1.0)),
        tuple(bool(row.all()) for row in known.reshape(-1, thin)),
    )  # fmt: skip


def _names(first: Way | None) -> tuple[str, str]:
    """Names of the strokes like the first one found, and of the others."""
    if first is None:
        return "first", "second"
    return ("up", "down") if first == "up" else ("down", "up")


def _from_the_first(turns: Sequence[Turn]) -> tuple[Turn, ...]:
    """Turns with their kinds renamed, so that the first stroke found is of kind 0."""
    lead = next((a.kind for a, b in itertools.pairwise(turns) if b.strokes), 0)
    return tuple(replace(turn, kind=turn.kind ^ lead) for turn in turns)


def _one_spread(sides: tuple[Side, Side], source: Source, placed: S) -> S:
    """Standard uncertainty of one turn: never less than was found on made recordings."""
    floor = 0.1 if source == "taps" else max(0.01, 2 * placed)
    scatters = [s.scatter for s in sides if s.scatter is not None]
    return max(floor, min(scatters) / 2**0.5) if scatters else floor


def judge(heard: Heard, source: Source, first: Way | None = None) -> Listening:
    """Strokes, times and reservations of a record followed.

    Args:
        heard: turns followed.
        source: what the record is.
        first: which way the first stroke found goes; ``None`` while nobody has said.
    """
    turns = _from_the_first(heard.followed.turns)
    strokes = _with_outliers(_strokes(turns))
    names = _names(first)
    used = [[s for s in strokes if s.used and s.kind == kind] for kind in (0, 1)]
    sides = (
        _side(names[0], used[0], heard.placed), _side(names[1], used[1], heard.placed)
    )  # fmt: skip
    trusted = trust(heard, strokes, sides, source)
    if trusted.quality == "not read":
        strokes = tuple(
            Stroke(s.number, s.start, s.length, s.kind, False, s.why or Message("no clear rhythm"))
            for s in strokes
        )
        sides = (_side(names[0], (), 0.0), _side(names[1], (), 0.0))
    missed = sum(max(t.strokes - 1, 0) for t in turns)
    pauses = sum(1 for t in turns[1:] if t.strokes == 0)
    differ = _differ(*sides)
    return Listening(
        source=source, length=heard.length, quality=trusted.quality, turns=turns, strokes=strokes,
        sides=sides, marked=first is not None, missed=missed, pauses=pauses, differ=differ,
        spread=_one_spread(sides, source, heard.placed),
        summary=(
            no_rhythm(source)
            if trusted.quality == "not read"
            else overall(sides, differ=differ)
        ),
        could_not=(
            *trusted.why,
            *reservations(heard, source, strokes, sides, missed=missed, pauses=pauses),
        ),
        trace=_trace(heard),
        workings=(listening_working(heard, source), *sides_working(sides)),
    )  # fmt: skip


def corrected(
    trace: Trace, length: S, strokes: Sequence[Stroke], *, faint: Sequence[S], first: Way | None
) -> Corrected:
    """A record with its strokes as a person left them: turns are where strokes begin and end.

    Args:
        trace: what the strokes were found in.
        length: of the record.
        strokes: corrected, in order; those that do not count are not ``used``.
        faint: moments of turns that were not heard well, or were added by hand.
        first: which way strokes of kind 0 go; ``None`` while nobody has said.
    """
    begins = [(s.start, s.kind) for s in strokes]
    ends = [(s.start + s.length, 1 - s.kind) for s in strokes]
    next_begins = [at for at, _ in begins[1:]] + [math.inf]
    last = [e for e, then in zip(ends, next_begins, strict=True) if then - e[0] > _ONE_TURN]
    turns = tuple(
        Turn(at, kind, 1, 0.0 if any(abs(at - f) < _ONE_TURN for f in faint) else HEARD)
        for at, kind in sorted(begins + last)
    )
    names = _names(first)
    used = [[s for s in strokes if s.used and s.kind == kind] for kind in (0, 1)]
    sides = (_side(names[0], used[0], 0.0), _side(names[1], used[1], 0.0))
    return Corrected(length, turns, tuple(strokes), sides, trace)
