"""A pressure log made even in time: which column is the time, which the pressure, what is lost."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.lazy_import import image
from wetend.stats.signal.follow import Features, standardised
from wetend.stats.signal.table import Table
from wetend.units.message import Message, joined
from wetend.units.quantity import Ratio, S

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_TIME_NAME = re.compile(
    r"\b(time|zeit|temps|tiempo|t|s|sec|seconds?|ms|elapsed|clock|date)\b", re.I
)
_PRESSURE_NAME = re.compile(
    r"(press|druck|pression|presion|presi[oó]n|\bbar\b|\bpsi\b|\bmpa\b|\bkpa\b|\bp\d?\b)", re.I
)
_MILLI = re.compile(r"\b(ms|msec|milli\w*)\b", re.I)
_MICRO = re.compile(r"\b(us|µs|usec|micro\w*)\b", re.I)
_MINUTE = re.compile(r"\b(min|minutes?)\b", re.I)
_FINEST, _COARSEST = 0.004, 0.05
_GAP = 3.5
"""A gap is longer than so many usual steps."""
_FROZEN = 8
"""So many readings exactly alike in a log that else changes are a frozen channel."""
_LEAST_ROWS = 40
LONGEST_LOG: S = 120.0
"""What is followed of a log; more tells no more and takes as much longer."""


@dataclass(frozen=True)
class Log:
    """Pressure at even steps of time, in whatever unit it was logged."""

    start: S
    step: S
    values: Floats
    known: Flags
    usual_step: S
    """Usual time between readings as logged."""
    time_name: str
    value_name: str
    lost: Ratio
    """Share of the time in which nothing was logged."""
    out_of_order: int
    """Readings dropped because their time ran backwards or stood still."""
    cut: S = 0.0
    """Time of the log left out: of a long one the minutes are used in which pressure moves most."""


def _grows(column: Floats) -> Ratio:
    seen = column[np.isfinite(column)]
    if seen.size < _LEAST_ROWS or seen.size < 0.5 * column.size:
        return 0.0
    return float(np.mean(np.diff(seen) > 0)) if seen[-1] > seen[0] else 0.0


def _time_column(table: Table) -> int | None:
    scores = []
    for k, name in enumerate(table.names):
        grows = _grows(table.columns[k])
        bonus = 0.3 * bool(_TIME_NAME.search(name)) + 0.3 * (k in table.clock) + 0.1 * (k == 0)
        scores.append(grows + bonus if grows > 0.8 else 0.0)
    best = int(np.argmax(scores))
    return best if scores[best] > 0 else None


def _value_column(table: Table, time: int | None) -> int:
    best, chosen = -1.0, None
    for k, name in enumerate(table.names):
        seen = table.columns[k][np.isfinite(table.columns[k])]
        if k == time or k in table.clock or seen.size < _LEAST_ROWS or np.ptp(seen) == 0:
            continue
        counting = 1.0 if _grows(table.columns[k]) > 0.98 else 0.0
        score = 2.0 * bool(_PRESSURE_NAME.search(name)) + seen.size / len(table.columns[k])
        score -= counting
        if score > best:
            best, chosen = score, k
    if chosen is None:
        raise BadInput(
            Message(
                "No column of the log holds pressure that changes; at least {least_rows} "
                "readings are needed.",
                least_rows=_LEAST_ROWS,
            )
        )
    return chosen


def _named(table: Table, name: str) -> int:
    wanted = name.strip().casefold()
    for k, known in enumerate(table.names):
        if known.casefold() == wanted or wanted == str(k + 1):
            return k
    raise BadInput(
        Message(
            "The log has no column “{name}”; it has: {names}.",
            name=name[:40],
            names=joined(", ", table.names)[:300],
        )
    )


def _scale(name: str, column: Floats) -> float:
    """Seconds in one unit of a column of times, by its name, else by its size."""
    for pattern, scale in ((_MICRO, 1e-6), (_MILLI, 1e-3), (_MINUTE, 60.0)):
        if pattern.search(name):
            return scale
    steps = np.diff(column[np.isfinite(column)])
    usual = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
    return 1e-3 if usual >= 1.5 and float(np.nanmax(column)) > 5000 else 1.0


def _seconds(table: Table, time: int) -> Floats:
    """The time column in seconds; a time of day may run past midnight."""
    column = table.columns[time]
    if time not in table.clock:
        scaled: Floats = column * _scale(table.names[time], column)
        return scaled
    back = np.nan_to_num(np.diff(column, prepend=column[:1])) < -43_200
    moments: Floats = column + 86_400.0 * np.cumsum(back)
    return moments


def _frozen(values: Floats) -> Flags:
    """Readings in long runs exactly alike, where the log else changes at nearly every reading."""
    same = np.diff(values) == 0
    if same.size == 0 or np.mean(same) > 0.5:
        return np.zeros(values.size, dtype=bool)
    edges = np.flatnonzero(np.diff(np.r_[0, same.astype(int), 0]))
    out = np.zeros(values.size, dtype=bool)
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start >= _FROZEN:
            out[start + 1 : end + 1] = True
    return out


def _wild(values: Floats) -> Flags:
    """Readings no gauge would give among these: a logger's marks for «no reading»."""
    low, middle, high = np.percentile(values, [15, 50, 85])
    reach = 4.0 * max(high - low, 1e-3 * abs(middle), 1e-12)
    wild: Flags = (values < low - reach) | (values > high + reach)
    return wild


def even_log(table: Table, *, time: str = "", value: str = "", rate: float | None = None) -> Log:
    """A log at even steps, drawn straight between readings, with its gaps marked.

    Args:
        table: columns as read.
        time: name or number of the column of times; blank: the one that grows.
        value: name or number of the column of pressure; blank: by its name, then by change.
        rate: readings a second, for a log without times.

    Raises:
        BadInput: no such column, no times, or too few readings.
    """
    clock = _named(table, time) if time else _time_column(table)
    column = _named(table, value) if value else _value_column(table, clock)
    values = table.columns[column]
    if clock is None:
        if not rate:
            raise BadInput(
                Message("The log has no time column; enter how many readings a second it holds.")
            )
        times = np.arange(values.size) / rate
        said: str = Message("{rate:g} a second, as entered", rate=rate)
    else:
        times, said = _seconds(table, clock), table.names[clock]
    return _even(times, values, said, table.names[column])


def liveliest(times: Floats, values: Floats, span: S) -> slice:
    r"""The readings of that span in which pressure moves most, second by second.

    .. math:: \max_t \sum_{s \in [t, t + T)} \ln\bigl(1 + r_s / \tilde r\bigr)

    r is the range within a second, :math:`\tilde r` its median where it is not zero. The logarithm
    keeps a few great jumps, as when the gun is shut, from outweighing steady strokes. A rule of
    ours, common practice, no source.

    Args:
        times: rising, s.
        values: pressure, as logged.
        span: how much to keep, s.
    """
    seconds = np.floor(times - times[0])
    begins = np.flatnonzero(np.diff(seconds, prepend=-1.0))
    moved = np.maximum.reduceat(values, begins) - np.minimum.reduceat(values, begins)
    usual = float(np.median(moved[moved > 0])) if (moved > 0).any() else 1.0
    worth = np.concatenate([[0.0], np.cumsum(np.log1p(moved / usual))])
    at = seconds[begins]
    ends = np.searchsorted(at, at + span)
    starts = np.arange(at.size)[at <= max(at[-1] - span + 1.0, 0.0)]
    best = int(starts[np.argmax(worth[ends[starts]] - worth[starts])])
    first = int(begins[best])
    return slice(first, int(np.searchsorted(times, times[first] + span, side="right")))


def _even(times: Floats, values: Floats, time_name: str, value_name: str) -> Log:
    read = np.isfinite(times) & np.isfinite(values)
    times, values = times[read], values[read]
    onward = np.ones(times.size, dtype=bool)
    if times.size:
        onward[1:] = times[1:] > np.maximum.accumulate(times)[:-1]
    disordered = int((~onward).sum())
    times, values = times[onward], values[onward]
    if times.size >= _LEAST_ROWS:
        good = ~(_frozen(values) | _wild(values))
        usual = float(np.median(np.diff(times)))
        times, values = times[good], values[good]
    if times.size < _LEAST_ROWS:
        raise BadInput(
            Message(
                "Only {size} readings can be used; {least_rows} are needed.",
                size=times.size,
                least_rows=_LEAST_ROWS,
            )
        )
    whole = float(times[-1] - times[0])
    if whole > LONGEST_LOG:
        kept = liveliest(times, values, LONGEST_LOG)
        times, values = times[kept], values[kept]
        if times.size < _LEAST_ROWS:
            raise BadInput(
                Message(
                    "The log holds {size} readings in two minutes; {least_rows} are needed, 50 a "
                    "second are best.",
                    size=times.size,
                    least_rows=_LEAST_ROWS,
                )
            )
    length = float(times[-1] - times[0])
    step = min(max(usual / 2, _FINEST), _COARSEST)
    count = int(length / step) + 1
    grid = times[0] + step * np.arange(count)
    after = np.clip(np.searchsorted(times, grid, side="right"), 1, times.size - 1)
    known = times[after] - times[after - 1] <= max(_GAP * usual, 1.5 * step)
    drawn = np.interp(grid, times, values)
    if usual < step:
        drawn = image.gaussian_filter1d(drawn, 0.5)
    return Log(float(times[0]), step, drawn, known, usual, time_name, value_name,
               float(1 - known.mean()), disordered, whole - length)  # fmt: skip


def _levelled(log: Log, span: S) -> Floats:
    """Pressure less its running median, so that only what is quick stays."""
    size = max(3, round(span / log.step) | 1)
    thin = max(1, size // 40)
    slow = image.median_filter(log.values[::thin], max(3, size // thin | 1), mode="nearest")
    at = np.arange(log.values.size)
    levelled: Floats = log.values - np.interp(at, at[::thin], slow)
    return levelled


def features_of_log(log: Log) -> Features:
    """Features of a pressure log: its level and slope; dips, peaks and edges as signs.

    What is slower than a second is taken out of the level first. Each sign is given as it is seen
    through three widths, since a damped gauge shows a turn broader than a quick one.
    """
    level = standardised(_levelled(log, 1.0), log.known)
    finest = max(0.01, 0.5 * log.usual_step)
    signs: list[Floats] = []
    for width in (finest, 2.5 * finest, 6 * finest):
        smooth = image.gaussian_filter1d(level, width / log.step)
        edge = np.abs(np.gradient(smooth))
        signs += [standardised(sign, log.known) for sign in (-smooth, smooth, edge)]
    smooth = image.gaussian_filter1d(level, finest / log.step)
    bands = np.stack([level, standardised(np.gradient(smooth), log.known)])
    bands = np.where(log.known[None, :], np.clip(bands, -8.0, 12.0), 0.0)
    reach = 2 * log.usual_step
    return Features(log.start, log.step, bands, tuple(signs), log.known,
                    before=0.03 + reach, after=0.17 + reach, swings=True)  # fmt: skip
