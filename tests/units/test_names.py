"""Names never say another unit than they hold: in code, in the record, in what is given out."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import inspect
import pkgutil
import typing
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import BaseModel

import wetend
from wetend.units.factors import FACTORS
from wetend.units.kinds import KINDS
from wetend.units.parse import find_unit
from wetend.units.quantity import Held, Unit

WORDS = {
    "litre": "L", "litres": "L", "liter": "L", "liters": "L", "gallon": "gal", "gallons": "gal",
    "ml": "mL", "second": "s", "seconds": "s", "minute": "min", "minutes": "min", "hour": "h",
    "hours": "h", "day": "d", "days": "d", "mm": "mm", "um": "um", "micron": "um", "microns": "um",
    "metre": "m", "metres": "m", "inch": "in", "inches": "in", "bar": "bar", "bars": "bar",
    "psi": "psi", "mpa": "MPa", "kpa": "kPa", "pascal": "Pa", "pascals": "Pa", "percent": "%",
    "celsius": "degC", "kelvin": "K", "kg": "kg", "kilograms": "kg", "grams": "g", "pounds": "lb",
    "newton": "N", "newtons": "N", "rpm": "rpm", "poise": "P",
}  # fmt: skip
"""Words of a name that say a unit. A turn, a stroke and a degree of freedom are counted."""
ANOTHER_SENSE = {
    "second_viscosity", "second_at", "second_order", "scale_bar", "bar", "bars", "by_day", "day",
    "day_of", "day_text", "read_day", "day_built", "USUAL_DAY", "hour", "second", "crew_hour",
    "technician_hour",
}  # fmt: skip
"""Second of two, a bar drawn or said, a calendar day, an hour on a clock face, the price of one."""


def said_in(name: str) -> str:
    """The unit that a name says; blank where it says none."""
    if name in ANOTHER_SENSE:
        return ""
    tokens = name.lower().strip("_").split("_")
    if "per" in tokens or "a" in tokens[1:-1]:  # of a rate: bits_per_minute
        return ""
    return next((WORDS[t] for t in tokens if t in WORDS), "")


def units_of(annotation: Any) -> Iterator[str]:
    """Every unit that a type says a number of it is held in."""
    for extra in getattr(annotation, "__metadata__", ()):
        if isinstance(extra, Unit):
            yield extra.kind.si
        elif isinstance(extra, Held):
            yield extra.unit
    for inner in typing.get_args(annotation):
        if not isinstance(inner, str | int | tuple | list):
            yield from units_of(inner)


def counts(annotation: Any) -> bool:
    """Whether what is held can be no quantity: a whole number counts what the name says."""
    text = str(annotation)
    return not any(word in text for word in ("float", "Interval", "ndarray", "Any"))


def alike(one: str, other: str) -> bool:
    """Whether two spellings are one unit."""
    if one == other:
        return True
    for kind in KINDS:
        if one in kind.spellings and other in kind.spellings:
            return FACTORS[find_unit(one, kind)] == FACTORS[find_unit(other, kind)]
    return False


def wrong(name: str, annotation: Any) -> str:
    """What is wrong with a name and its type; blank where they agree."""
    said, held = said_in(name), set(units_of(annotation))
    if not said:
        several = typing.get_origin(annotation) is tuple  # then its docstring says which is which
        other = {u for u in held if not several and all(u != kind.si for kind in KINDS)}
        return f"holds {other} and its name does not say so" if other else ""
    if held:
        off = [u for u in held if not alike(said, u)]
        return f"says {said}, holds {off}" if off else ""
    return "" if counts(annotation) else f"says {said}, and its type does not say what it holds"


def modules() -> Iterator[Any]:
    for found in pkgutil.walk_packages(wetend.__path__, "wetend."):
        if ".migrations" not in found.name and not found.name.endswith("__main__"):
            yield importlib.import_module(found.name)


def hints(thing: Any) -> dict[str, Any]:
    try:
        return typing.get_type_hints(thing, include_extras=True)
    except (NameError, TypeError):  # what is read in for type checkers only
        return dict(getattr(thing, "__annotations__", {}))


def members(module: Any) -> Iterator[tuple[str, str, Any]]:
    """Place, name and type of every field, parameter and answer that a module makes public."""
    for name, known in hints(module).items():
        if not name.startswith("_"):
            yield f"{module.__name__}.{name}", name, known
    for name, thing in vars(module).items():
        if getattr(thing, "__module__", "") != module.__name__ or name.startswith("_"):
            continue
        if inspect.isclass(thing):
            if dataclasses.is_dataclass(thing) or issubclass(thing, BaseModel):
                for field, known in hints(thing).items():
                    if not field.startswith("_") and field != "model_config":
                        yield f"{module.__name__}.{name}.{field}", field, known
            for inner, held in vars(thing).items():
                plain = held.fget if isinstance(held, property) else held
                if inspect.isfunction(plain) and not inner.startswith("_"):
                    yield from signature(f"{module.__name__}.{name}.{inner}", inner, plain)
        elif inspect.isfunction(thing):
            yield from signature(f"{module.__name__}.{name}", name, thing)


def signature(place: str, name: str, function: Any) -> Iterator[tuple[str, str, Any]]:
    for parameter, known in hints(function).items():
        what = name if parameter == "return" else parameter
        yield f"{place}({parameter})", what, known


def test_every_name_says_the_unit_it_holds() -> None:
    found = [
        f"{place}: {told}"
        for module in modules()
        for place, name, known in members(module)
        if (told := wrong(name, known))
    ]
    assert found == []


WRITTEN = {"lead_days", "seconds", "day", "leak_at_100_bar"}
"""Keys written by hand that hold the unit they say, each with its own test: an item's lead in days,
a film's seconds, a calendar day or the mean one; and a leak, whose name says at which pressure."""
WORD_LISTS = {
    "wetend.workflows.history_words", "wetend.units.factors", "wetend.units.kinds",
    "wetend.units.show", "wetend.pump.usage", "wetend.pump.readings",
}  # fmt: skip
"""Where the words themselves are listed: units, and what is typed or was kept earlier."""


def keys_of(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        for key in node.keys if isinstance(node, ast.Dict) else ():
            if isinstance(key, ast.Constant) and isinstance(key.value, str):
                yield key.value


def test_no_key_of_what_is_given_out_says_another_unit() -> None:
    """JSON comes from the same fields as code; what is keyed by hand beside them is listed here."""
    found = {
        f"{module.__name__}: {key}"
        for module in modules()
        if module.__file__ and module.__name__ not in WORD_LISTS
        for key in keys_of(ast.parse(Path(module.__file__).read_text("utf-8")))
        if " " not in key and "-" not in key and said_in(key) and key not in WRITTEN
    }
    assert found == set()


def test_the_check_itself_sees_what_lies() -> None:
    """By hand: what once stood here, and what is right."""
    from_minutes, m3, s = typing.Annotated[float, Held("min")], _m3(), _s()
    for name, known in (
        ("litres", m3), ("hours", s), ("litres_since_repack", m3 | None), ("saves", from_minutes),
        ("days", float), ("hours", "Interval"), ("length_mm", _m()),
    ):  # fmt: skip
        assert wrong(name, known), name
    for name, known in (
        ("pumped", m3), ("seconds", s), ("minutes", from_minutes), ("minutes_saved", from_minutes),
        ("days", int), ("kilograms", _kg()), ("information_bits_per_minute", float),
    ):  # fmt: skip
        assert not wrong(name, known), name


def _m3() -> Any:
    return importlib.import_module("wetend.units.quantity").M3


def _s() -> Any:
    return importlib.import_module("wetend.units.quantity").S


def _m() -> Any:
    return importlib.import_module("wetend.units.quantity").M


def _kg() -> Any:
    return importlib.import_module("wetend.units.quantity").Kg
