"""Pumps drawn from the posterior, and what further readings on them would be."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.evidence import TAIL, student
from wetend.advice.diagnosis.observables import OBSERVABLES
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.faults.record import Key

Array = NDArray[np.float64]
Rows = Callable[[slice], NDArray[np.float32]]
"""Logarithms of chances for some of the answers: a row an answer, a column a pump."""

ENOUGH = 4000
"""Pumps drawn from the weighed ones to reckon on."""
_BINS = {1: 10, 2: 6, 3: 4}
_TRIED = 250
"""Answers drawn for a check of many readings."""
_AT_ONCE = 25
"""Answers weighed together: few enough for a processor's nearest memory to hold."""


@dataclass(frozen=True, eq=False)
class Sample:
    """Pumps drawn from the cloud, all of one weight, with readings' errors drawn too."""

    cloud: WeightedSample
    rng: np.random.Generator

    @classmethod
    def of(cls, cloud: WeightedSample, *, seed: int = 0) -> Sample:
        """Some thousands of pumps, drawn evenly along the weights."""
        rng = np.random.default_rng(seed)
        if len(cloud.weight) <= ENOUGH:
            return cls(cloud, rng)
        ends = (np.arange(ENOUGH) + rng.random()) / ENOUGH
        rows = np.searchsorted(np.cumsum(cloud.weight), ends)
        rows = np.minimum(rows, len(cloud.weight) - 1)
        return cls(cloud.some(rows), rng)

    def levels(self, keys: Sequence[Key]) -> tuple[NDArray[np.intp], int]:
        """Each pump's readings, errors drawn, as one of so many levels."""
        bins = _BINS.get(len(keys), 3)
        code = np.zeros(len(self.cloud.weight), dtype=np.intp)
        for key in keys:
            code = code * bins + self._level(key, bins)
        return code, bins ** len(keys)

    def _level(self, key: Key, bins: int) -> NDArray[np.intp]:
        what, value = OBSERVABLES[key], self.cloud.played.reads[key]
        if what.unit is None:
            return np.asarray(self.rng.random(len(value)) < value, dtype=np.intp)
        noise = self.rng.standard_t(TAIL, len(value)) / math.sqrt(2.0)
        seen = what.scale(value) + what.error(value) * noise
        order = np.argsort(seen, kind="stable")
        reached = np.empty(len(value))
        reached[order] = np.cumsum(self.cloud.weight[order])
        return np.minimum((reached * bins).astype(np.intp), bins - 1)

    @cached_property
    def truth(self) -> NDArray[np.intp]:
        """Pumps that answer; the odd ones are what their answers are weighed by."""
        pumps = len(self.cloud.weight)
        return np.arange(0, pumps, max(2 * (pumps // (2 * _TRIED)), 2))

    @cached_property
    def _others(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """The odd pumps, those of one set of faults side by side, and where each set begins."""
        odd = np.arange(1, len(self.cloud.weight), 2)
        states = self.cloud.fault_sets[odd]
        order = np.argsort(states, kind="stable")
        return odd[order], np.flatnonzero(np.diff(states[order], prepend=-1))

    @property
    def kinds(self) -> NDArray[np.intp]:
        """A pump for each set of faults that odd ones have."""
        others, starts = self._others
        return others[starts]

    def likelihoods(self, keys: Sequence[Key]) -> Array:
        """Chance of what the answering pumps read, errors drawn, on the others, summed over those
        of one set of faults: a row an answer, a column a set, up to a factor a row.

        Held until others are asked for.
        """
        asked = tuple(keys)
        if asked not in self._held:
            self._held.clear()
            self._held[asked] = self._summed(asked)
        return self._held[asked]

    def _summed(self, keys: Sequence[Key]) -> Array:
        told, starts = [self._told(key) for key in keys], self._others[1]
        found = np.empty((len(self.truth), len(starts)))
        for at in range(0, len(self.truth), _AT_ONCE):
            rows = slice(at, at + _AT_ONCE)
            total = told[0](rows).copy()
            for more in told[1:]:
                total += more(rows)
            total -= total.max(axis=1, keepdims=True)
            np.exp(total, out=total)
            np.add.reduceat(total, starts, axis=1, dtype=np.float64, out=found[rows])
        return found

    @cached_property
    def _held(self) -> dict[tuple[Key, ...], Array]:
        return {}

    @cached_property
    def _answers(self) -> dict[Key, Rows]:
        return {}

    def _told(self, key: Key) -> Rows:
        """Logarithm of the chance of what was read of one thing; errors are drawn once."""
        if key not in self._answers:
            unit = OBSERVABLES[key].unit
            self._answers[key] = self._seen(key) if unit is None else self._measured(key)
        return self._answers[key]

    def _seen(self, key: Key) -> Rows:
        value, truth = self.cloud.played.reads[key], self.truth
        yes = self.rng.random(len(truth)) < value[truth]
        others = value[self._others[0]]
        seen, unseen = np.log(others).astype(np.float32), np.log1p(-others).astype(np.float32)
        return lambda rows: np.where(yes[rows, None], seen, unseen)

    def _measured(self, key: Key) -> Rows:
        what, value, truth = OBSERVABLES[key], self.cloud.played.reads[key], self.truth
        noise = self.rng.standard_t(TAIL, len(truth)) / math.sqrt(2.0)
        error, seen = what.error(value[truth]), what.scale(value)
        read, others = seen[truth] + error * noise, seen[self._others[0]]
        logs = np.empty((len(truth), len(others)), dtype=np.float32)
        for at in range(0, len(truth), _AT_ONCE):
            rows = slice(at, at + _AT_ONCE)
            off = np.subtract.outer(read[rows], others)
            off /= error[rows, None]
            logs[rows] = student(off.astype(np.float32))
        return lambda rows: logs[rows]
