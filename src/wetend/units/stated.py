"""Quantities that a sentence of ours states in one unit, such as a spanner's size.

A quantity that was computed is shown in the reader's unit alone; what is stated stands as it is,
and whoever reads other units finds theirs behind it in brackets. No temperatures: a sentence may
mean a difference.
"""

from __future__ import annotations

from wetend.errors import UnknownName
from wetend.keeping import constant
from wetend.units import quantity
from wetend.units.kinds import TEMPERATURE, System
from wetend.units.message import Measure
from wetend.units.parse import read_quantity
from wetend.units.quantity import Unit, unit_of
from wetend.units.show import number, pretty, significant


@constant("units reported twice")
def units_by_sign() -> dict[str, Unit]:
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


def _converted(figure: str, unit: Unit) -> str:
    figures = len(figure.replace(".", "").lstrip("0"))
    value = read_quantity(figure, unit.kind, bare=unit.metric)
    shown = float(number(value, Unit(unit.kind, unit.metric, unit.imperial, 12), "imperial"))
    return significant(shown, max(2, min(figures, unit.digits)))


def _written(text: str, system: System) -> str:
    figures, _, sign = text.partition(" ")
    unit = units_by_sign().get(sign)
    if unit is None:
        raise UnknownName(f"No unit goes by the sign “{sign}”.")
    if system == "metric":
        return text
    low, dash, high = figures.partition("–")
    other = f"{_converted(low, unit)}{dash}{_converted(high, unit) if dash else ''}"
    return f"{text} ({other} {pretty(unit.imperial)})"


def stated(text: str) -> Measure:
    """A quantity as a sentence states it, a range with a dash.

    Raises:
        UnknownName: the sign is of no unit.

    >>> str(stated("180 bar")), _written("150–180 bar", "imperial")
    ('180 bar', '150–180 bar (2176–2611 psi)')
    """
    return Measure(_written, text)
