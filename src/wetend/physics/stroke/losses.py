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

    Columns stand at flows evenly spaced in the square root of flow, from nought to ``flow_high``;
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
        root = np.sqrt(np.maximum(flow, 0.0))
        place = root * (1.0 / self.step)
        left = np.minimum(place.astype(np.intp), self.losses.shape[1] - 2)
        along = place - left
        lower, slope = self._rows(left, scale)
        loss = lower + along * slope
        return loss, slope / (2.0 * self.step * np.maximum(root, 1e-9))

    def _rows(self, left: NDArray[np.intp], scale: Array) -> tuple[Array, Array]:
        if len(self.scales) == 1:
            lower = self.losses[0][left] * scale
            return lower, self.losses[0][left + 1] * scale - lower
        known = np.asarray(self.scales)
        row = np.clip(np.searchsorted(known, scale) - 1, 0, len(known) - 2)
        share = (scale - known[row]) / (known[row + 1] - known[row])
        lower = (1 - share) * self.losses[row, left] + share * self.losses[row + 1, left]
        upper = (1 - share) * self.losses[row, left + 1] + share * self.losses[row + 1, left + 1]
        lower = np.maximum(lower, 0.0)
        return lower, np.maximum(upper - lower, 0.0)


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
