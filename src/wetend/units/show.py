"""Write SI numbers as people read them."""

from __future__ import annotations

import math

from wetend.units.kinds import System
from wetend.units.parse import to_unit
from wetend.units.quantity import Unit

_PRETTY = {"um": "µm", "^2": "²", "^3": "³", "degC": "°C", "degF": "°F", "deg": "°", "*": "·"}


def significant(value: float, digits: int) -> str:
    """A number to so many significant digits, without exponent where it can be read plainly.

    >>> significant(0.00123456, 3), significant(1234.6, 3), significant(2.0, 3)
    ('0.00123', '1235', '2.00')
    """
    if not math.isfinite(value):
        return "unlimited" if value > 0 else "unknown"
    if value == 0:
        return "0"
    power = math.floor(math.log10(abs(value)))
    if power < -5 or power > 8:
        return f"{value:.{digits - 1}e}"
    return f"{value:.{max(digits - 1 - power, 0)}f}"


def pretty(spelling: str) -> str:
    """A unit's spelling with raised figures and signs, for people to read."""
    if spelling == "1":
        return ""
    for plain, fine in _PRETTY.items():
        spelling = spelling.replace(plain, fine)
    return spelling


def number(value: float, unit: Unit, system: System = "metric") -> str:
    """The bare figure in the unit that this person reads."""
    return significant(to_unit(value, unit.kind, unit.shown_in(system)), unit.digits)


def show(value: float, unit: Unit, system: System = "metric") -> str:
    """Figure and unit: ``"200 bar"``."""
    label = pretty(unit.shown_in(system))
    gap = "" if label.startswith("°") and label == "°" else " "
    return f"{number(value, unit, system)}{gap}{label}".strip()


def chance_text(probability: float) -> str:
    """A probability as people say it, never rounded to nought or to certainty.

    >>> chance_text(0.843), chance_text(0.9999), chance_text(0.0)
    ('84 %', 'over 99 %', 'under 1 %')
    """
    if probability >= 0.995:
        return "over 99 %"
    return "under 1 %" if probability < 0.005 else f"{100 * probability:.0f} %"
