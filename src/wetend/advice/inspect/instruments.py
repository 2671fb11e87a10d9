"""Measuring instruments: what each can measure, and its accuracy.

Half-widths are those of careful hand work on site, not of a calibration room: common practice, no
source. A reading lies evenly within the half-width, so its standard uncertainty is the half-width
over root three (JCGM 100:2008, 4.3.7).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from wetend.pump.measurements import Instrument
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, Ratio

Feature = Literal["outside", "bore", "depth", "width", "gap", "height", "run-out"]
"""What is measured on a part."""

FEATURE_WORDS: dict[Feature, str] = {
    "outside": Message("an outside diameter"),
    "bore": Message("a bore"),
    "depth": Message("the depth of a mark"),
    "width": Message("a width"),
    "gap": Message("a gap"),
    "height": Message("a height"),
    "run-out": Message("run-out"),
}
WITH_ARTICLE: dict[Instrument, str] = {
    "rule": Message("a rule"),
    "calliper": Message("a calliper"),
    "micrometer": Message("a micrometer"),
    "bore gauge": Message("a bore gauge"),
    "feeler": Message("a feeler"),
    "straightedge and light": Message("a straightedge and light"),
    "fingernail": Message("a fingernail"),
    "eye": Message("the eye"),
    "maker's gauge": Message("the maker's gauge"),
}
"""Instruments within a sentence."""


@dataclass(frozen=True)
class Accuracy:
    """How far off an instrument may be and what it can take."""

    half_width: MFine
    share: Ratio
    """Half-width in proportion to the reading, for what is judged by feel or sight."""
    takes: frozenset[Feature]


def _takes(*features: Feature) -> frozenset[Feature]:
    return frozenset(features)


INSTRUMENTS: dict[Instrument, Accuracy] = {
    "rule": Accuracy(0.5e-3, 0.0, _takes("outside", "bore", "width", "height")),
    "calliper": Accuracy(
        0.05e-3, 0.0, _takes("outside", "bore", "depth", "width", "gap", "height")
    ),
    "micrometer": Accuracy(5e-6, 0.0, _takes("outside", "bore", "height")),
    "bore gauge": Accuracy(8e-6, 0.0, _takes("bore", "run-out")),
    "feeler": Accuracy(15e-6, 0.0, _takes("gap", "depth")),
    "straightedge and light": Accuracy(8e-6, 0.25, _takes("gap", "depth", "run-out")),
    "fingernail": Accuracy(15e-6, 0.25, _takes("depth")),
    "eye": Accuracy(50e-6, 0.5, _takes("depth", "width", "gap")),
    "maker's gauge": Accuracy(
        8e-6, 0.0, _takes("outside", "bore", "depth", "width", "gap", "height", "run-out")
    ),
}
"""Half-width, share of the reading, and what it can take, by instrument."""

FINER: dict[Feature, tuple[Instrument, ...]] = {
    "outside": ("calliper", "micrometer"),
    "bore": ("calliper", "bore gauge"),
    "depth": ("straightedge and light", "maker's gauge"),
    "width": ("calliper", "maker's gauge"),
    "gap": ("feeler", "straightedge and light", "maker's gauge"),
    "height": ("calliper", "micrometer"),
    "run-out": ("straightedge and light", "maker's gauge"),
}
"""Better instruments for each feature, the coarsest first."""


def can_take(instrument: Instrument, feature: Feature) -> bool:
    """Whether an instrument can measure such a feature at all."""
    return feature in INSTRUMENTS[instrument].takes


def standard_uncertainty(instrument: Instrument, feature: Feature, value: M) -> MFine:
    """Standard uncertainty of one reading; an instrument that can't take it counts as the eye.

    >>> standard_uncertainty("rule", "outside", 0.027) * 1e6
    288.7
    """
    accuracy = INSTRUMENTS[instrument if can_take(instrument, feature) else "eye"]
    return (accuracy.half_width + accuracy.share * abs(value)) / math.sqrt(3)


def finer_than(uncertainty: MFine, feature: Feature, value: M) -> Instrument | None:
    """The simplest instrument with less uncertainty for this feature, if there is one."""
    for instrument in FINER[feature]:
        if standard_uncertainty(instrument, feature, value) < 0.8 * uncertainty:
            return instrument
    return None


def fit_for(instrument: Instrument, feature: Feature, *, value: M, limit: MFine) -> bool:
    """Whether an instrument can tell so small a limit: twice its uncertainty is within it."""
    uncertainty = standard_uncertainty(instrument, feature, value)
    return can_take(instrument, feature) and 2 * uncertainty <= limit
