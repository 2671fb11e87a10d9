"""Wear factors of packings by class of coating."""

from __future__ import annotations

from wetend.pump.coating import Abrasiveness

PACKING_LIFE = 60e3 * 200e5
"""Sliding distance times pressure a set bears in a mild coating, m Pa: 60 km at 200 bar (common
practice, no source; ours and rough)."""
CLASS_FACTOR: dict[Abrasiveness, float] = {
    "mild": 1.0,
    "moderate": 2.0,
    "abrasive": 5.0,
    "very abrasive": 12.0,
}
"""How many times faster each class wears (common practice, no source; ours and rough)."""
