"""Random inputs of the fleet simulation, common to all policies: pace, ages, lives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import SeedSequence, default_rng
from numpy.typing import NDArray

from wetend.advice.fleet.arrays import Chunk
from wetend.lazy_import import special
from wetend.stats.life.belief import WEIBULL_MEDIAN, log_survival_at, score_of

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
_BANK = 16
"""Lives of one part drawn at first; as many again when they run out."""


@dataclass
class Block:
    """Some lives of one part in a row: of the pumps that came so far."""

    start: int
    """Turn of the first of them."""
    row: Whole
    """Where each pump's are; -1: not drawn yet."""
    lives: Floats
    """Rows by replicas by turns."""


class Lives:
    """Random inputs of every pump and replica, common to all policies: pace, ages, lives.

    States are pumps by replicas, flat. Lives are drawn in blocks, each as long as all before it
    together; every pump, part and block has numbers of its own, whoever asks first.
    """

    def __init__(self, chunk: Chunk) -> None:
        self._chunk = chunk
        pumps, parts, replicas = chunk.location.shape
        self.pump = np.repeat(np.arange(pumps), replicas)
        self.replica = np.tile(np.arange(replicas), pumps)
        rngs = [default_rng(seed) for seed in chunk.seeds]
        normal = np.stack([r.standard_normal((replicas, 1 + parts)) for r in rngs])
        flat = normal.reshape(pumps * replicas, -1)
        pace = chunk.pace[self.pump] * np.exp(chunk.pace_spread[self.pump] * flat[:, 0])
        self.until = chunk.days * pace
        """Wear of every state at the last day."""
        self.age = chunk.ages[self.pump] * np.exp(chunk.age_spread[self.pump] * flat[:, 1:])
        uniform = _clipped(np.stack([r.random((parts, replicas, _BANK)) for r in rngs]))
        self.first = self._left(uniform[..., 0])
        """States by parts: wear left to the parts that are in."""
        every = np.arange(pumps)
        self._blocks = [
            [Block(0, every, self._lengths(part, uniform[:, part], every))] for part in range(parts)
        ]

    def _left(self, uniform: Floats) -> Floats:
        """Life left to parts of some age."""
        chunk, shape = self._chunk, self.age.shape
        location = chunk.location.transpose(0, 2, 1).reshape(shape)
        scale = np.tile(chunk.scale.T, (len(chunk.seeds), 1))
        weibull = np.tile(chunk.weibull.T, (len(chunk.seeds), 1))
        with np.errstate(divide="ignore"):
            z = (np.log(self.age) - location) / scale
        start = log_survival_at(z, weibull)
        z = score_of(start + np.log(uniform.transpose(0, 2, 1).reshape(shape)), weibull)
        ends = np.exp(np.minimum(location + scale * z, 700.0))
        return np.asarray(np.maximum(ends - self.age, 0.0), dtype=float)

    def _lengths(self, part: int, uniform: Floats, pumps: Whole) -> Floats:
        """Whole lives of one part of some pumps."""
        chunk = self._chunk
        weibull = chunk.weibull[part]
        z = np.empty_like(uniform)
        z[:, weibull] = np.log(-np.log(uniform[:, weibull])) - WEIBULL_MEDIAN
        z[:, ~weibull] = -special.ndtri(uniform[:, ~weibull])
        z *= chunk.scale[part][:, None]
        z += chunk.location[pumps, part][..., None]
        return np.exp(np.minimum(z, 700.0))

    def block(self, part: int, number: int, states: Whole) -> Block:
        """The so-manieth block of one part's lives, drawn for the pumps of these states at least.

        Turn 0 of block 0 is not used: that part is in already.
        """
        blocks, count = self._blocks[part], len(self._chunk.seeds)
        while len(blocks) <= number:
            start = _BANK << (len(blocks) - 1)
            empty = np.empty((0, self._chunk.location.shape[2], start))
            blocks.append(Block(start, np.full(count, -1), empty))
        found = blocks[number]
        pumps = self.pump[states]
        if (missing := np.unique(pumps[found.row[pumps] < 0])).size:
            found.row[missing] = len(found.lives) + np.arange(len(missing))
            fresh = self._lengths(part, self._uniform(part, found, missing), missing)
            found.lives = np.concatenate([found.lives, fresh])
        return found

    def _uniform(self, part: int, block: Block, pumps: Whole) -> Floats:
        seeds = (self._chunk.seeds[pump] for pump in pumps)
        own = (
            SeedSequence(seed.entropy, spawn_key=(*seed.spawn_key, part, block.start))
            for seed in seeds
        )
        return _clipped(np.stack([default_rng(s).random(block.lives.shape[1:]) for s in own]))

    def at(self, part: int, state: Whole, turn: Whole) -> Floats:
        """The so-manieth life of one part in each of some states."""
        number = np.frexp(turn // _BANK)[1]  # 0 in the first block, then the power of two
        got = np.empty(len(state))
        for which in range(int(number.max(initial=0)) + 1):
            own = np.flatnonzero(number == which)
            if len(own):
                block = self.block(part, which, state[own])
                row, replica = block.row[self.pump[state[own]]], self.replica[state[own]]
                got[own] = block.lives[row, replica, turn[own] - block.start]
        return got


def _clipped(uniform: Floats) -> Floats:
    return np.clip(uniform, 1e-12, 1.0 - 1e-12, out=uniform)
