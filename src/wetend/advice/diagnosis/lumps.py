"""Faults that are a lump, and the checks that carry it away: the wash, and the nozzle turned.

A lump reads like the wear that it stands in for, until somebody tries. One that goes leaves nothing
to open. Shares are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from numpy.typing import NDArray

from wetend.advice.faults.tables import CARRIED_AWAY
from wetend.lazy_import import special


def carried_away(
    lump: NDArray[np.float64], present: NDArray[np.bool_], keys: Collection[str]
) -> NDArray[np.bool_]:
    """Which causes these checks carry away: pumps by causes.

    Args:
        lump: a standard normal number a pump; the lower, the easier what is wrong comes loose.
        present: pumps by causes.
        keys: what was read.

    >>> both = np.ones((2, 2), dtype=bool)  # foot valve and piston valve, by their columns
    >>> carried_away(np.array([-1.0, 1.0]), both, ["wash"])[:, 0].tolist()
    [True, False]
    """
    found = np.zeros_like(present)
    for key in keys:
        for cause, share in CARRIED_AWAY.get(key, {}).items():
            found[:, cause] |= present[:, cause] & (lump < special.ndtri(share))
    return found
