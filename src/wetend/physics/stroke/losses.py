"""The pressure a hose string costs, tabulated once and looked up a million times."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SCALES = (0.2, 0.35, 0.6, 1.0, 1.7, 2.9, 5.0)
"""Viscosities, over the described one, at which a table holds a row."""
_POINTS = 256


@dataclass(frozen=True, eq=False)
class LossTable:
    """Loss against flow, for one liquid at several thicknesses.

    Columns stand at flows evenly spaced in the square root of flow, from zero to ``flow_high``;
    rows at the viscosity scales. Where every row is its scale times one row (laminar flow of any
    law) the table keeps that row alone and multiplies.
    """

    flow_high: float
    scales: tuple[float, ...]
    losses: Array

    @property
    def step(self) -> float:
        """Distance of two columns, in square root of flow."""
        return math.sqrt(self.flow_high) / (len(self.losses[0]) - 1)

    def at(self, flow: Array, scale: Array) -> tuple[Array, Array]:
        """Loss in Pa and its slope in Pa s/m^3; flows outside the table go on in a line."""
        return self.reader(scale).at(flow)

    def reader(self, scale: Array) -> LossReader:
        """The table at these viscosities, one a pump, for many flows."""
        if len(self.scales) == 1:
            return LossReader(self, None, scale)
        known = np.asarray(self.scales)
        row = np.clip(np.searchsorted(known, scale) - 1, 0, len(known) - 2)
        share = (scale - known[row]) / (known[row + 1] - known[row])
        return LossReader(self, row * self.losses.shape[1], share)


@dataclass(frozen=True, eq=False)
class LossReader:
    """A table with the viscosities already looked up."""

    table: LossTable
    start: NDArray[np.intp] | None
    """Place of each pump's row in the flattened table; ``None`` for a table of one row."""
    share: Array
    """Way to the next row; for a table of one row, what to multiply by."""

    def at(self, flow: Array) -> tuple[Array, Array]:
        """Loss in Pa and its slope in Pa s/m^3; flows outside the table go on in a line."""
        columns, step = self.table.losses.shape[1], self.table.step
        root = np.sqrt(np.maximum(flow, 0.0))
        place = root * (1.0 / step)
        left = np.minimum(place.astype(np.intp), columns - 2)
        lower, upper = self._column(left), self._column(left + 1)
        slope = np.maximum(upper - lower, 0.0)
        loss = lower + (place - left) * slope
        return loss, slope / (2.0 * step * np.maximum(root, 1e-9))

    def _column(self, left: NDArray[np.intp]) -> Array:
        flat = self.table.losses.ravel()
        if self.start is None:
            return np.asarray(flat[left] * self.share)
        near = flat[self.start + left]
        far = flat[self.start + left + self.table.losses.shape[1]]
        return np.asarray(np.maximum(near + self.share * (far - near), 0.0))


def tabulate(
    loss: Callable[[Array, float], Array], *, flow_high: float, points: int = _POINTS
) -> LossTable:
    """A :class:`LossTable` of ``loss(flows, scale)`` in Pa, rising with both.

    Args:
        loss: pressure lost at these flows (m^3/s) with every stress of the liquid scaled.
        flow_high: largest flow wanted, m^3/s.
        points: columns.

    >>> table = tabulate(lambda flow, scale: 1e12 * flow * scale, flow_high=1e-4)
    >>> table.scales
    (1.0,)
    >>> float(table.at(np.array([4e-5]), np.array([2.0]))[0][0])
    8.000e7
    """
    flows = (np.linspace(0.0, 1.0, points) ** 2) * flow_high
    middle = loss(flows, 1.0)
    ends = {scale: float(loss(flows[-1:], scale)[0]) for scale in (SCALES[0], SCALES[-1])}
    if all(abs(end - s * middle[-1]) <= 1e-6 * abs(end) for s, end in ends.items()):
        return LossTable(flow_high, (1.0,), middle[None, :])
    rows = np.array([loss(flows, scale) for scale in SCALES])
    return LossTable(flow_high, SCALES, np.maximum.accumulate(rows, axis=1))
