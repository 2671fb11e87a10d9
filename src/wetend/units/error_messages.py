"""What is said of input that can't be used: one sentence a field, in the person's own units."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from wetend.errors import BadInput, Problem
from wetend.units.declared import Field, field_at
from wetend.units.kinds import System
from wetend.units.message import Message, joined, raised
from wetend.units.parse import read_quantity
from wetend.units.quantity import Unit
from wetend.units.show import limit, show_limit
from wetend.units.suggestions import near

_DAY = Message("{label} must be a date, written like 2031-05-04.")
_SENTENCES = {
    "missing": Message("{label} is required."),
    "greater_than": Message("{label} must be more than {gt}."),
    "greater_than_equal": Message("{label} must be at least {ge}."),
    "less_than": Message("{label} must be less than {lt}."),
    "less_than_equal": Message("{label} must be at most {le}."),
    "finite_number": Message("{label} must be an ordinary number."),
    "float_parsing": Message("{label} is not a number."),
    "float_type": Message("{label} is not a number."),
    "int_parsing": Message("{label} is not a whole number."),
    "int_from_float": Message("{label} is not a whole number."),
    "bool_parsing": Message("{label} must be yes or no."),
    "string_too_short": Message("{label} is required."),
    "string_pattern_mismatch": Message(
        "{label} may hold only lower-case letters, digits and hyphens."
    ),
    "literal_error": Message("{label} must be one of {choices}."),
    "enum": Message("{label} must be one of {choices}."),
    "string_type": Message("{label} must be text, in quotation marks."),
    "model_type": Message("{label} must be a table of its own fields."),
    "date_type": _DAY,
    "date_parsing": _DAY,
    "date_from_datetime_parsing": _DAY,
    "date_from_datetime_inexact": _DAY,
    "datetime_type": _DAY,
    "datetime_parsing": _DAY,
    "datetime_from_date_parsing": _DAY,
    "bool_type": Message("{label} must be yes or no."),
    "int_type": Message("{label} is not a whole number."),
    "int_parsing_size": Message("{label} is too large."),
    "tuple_type": Message("{label} must be a list, in square brackets."),
    "list_type": Message("{label} must be a list, in square brackets."),
    "dict_type": Message("{label} must be given entry by entry, as name.entry."),
    "extra_forbidden": Message("{label} is not a field known here."),
    "too_long": Message("{label} has more than {max_length} entries."),
    "too_short": Message("{label} needs at least {min_length}."),
}


_OUT_OF_RANGE = ("greater_than", "greater_than_equal", "less_than", "less_than_equal")
_ONE = {
    "both": Message("{label} is {shown}; it must be from {least} to {most}."),
    "most": Message("{label} is {shown}; it must be at most {most}."),
    "least": Message("{label} is {shown}; it must be at least {least}."),
}
_EACH = {
    "both": Message("{label}: {place} is {shown}; each must be from {least} to {most}."),
    "most": Message("{label}: {place} is {shown}; each must be at most {most}."),
    "least": Message("{label}: {place} is {shown}; each must be at least {least}."),
}
"""What is said of one number, and of one of a series or map, by which limits it has."""
_FINELY = 12
"""Digits of a value that rounds to the very limit it breaks."""


def too_long(label: str, text: str, most: int) -> str:
    """What is said of a text that its field can't hold."""
    return Message(
        "{label} has {count:,} characters; at most {most:,} can be saved: shorten it.",
        label=label,
        count=len(text.strip()),
        most=most,
    )


def said_of(value: float, field: Field, system: System, *, digits: int = 4) -> str:
    """A number of a field in the unit this person reads."""
    if field.unit is None:
        return limit(value, digits)
    return show_limit(value, field.unit, system, digits=digits)


def out_of_range(
    value: float, field: Field, system: System, *, place: str = "", label: str = ""
) -> str:
    """What is said of a value that its field's range does not hold.

    Args:
        value: as given, SI.
        field: with a least, a greatest or both.
        system: the units of the sentence.
        place: which one of a series or map it is.
        label: what the field is called; its own label unless given.
    """
    label = label or field.label
    bounds = [said_of(b, field, system) for b in (field.least, field.greatest) if b is not None]
    shown = said_of(value, field, system) if math.isfinite(value) else Message("too large")
    if shown in bounds:
        shown = said_of(value, field, system, digits=_FINELY)
    kind = "both" if len(bounds) == 2 else "most" if field.least is None else "least"
    pattern = (_EACH if place else _ONE)[kind].pattern
    return Message(pattern, label=label, place=place, shown=shown, least=bounds[0], most=bounds[-1])


def bare_unit(unit: Unit, system: System | None) -> str:
    """The unit of a bare number: as shown in a system, else SI."""
    return unit.shown_in(system) if system else unit.kind.si


def _given(given: Any, field: Field, bare: System | None) -> float:
    """A number as it was given, typed or not, in SI."""
    if field.unit is None or not isinstance(given, str):
        return float(str(given))  # a whole number may be too large for float()
    return read_quantity(given, field.unit.kind, bare=bare_unit(field.unit, bare))


def _out_of_range(
    item: Mapping[str, Any], field: Field, label: str, *, system: System, bare: System | None
) -> str | None:
    """The same for one of Pydantic's errors; ``None`` where it is not about a field's range."""
    if item["type"] not in _OUT_OF_RANGE or (field.least is None and field.greatest is None):
        return None
    last = item["loc"][-1]
    place = (
        Message("number {count}", count=last + 1)
        if isinstance(last, int)
        else ""
        if last == field.name
        else last
    )
    place = "" if str(last) in label.split(".") else place
    given = _given(item["input"], field, bare)
    return out_of_range(given, field, system, place=place, label=label)


def _choices(field: Field | None, expected: str) -> str:
    """What may be chosen, for the end of a sentence."""
    names = field.choices if field is not None and field.choices else ()
    if not names:
        return expected.replace("'", "")
    return joined(Message(" or "), filter(None, (joined(", ", names[:-1]), names[-1])))


def _meant(item: Mapping[str, Any], field: Field | None) -> str:
    """The choice nearest to one that there is not; blank where none is near."""
    if item["type"] not in ("literal_error", "enum") or field is None:
        return ""
    return joined(Message(" or "), near(str(item["input"]), field.choices))


def _unknown_field(where: str, noun: type[BaseModel] | None) -> str:
    """That there is no such field, and which may be meant; ``where`` is its path."""
    path, _, name = where.rpartition(".")
    within = (
        field_at(noun, [int(p) if p.isdigit() else p for p in path.split(".")])
        if noun is not None and path
        else None
    )
    owner = within.noun if within is not None else noun if not path else None
    meant = near(name, owner.model_fields) if owner is not None else []
    if not meant:
        return Message("{where} is not a field known here.", where=where[:80])
    return Message(
        "{where} is not a field known here; did you mean {meant}?",
        where=where[:80],
        meant=joined(Message(" or "), meant),
    )


def explain(
    error: ValidationError,
    noun: type[BaseModel] | None = None,
    *,
    system: System = "metric",
    bare: System | None = None,
    by_path: bool = False,
) -> BadInput:
    """A validation error as plain sentences, one a field, limits in this person's units.

    Args:
        error: of Pydantic.
        noun: what was to be built.
        system: the units of the sentences.
        bare: the units that bare numbers were read in; ``None`` means SI.
        by_path: name a field within a noun by its path, as in a file: ``cylinder.bore``.
    """
    problems = []
    errors = error.errors(include_url=False)
    within = {item["loc"][:-1] for item in errors}
    for item in errors:
        if item["type"] == "too_short" and item["loc"] in within:
            continue  # Pydantic counts only the items it could use
        where = ".".join(str(part) for part in item["loc"]) or "input"
        field = field_at(noun, item["loc"]) if noun else None
        label = field.label if field and not (by_path and len(item["loc"]) > 1) else where
        pattern = _SENTENCES.get(item["type"])
        context = dict(item.get("ctx", {}))
        cause = context.get("error")
        if "expected" in context:
            context["choices"] = _choices(field, str(context["expected"]))
        outside = _out_of_range(item, field, label, system=system, bare=bare) if field else None
        meant = _meant(item, field)
        if outside:
            sentence = outside
        elif item["type"] == "string_too_long":
            sentence = too_long(label, str(item["input"]), int(context["max_length"]))
        elif meant:
            sentence = Message(
                "{label} can't be “{given}”; did you mean {meant}?",
                label=label,
                given=str(item["input"])[:40],
                meant=meant,
            )
        elif item["type"] == "extra_forbidden":
            sentence = _unknown_field(where, noun)
        elif pattern:
            sentence = Message(pattern.pattern, label=label, **context)
        elif isinstance(cause, Exception) and not item["loc"]:
            sentence = joined("", (raised(str(cause)), "."))
        elif isinstance(cause, Exception):
            sentence = Message("{label}: {cause}", label=label, cause=cause)
        else:
            sentence = Message("{label} is not written in a way that can be read.", label=label)
        problems.append(Problem(where, sentence))
    return BadInput(joined(" ", (p.sentence for p in problems[:5])), tuple(problems))
