"""Faults that are a lump, and the checks that carry it away: the wash, and the nozzle turned.

A lump reads like the wear that it stands in for, until somebody tries. One that goes leaves nothing
to open. Shares are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.causes import Cause
from wetend.lazy_import import special
from wetend.units.quantity import Ratio

CARRIED_AWAY: Final[Mapping[str, Mapping[Cause, Ratio]]] = {
    "wash": {Cause.FOOT: 0.5, Cause.PISTON: 0.2},
    "nozzle_turned": {Cause.CLOGGED: 0.8},
}
"""By what is read of it, the share of each cause that the check carries away."""


def carried_away(
    lump: NDArray[np.float64], present: NDArray[np.bool_], keys: Collection[str]
) -> NDArray[np.bool_]:
    """Which causes these checks carry away: pumps by causes.

    Args:
        lump: a standard normal number a pump; the lower, the easier what is wrong comes loose.
        present: pumps by causes.
        keys: what was read.

    >>> pump = np.eye(len(Cause), dtype=bool)[[Cause.FOOT, Cause.FOOT]]
    >>> carried_away(np.array([-1.0, 1.0]), pump, ["wash"])[:, Cause.FOOT].tolist()
    [True, False]
    """
    found = np.zeros_like(present)
    for key in keys:
        for cause, share in CARRIED_AWAY.get(key, {}).items():
            found[:, cause] |= present[:, cause] & (lump < special.ndtri(share))
    return found
