"""Leaks and hose of one pump in plain numbers, for the compiled sums."""

from __future__ import annotations

import math

from wetend.physics.stroke.compiled import inner
from wetend.physics.stroke.rows import HoseTable

LEAST_RATIO = 1e-12


@inner
def both_leaks(
    ratio: float, raised: float, power: float, rates: tuple[float, float, float, float]
) -> tuple[float, float, float, float]:
    r"""Two leaks side by side and their slopes with the ratio: ``gap.blend``, written for speed.

    .. math::

        q = \frac{a\, r^n}{1 + R},\; R = \sqrt{1 + b\, r^{2n-1}}, \qquad
        q' = \frac{q}{r} \left(\tfrac12 + \frac{n - \tfrac12}{R}\right)

    Args:
        ratio: r, pressure over the reference.
        raised: r to the power n.
        power: n.
        rates: a, twice the slow leak, and b, the square of a over the fast leak: of valve and
            packings, then of the static packings.
    """
    past, past_steep, out, out_steep = rates
    squared = raised * raised / ratio
    past_root = math.sqrt(1.0 + past_steep * squared)
    out_root = math.sqrt(1.0 + out_steep * squared)
    past_flow = past * raised / (1.0 + past_root)
    out_flow = out * raised / (1.0 + out_root)
    over = power - 0.5
    past_slope = past_flow * (0.5 + over / past_root) / ratio
    out_slope = out_flow * (0.5 + over / out_root) / ratio
    return past_flow, out_flow, past_slope, out_slope


@inner
def hose_cell(
    place: float, hose: HoseTable, row: float, share: float
) -> tuple[float, float, float]:
    """Loss at the near edge of a cell of the table, rise to its far edge, and how far in it lies.

    As ``losses.LossReader``; the loss is the first plus the product of the others.

    Args:
        place: root of the flow, counted in columns; what is not a number reads the first.
        hose: the table.
        row: the pump's row.
        share: its way to the next row.
    """
    losses, columns = hose.losses, len(hose.losses) // len(hose.scales)
    place = place if place > 0.0 else 0.0
    left = int(min(place, columns - 2.0))
    at = int(row) * columns + left
    near, far = losses[at], losses[at + columns]
    lower = max(near + share * (far - near), 0.0)
    near, far = losses[at + 1], losses[at + 1 + columns]
    upper = max(near + share * (far - near), 0.0)
    return lower, max(upper - lower, 0.0), place - left
