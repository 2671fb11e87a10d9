"""Values that no field of a kind takes, one of every kind of mistake people make."""

from __future__ import annotations

from collections.abc import Iterator

from wetend.units.fields import Field

NO_NUMBER = ("abc", "12 parsec", "1e999", "nan", "1,500", "3/0", "-1e30", "--5", "1.2.3")
"""What stands for no quantity of any range."""


def bad_values(field: Field) -> Iterator[str]:
    """Texts that a field can't take."""
    if field.shape in ("quantity", "number", "whole"):
        yield from NO_NUMBER
        if field.greatest is not None:
            unit = f" {field.unit.kind.si}" if field.unit else ""
            yield f"{max(abs(field.greatest), 1.0) * 10:.6f}{unit}"
    elif field.shape == "map":
        return
    elif field.choices:
        yield from ("no such choice", "\x01", "yes and no")
    elif field.shape == "yes-no":
        yield from ("maybe", "2", "oui")
    else:
        yield from ("a\x01b", "x" * 5000)
