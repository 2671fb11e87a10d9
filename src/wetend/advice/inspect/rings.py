"""Gap that a worn bore or rod leaves at a new set of packings.

New V-rings are pressed out by the liquid and follow a wall that is not where it was, as far as
their lips reach. A set is done at the gap its description gives, so that much a new one takes up;
what lies beyond it stays open.
"""

from __future__ import annotations

import numpy as np

from wetend.advice.inspect.damage import Path
from wetend.advice.prove.limits import Allowed
from wetend.advice.reasons import Figure
from wetend.physics.leakage import annulus_passage
from wetend.physics.stroke.gap import LEAST_INDEX
from wetend.pump.parts import Packings
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, Percent, Ratio, unit_of
from wetend.units.show import show

_ROUND = np.cos(2.0 * np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False))


def open_gap(even: MFine, swing: MFine, *, reach: MFine, index: Ratio) -> MFine:
    r"""The even gap that passes as much as what an oval bore leaves open past round lips.

    .. math:: h(\theta) = \max(0,\; g + a\cos 2\theta - r), \qquad
              h_e = \left(\overline{h^{\,2 + 1/n}}\right)^{1/(2 + 1/n)}

    Each slice of the ring is a slit of its own, whose leak goes with that power of its height.
    Source: lubrication theory, as :func:`wetend.physics.slits.annulus_leak`.

    Args:
        even: g, growth of the radius, mean of all directions.
        swing: a, a quarter of the difference of greatest and least diameter.
        reach: r, what the lips take up.
        index: n, of the coating's flow law.

    >>> open_gap(80e-6, 0.0, reach=60e-6, index=0.7) * 1e6
    20.0
    >>> open_gap(20e-6, 20e-6, reach=0.0, index=1.0) * 1e6  # 2.5 times a round gap's leak
    27.144
    """
    power = 2.0 + 1.0 / max(index, LEAST_INDEX)
    heights = np.maximum(even + swing * _ROUND - reach, 0.0)
    most = float(heights.max())
    if most <= 0.0:
        return 0.0
    return most * float(np.mean((heights / most) ** power) ** (1.0 / power))


def past_rings(
    packings: Packings, diameter: M, limits: Allowed, *, even: MFine, swing: MFine = 0.0
) -> Path:
    """The way past a new set in a bore, or round a rod, that is no longer to size."""
    reach = packings.clearance_limit
    gap = open_gap(even, swing, reach=reach, index=limits.liquid.index)
    words = Message(
        "New lips take up {reach} of gap; the rest stays open, as wide as where it is widest all "
        "along the set.",
        reach=show(reach, unit_of(MFine)),
    )
    return Path(annulus_passage(diameter, max(gap, 1e-12), packings.height), gap, packings.height,
                words)  # fmt: skip


def taken_up(packings: Packings, most: MFine) -> Figure:
    """How much of what a new set's lips can take up is gone before it has worn at all."""
    share = min(max(most, 0.0) / packings.clearance_limit, 1.0)
    return Figure(Message("Of a new set's lips, taken up by the wear"), share, unit_of(Percent))
