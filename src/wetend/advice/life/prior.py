"""Prior distributions of part lives, before any failure is recorded.

All of it is common practice without a source, ours and wide; see the table in docs/life.md. Every
repair entered narrows it, of other parts too by the level that a depot's parts share.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from wetend.advice.life.records import PLAIN
from wetend.advice.life.wear_factors import PACKING_LIFE
from wetend.pump.usage import LifePart
from wetend.stats.life.belief import LifePrior
from wetend.stats.life.level import Common

MEDIAN_LIFE: dict[LifePart, float] = {
    "moving-packings": 1.0,
    "static-packings": 1.3,
    "foot-ball": 1.6,
    "foot-seat": 1.2,
    "piston-ball": 1.8,
    "piston-seat": 1.5,
    "cylinder": 6.0,
    "rod": 5.0,
    "nozzle": 0.25,
    "outlet-filter": 0.6,
}
"""Median life as a multiple of the packings' (60 km at 200 bar in a mild coating)."""
COMMON = Common(level=0.75, own=0.45)
"""Standard deviations of the log of that median: of the level that all parts of a depot share, and
of each part about it; together a factor of 4.2 either way at 90 %."""
SCALE, SCALE_SPREAD = 0.45, 0.35
"""Median of the log life's own scale, and the spread of its logarithm. As a Weibull shape: 2.2,
between 1.25 and 4 at 90 %."""
EFFECT: dict[str, tuple[float, float]] = {
    "moderate": (0.0, 0.3),
    "abrasive": (0.0, 0.4),
    "very abrasive": (0.0, 0.5),
    "pressure": (0.0, 0.3),
    "strokes a minute": (-0.3, 0.3),
    "repairs before": (-0.03, 0.12),
}
"""Mean and deviation of what is put to the log life: corrections to the class factors, and to the
exponent of pressure beyond proportion; slow strokes are kind; a part fitted where others wore out
before it may last less, by a power of their number and one."""
EARLY_SHARE = (-2.4, 1.2)
"""Mean and deviation of the score of the share badly fitted: 3 %, 90 % between 0.4 and 14 %."""
SITE_SPREAD = 0.25
"""Habits of a site: deviation of the log life between sites."""
MOST_SITES = 12
"""Sites told apart; where there are more, habits are left in the scatter."""


def prior_of(part: LifePart, sites: Sequence[str]) -> LifePrior:
    """The prior of a part's life, its columns those of the covariates."""
    means = [math.log(PACKING_LIFE * MEDIAN_LIFE[part]), *(EFFECT[name][0] for name in PLAIN)]
    spreads = [COMMON.whole, *(EFFECT[name][1] for name in PLAIN)]
    return LifePrior(
        means=np.array([*means, *[0.0] * len(sites)]),
        deviations=np.array([*spreads, *[SITE_SPREAD] * len(sites)]),
        log_scale=math.log(SCALE),
        log_scale_deviation=SCALE_SPREAD,
        early=EARLY_SHARE,
    )
