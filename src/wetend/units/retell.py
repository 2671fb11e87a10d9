"""Our own sentences for those who read other units: each quantity said a second time beside it.

A sentence is never rewritten: the figure it was made with stands, and the reader's own follows in
brackets. Temperatures are left alone, since a sentence may mean a difference.
"""

from __future__ import annotations

import re

from wetend.keeping import constant
from wetend.units import quantity
from wetend.units.kinds import TEMPERATURE, System
from wetend.units.parse import read_quantity
from wetend.units.quantity import Unit, unit_of
from wetend.units.show import number, pretty, significant

_NUMBER = r"\d+(?:\.\d+)?"


@constant("units reported twice")
def _units() -> dict[str, Unit]:
    """Units that the two systems write differently, by their metric sign."""
    found: dict[str, Unit] = {}
    for annotation in vars(quantity).values():
        unit = next(
            (m for m in getattr(annotation, "__metadata__", ()) if isinstance(m, Unit)), None
        )
        if unit is None:
            continue
        if unit.metric != unit.imperial and unit.kind is not TEMPERATURE:
            found[pretty(unit.metric)] = unit
    return {**found, "N m": unit_of(quantity.NM), "Nm": unit_of(quantity.NM)}


@constant("pattern of quantities in sentences")
def _pattern() -> re.Pattern[str]:
    signs = "|".join(re.escape(s) for s in sorted(_units(), key=len, reverse=True))
    return re.compile(
        rf"(?<![\w.])(?:(?P<first>{_NUMBER})(?P<between> to | and |–))?"
        rf"(?P<last>{_NUMBER}) ?(?P<sign>{signs})(?![\w/²³·^*])"
    )


def _said(figure: str, unit: Unit) -> str:
    figures = len(figure.replace(".", "").lstrip("0"))
    value = read_quantity(figure, unit.kind, bare=unit.metric)
    shown = float(number(value, Unit(unit.kind, unit.metric, unit.imperial, 12), "imperial"))
    return significant(shown, max(2, min(figures, unit.digits)))


def retell(text: str, system: System) -> str:
    """A sentence of ours with each metric quantity followed by what an imperial reader calls it.

    >>> retell("Raise it from 150 to 180 bar.", "imperial")
    'Raise it from 150 to 180 bar (2176 to 2611 psi).'
    >>> retell("Raise it to 180 bar.", "metric")
    'Raise it to 180 bar.'
    """
    if system == "metric":
        return text

    def both(match: re.Match[str]) -> str:
        unit = _units()[match["sign"]]
        first = f"{_said(match['first'], unit)}{match['between']}" if match["first"] else ""
        return f"{match[0]} ({first}{_said(match['last'], unit)} {pretty(unit.imperial)})"

    return _pattern().sub(both, text)
