"""Formats lengths for drawings, all to the same decimal."""

from __future__ import annotations

from wetend.units.kinds import System
from wetend.units.quantity import M


def length_text(value: M, system: System = "metric") -> str:
    """A length to a hundredth of a millimetre or the ten-thousandth of an inch.

    >>> length_text(0.00186), length_text(0.0254, "imperial")
    ('1.86 mm', '1.0000 in')
    """
    return f"{value * 1e3:.2f} mm" if system == "metric" else f"{value / 0.0254:.4f} in"
