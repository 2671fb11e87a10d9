"""Moments of turns settled: each moved to look most like its fellows, all counted from the onset.

A look learnt from turns may be held anywhere by the search that found it, at the knock of one kind
of turn and at the clack of the other, which would lengthen one stroke and shorten the next. So the
turns of a kind are laid over one another, and the moment of turning is where their mean begins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from wetend.stats.signal.follow import Features, Turn, soft_threshold, sub_step, within_reason
from wetend.units.quantity import Ratio, S

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

_EARLIER: S = 0.02
"""How long before the look of the search the look laid over begins."""
_REACH: S = 0.06
"""No turn is moved further."""
_LEASH: S = 0.03
"""Standard deviation of a move: turns are where they were found until they look better."""
_NEAR: Ratio = 0.45
"""Nothing is looked at further off than so much of the shorter stroke: there is the next turn."""
_ROUNDS = 8
_FEWEST = 4
_FINE: Ratio = 0.25
"""Part of a step at which the mean is drawn: turns fall anywhere between steps, so it is finer."""
_BEGUN: Ratio = 0.12
"""Share of the greatest power at which a sound has begun."""
_FALLEN: Ratio = 0.5
"""Share of the whole swing at which a pressure has begun to move."""
_CHANCE = 2.0
"""Standard errors that a mean shows by chance."""
_BREATH: S = 0.06
"""Parts of one turn's sound, a knock and the clack after it, lie no further apart."""


class _Record:
    """A record in which turns of a kind are laid over one another."""

    def __init__(self, features: Features, shorter: S) -> None:
        step = features.step
        self.bands = within_reason(features.bands)
        self.step, self.swings = step, features.swings
        most = _NEAR * shorter
        self.before = max(1, round(min(features.before + _EARLIER, most) / step))
        self.after = max(2, round(min(features.after, most) / step))
        self.reach = max(1, round(min(_REACH, most) / step))

    def roomy(self, places: Floats) -> NDArray[np.bool_]:
        """Which places have enough of the record about them to be laid over others."""
        room = 2 * self.reach + 1
        low, high = self.before + room, self.bands.shape[1] - self.after - room
        roomy: NDArray[np.bool_] = (places >= low) & (places < high)
        return roomy

    def laid(self, found: Floats) -> Floats:
        """Places of the turns, in steps, at which each looks most like the mean of the others."""
        home = np.round(found).astype(np.intp)
        at, part = home, np.zeros(home.size)
        for _ in range(_ROUNDS):
            cuts = np.stack([self.bands[:, i - self.before : i + self.after] for i in at])
            moves, part = self._moves(home, cuts)
            moved = home + moves
            if np.array_equal(moved, at):
                break
            at = moved
        places: Floats = at + part
        return places

    def _moves(self, homes: Places, cuts: Floats) -> tuple[Places, Floats]:
        """Whole steps from home for each turn, and the part of a step beyond."""
        whole, count = cuts.sum(axis=0), len(cuts)
        shifts = np.arange(-self.reach, self.reach + 1)
        held = 0.5 * (shifts * self.step / _LEASH) ** 2
        moves, parts = np.zeros(count, dtype=np.intp), np.zeros(count)
        for j, home in enumerate(homes):
            look = soft_threshold((whole - cuts[j]) / (count - 1), count - 1)
            wide = self.bands[:, home - self.reach - self.before : home + self.reach + self.after]
            each = sliding_window_view(wide, look.shape[1], axis=1)
            gain = np.einsum("bsl,bl->s", each, look) - held
            best = int(np.argmax(gain))
            moves[j] = shifts[best]
            parts[j] = sub_step(gain, np.array([best]))[0] - best
        return moves, parts

    def onset(self, places: Floats) -> float:
        """Where the mean of the turns begins, in steps from their places."""
        lead = self.before + self.reach
        at = places[:, None] + np.arange(-lead, self.after + self.reach, _FINE)
        low = np.clip(np.floor(at).astype(np.intp), 0, self.bands.shape[1] - 2)
        share = at - low
        mean = (self.bands[:, low] * (1 - share) + self.bands[:, low + 1] * share).mean(axis=1)
        begun = self._swing(mean[0]) if self.swings else self._rise(mean * np.sqrt(len(places)))
        return begun * _FINE - lead

    def _swing(self, level: Floats) -> float:
        """Step at which a level has made half of its greatest move from where it stood."""
        calm = float(np.median(level[: max(2, round(self.reach / _FINE))]))
        move = np.abs(level - calm)
        top = int(np.argmax(move))
        first = top
        while first > 0 and move[first - 1] > _FALLEN * move[top]:
            first -= 1
        return _crossing(move, first, _FALLEN * float(move[top]))

    def _rise(self, heard: Floats) -> float:
        """Step at which what is louder than chance reaches a small share of its greatest power."""
        power = (np.clip(heard - _CHANCE, 0.0, None) ** 2).sum(axis=0)
        top = int(np.argmax(power))
        least, gap = _BEGUN * float(power[top]), max(1, round(_BREATH / self.step / _FINE))
        first = top
        for i in np.flatnonzero(power[:top] >= least)[::-1]:
            if first - i > gap:
                break
            first = int(i)
        return _crossing(power, first, least)


def _crossing(values: Floats, first: int, level: float) -> float:
    """Where values rise through a level, between the step before ``first`` and it."""
    if first == 0 or values[first] <= values[first - 1]:
        return float(first)
    share = (values[first] - level) / (values[first] - values[first - 1])
    return first - float(np.clip(share, 0.0, 1.0))


def settled(features: Features, turns: Sequence[Turn], lengths: tuple[S, S]) -> tuple[Turn, ...]:
    """The same turns, their moments counted from where the look of their kind begins.

    Turns of a kind met fewer than four times stay where they were found. Source of moving each
    cut by its agreement with the mean of all, again and again: Woody, "Characterization of an
    adaptive filter for the analysis of variable latency neuroelectric signals", *Medical and
    Biological Engineering* 5 (1967), cited from memory; here with the mean of the *other* cuts.

    Args:
        features: what the record shows.
        turns: turns found in it.
        lengths: typical times of the two strokes.
    """
    places = np.array([(turn.at - features.start) / features.step for turn in turns])
    kinds = np.array([turn.kind for turn in turns])
    record = _Record(features, min(lengths))
    roomy, moved = record.roomy(places), places.copy()
    for kind in (0, 1):
        chosen = (kinds == kind) & roomy
        if np.count_nonzero(chosen) < _FEWEST:
            continue
        found = record.laid(places[chosen])
        found = found + record.onset(found)
        moved[chosen] = found
        moved[(kinds == kind) & ~roomy] += np.median(found - places[chosen])
    return tuple(
        replace(turn, at=float(features.start + features.step * place))
        for turn, place in zip(turns, moved, strict=True)
    )
