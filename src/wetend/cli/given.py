"""Read ``field=value`` arguments; needs no depot."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.errors import BadInput


def pairs(arguments: Sequence[str]) -> dict[str, str]:
    """``field=value`` arguments as a mapping.

    Raises:
        BadInput: an argument has no ``=``, or a field is given twice.
    """
    typed: dict[str, str] = {}
    for argument in arguments:
        name, sign, value = argument.partition("=")
        if not sign or not name.strip():
            raise BadInput(f"“{argument[:60]}” is not field=value.")
        key = name.strip().replace("-", "_") if "." not in name else name.strip()
        if key in typed:
            raise BadInput(f"The field “{key}” is given twice.")
        typed[key] = value
    return typed
