"""Every figure of an answer, however deep it stands."""

from __future__ import annotations

import dataclasses


def figures(thing: object) -> list[float]:
    """Every number inside a nest of dataclasses and tuples."""
    if isinstance(thing, bool):
        return []
    if isinstance(thing, int | float):
        return [float(thing)]
    if dataclasses.is_dataclass(thing):
        return [n for f in dataclasses.fields(thing) for n in figures(getattr(thing, f.name))]
    if isinstance(thing, tuple):
        return [n for item in thing for n in figures(item)]
    return []
