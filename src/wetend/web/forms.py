"""Builds forms from data models: a field's declaration gives label, unit, hint and validation.

:func:`ask` turns a noun and the texts to show into a tree that ``templates/forms.html`` draws.
Texts come from what is recorded (:func:`texts_of`) or from what was just typed, so that a form with
a mistake in it comes back exactly as it was sent, each sentence beside its field.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from pydantic import BaseModel

from wetend.advice.reasons import Caution, Verdict
from wetend.errors import BadInput, Problem
from wetend.physics.rheology.laws import LAWS
from wetend.units.fields import Field, fields_of
from wetend.units.kinds import System
from wetend.units.message import Message, Retold, joined, raised
from wetend.units.noun import Noun
from wetend.units.parse import to_unit
from wetend.units.quantity import Unit
from wetend.units.show import pretty
from wetend.web.form_data import Texts, row_numbers

Control = Literal["line", "lines", "series", "pick-one", "list", "pick-many", "tick"]
_FEW = 4


def new_act() -> str:
    """An id for a form about to be rendered; a form is saved once."""
    return secrets.token_hex(16)


_SHORT = 27
_LINE = 500
"""A text that may have more characters is asked for in several lines."""


def up_to(most: int | None) -> str:
    """How long a text may be, as its field tells."""
    return Message("Up to {most:,} characters", most=most) if most else ""


@dataclass(frozen=True)
class Option:
    """One thing to choose."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True)
class Box:
    """One field as shown."""

    name: str
    id: str
    label: str
    control: Control
    value: str
    unit: str
    hint: str
    required: bool
    fault: str
    numeric: bool
    options: tuple[Option, ...] = ()
    most: int | None = None
    """Most characters of a text; more is refused with a sentence, never cut."""

    @property
    def short(self) -> bool:
        """Whether there are many options, all so short that two stand side by side."""
        return len(self.options) > 6 and all(len(o.label) < _SHORT for o in self.options)

    @property
    def described_by(self) -> str:
        """Ids of the hint and the error sentence, for screen readers."""
        ids = [f"{self.id}-hint"] if self.hint else []
        return joined(" ", [*ids, f"{self.id}-fault"] if self.fault else ids)


@dataclass(frozen=True)
class Group:
    """Fields that belong together, under one legend."""

    name: str
    id: str
    legend: str
    items: tuple[Item, ...]
    fault: str = ""
    folded: bool = False
    open: bool = True
    cautions: tuple[Caution, ...] = ()
    how: str = ""
    state: Verdict | None = None
    picture: str = ""
    """Where to look, drawn; markup."""


@dataclass(frozen=True)
class Rows:
    """Repeated groups with a button to add one."""

    name: str
    id: str
    legend: str
    hint: str
    rows: tuple[Group, ...]
    fault: str = ""


Item = Box | Group | Rows


@dataclass(frozen=True)
class Form:
    """A whole form as shown; ``loose`` are sentences that belong to no one field."""

    key: str
    action: str
    items: tuple[Item, ...]
    system: System
    submit: str
    faults: tuple[tuple[str, str], ...] = ()
    """Every fault as the id to jump to and its sentence."""
    act: str = field(default_factory=new_act)
    """Its id: sent twice it is kept once."""
    was: str = ""
    """JSON of what it is filled with from the record."""

    @property
    def wrong(self) -> bool:
        """Whether it was rejected with errors."""
        return bool(self.faults)


@dataclass(frozen=True)
class Section:
    """Fields of a form put together under a legend; folded ones open when something is in them."""

    legend: str
    names: tuple[str, ...] = ()
    folded: bool = False
    cautions: tuple[Caution, ...] = ()
    """What stands right before these fields."""
    how: str = ""
    """What to do before these are read; stands above them, its cautions before it."""
    picture: str = ""
    """Where to look, drawn; markup that stands under what to do."""
    state: Verdict | None = None
    """How it stands, beside the legend."""
    parts: tuple[Section, ...] = ()
    """Sections within it."""
    open: bool | None = None
    """Whether a folded one without faults is open; ``None``: when it holds something."""

    @property
    def all_names(self) -> tuple[str, ...]:
        """Its fields and those of its parts."""
        return (*self.names, *(name for part in self.parts for name in part.all_names))


@dataclass(frozen=True)
class FormSpec:
    """How a model is presented as a form: which fields, labels, hints and choices."""

    noun: type[Noun]
    key: str
    submit: str = Message("Save")
    labels: Mapping[str, str] = field(default_factory=dict)
    hints: Mapping[str, str] = field(default_factory=dict)
    choices: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    leave_out: frozenset[str] = frozenset()
    only: tuple[str, ...] = ()
    keys: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """For a series by name: the names asked for, each with its label."""
    sections: tuple[Section, ...] = ()
    """How the fields are put together; those in none come after."""
    first: tuple[str, ...] = ()
    """Fields asked for before the others."""
    not_needed: frozenset[str] = frozenset()
    """Fields the noun needs, but the page can make up itself when left blank."""
    long: frozenset[str] = frozenset()
    """Choices shown as a list to drop down however few, and texts shown on several lines."""


def _plain_number(value: float) -> str:
    """A number that reads back to itself within a part in a million."""
    text = f"{value:.7g}"
    return f"{value:.12f}".rstrip("0").rstrip(".") if "e-" in text and value > 1e-7 else text


def exact(value: float, unit: Unit, system: System) -> str:
    """The bare figure in the unit this person reads, as short as it can be said.

    >>> from wetend.units.quantity import M, unit_of
    >>> exact(0.0005, unit_of(M), "metric")
    '0.5'
    """
    return _plain_number(to_unit(value, unit.kind, unit.shown_in(system)))


def _text(value: Any, unit: Unit | None, system: System) -> str:
    if unit is not None and isinstance(value, int | float):
        return exact(float(value), unit, system)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return _plain_number(value)
    return str(value)


def _put(into: dict[str, tuple[str, ...]], known: Field, name: str, value: Any, s: System) -> None:
    if value is None:
        return
    if known.shape == "noun" and known.many:
        for number, row in enumerate(value):
            into.update(texts_of(row, s, prefix=f"{name}.{number}."))
    elif known.shape == "noun":
        into.update(texts_of(value, s, prefix=f"{name}."))
    elif known.shape == "map":
        into.update({f"{name}.{k}": (_text(v, known.unit, s),) for k, v in value.items()})
    elif known.many and known.shape == "quantity":
        into[name] = (joined(", ", (_text(v, known.unit, s) for v in value)),)
    elif known.many:
        into[name] = tuple(_text(v, None, s) for v in value)
    else:
        into[name] = (_text(value, known.unit, s),)


def texts_of(noun: BaseModel, system: System, *, prefix: str = "") -> dict[str, tuple[str, ...]]:
    """The texts that, typed into its form, would give this noun."""
    texts: dict[str, tuple[str, ...]] = {}
    for known in fields_of(type(noun)):
        _put(texts, known, prefix + known.name, getattr(noun, known.name), system)
    return texts


def default_texts(
    noun: type[BaseModel], system: System, *, prefix: str = ""
) -> dict[str, tuple[str, ...]]:
    """The texts of a form not filled in yet."""
    texts: dict[str, tuple[str, ...]] = {}
    for known in fields_of(noun):
        if known.noun is not None and not known.many:
            texts.update(default_texts(known.noun, system, prefix=f"{prefix}{known.name}."))
        elif known.noun is None:
            _put(texts, known, prefix + known.name, known.default, system)
    return texts


_PROPER = {
    **{law.name: law.title for law in LAWS.values()},
    "dodge-metzner": Message("Dodge-Metzner"),
    "darby-melson": Message("Darby-Melson"),
}


def word_for(choice: str) -> str:
    """A choice as people write it.

    >>> word_for("herschel-bulkley"), word_for("not looked")
    ('Herschel-Bulkley', 'Not looked')
    """
    return _PROPER.get(choice) or sentence(Message(choice))


def sentence(label: str) -> str:
    """A label with a capital at its start."""
    return raised(label)


def _end(text: str) -> str:
    return f"{text.rstrip('.')}." if text else ""


def ended(label: str) -> str:
    """A label with a full stop at its end; nothing stays nothing."""
    return Retold(_end, label)


def _options(
    choices: Mapping[str, str], sent: tuple[str, ...], *, many: bool
) -> tuple[Option, ...]:
    """The choices, and what was sent before even where it is none of them."""
    found = [Option(value, word, value in sent) for value, word in choices.items()]
    strange = () if not choices else sent if many else sent[-1:]
    found += [Option(value, value, True) for value in strange if value and value not in choices]
    return tuple(found)


def _faulty(item: Item) -> bool:
    """Whether something is wrong in it, however deep."""
    inside: tuple[Item, ...] = ()
    if isinstance(item, Group):
        inside = item.items
    elif isinstance(item, Rows):
        inside = item.rows
    return bool(item.fault) or any(map(_faulty, inside))


class _Builder:
    """Builds one form's items; keeps every fault with the id of the place it is shown at."""

    def __init__(
        self, asked: FormSpec, texts: Texts, system: System, problems: tuple[Problem, ...]
    ) -> None:
        self.asked, self.texts, self.system = asked, texts, system
        self.left = list(problems)
        self.faults: list[tuple[str, str]] = []

    def id_of(self, name: str) -> str:
        return f"{self.asked.key}-{name.replace('.', '-')}"

    def take(self, name: str, *, below: bool) -> str:
        """Sentences about one place; they are then spoken for."""
        mine = [
            p for p in self.left if p.field == name or (below and p.field.startswith(f"{name}."))
        ]
        self.left = [p for p in self.left if p not in mine]
        said = joined(" ", dict.fromkeys(sentence(p.sentence) for p in mine))
        if said:
            self.faults.append((self.id_of(name), said))
        return said

    def items(self, noun: type[BaseModel], prefix: str) -> tuple[Item, ...]:
        found: list[Item] = []
        first = self.asked.first
        order = sorted(fields_of(noun), key=lambda f: (prefix + f.name) not in first)
        for known in order:
            name = prefix + known.name
            if name in self.asked.leave_out or (self.asked.only and name not in self.asked.only):
                continue
            if known.noun is not None and known.many:
                found.append(self.rows(known, name))
            elif known.noun is not None:
                items = self.items(known.noun, f"{name}.")
                fault = self.take(name, below=True)
                found.append(Group(name, self.id_of(name), self.label(known, name), items, fault))
            elif known.shape == "map":
                found.append(self.map(known, name))
            else:
                found.append(self.box(known, name, self.asked.labels.get(name, known.label)))
        return tuple(found)

    def whole(self) -> tuple[Item, ...]:
        """All items, put together in their sections."""
        items = self.items(self.asked.noun, "")
        by_name = {item.name: item for item in items}
        put = tuple(self.section(s, by_name) for s in self.asked.sections)
        used = {name for s in self.asked.sections for name in s.all_names}
        return (*put, *(item for item in items if item.name not in used))

    def section(self, section: Section, by_name: Mapping[str, Item], at: str = "") -> Group:
        found = tuple(by_name[name] for name in section.names if name in by_name)
        usual = default_texts(self.asked.noun, self.system)
        lacking = any(
            "".join(self.texts.get(name, ())).strip() not in ("", "".join(usual.get(name, ())))
            for name in section.all_names
        )
        wrong = any(_faulty(by_name[n]) for n in section.all_names if n in by_name)
        place = at or f"section-{self.asked.sections.index(section)}"
        parts = tuple(
            self.section(part, by_name, f"{place}-{number}")
            for number, part in enumerate(section.parts)
        )
        shown = lacking if section.open is None else section.open
        return Group(place, self.id_of(place), section.legend, (*found, *parts),
                     folded=section.folded, open=shown or wrong, how=section.how,
                     cautions=section.cautions, state=section.state,
                     picture=section.picture)  # fmt: skip

    def label(self, known: Field, name: str) -> str:
        return sentence(self.asked.labels.get(name, known.label))

    def rows(self, known: Field, name: str) -> Rows:
        assert known.noun is not None
        numbers = row_numbers(self.texts, name) or (0,)
        rows = []
        for place, number in enumerate(numbers, start=1):
            legend = Message("{known} {place}", known=self.label(known, name), place=place)
            start = f"{name}.{number}"
            items = self.items(known.noun, f"{start}.")
            fault = self.take(start, below=True)
            rows.append(Group(start, self.id_of(start), legend, items, fault))
        fault = self.take(name, below=True)
        hint = self.asked.hints.get(name, known.hint)
        return Rows(name, self.id_of(name), self.label(known, name), hint, tuple(rows), fault)

    def map(self, known: Field, name: str) -> Group:
        boxes = tuple(
            self.box(known, f"{name}.{key}", label)
            for key, label in self.asked.keys.get(name, {}).items()
        )
        fault = self.take(name, below=True)
        return Group(name, self.id_of(name), self.label(known, name), boxes, fault)

    def box(self, known: Field, name: str, label: str) -> Box:
        sent = self.texts.get(name, ())
        choices = self._choices(known, name)
        plain = known.noun is None and known.shape != "map"
        hint = self.asked.hints.get(name, known.hint if plain else "")
        control = self._control(known, name, choices)
        if control == "lines":
            hint = joined(" ", filter(None, [ended(hint), up_to(known.longest)]))
        if known.many and known.shape == "quantity" and not hint:
            hint = Message("Several, separated by commas")
        return Box(
            name=name,
            id=self.id_of(name),
            label=sentence(label),
            control=control,
            value=joined(", ", sent) if known.many else (sent[-1] if sent else ""),
            unit=pretty(known.unit.shown_in(self.system)) if known.unit else "",
            hint=sentence(hint),
            required=known.required
            and known.shape != "yes-no"
            and name not in self.asked.not_needed,
            fault=self.take(name, below=True),
            numeric=known.shape in ("quantity", "number", "whole", "map") and not known.many,
            options=_options(choices, sent, many=known.many),
            most=known.longest,
        )

    def _choices(self, known: Field, name: str) -> Mapping[str, str]:
        given = self.asked.choices.get(name)
        if given is not None:
            return given
        own = {c: word_for(c) for c in known.choices}
        if known.required or known.many or not own or known.default is not None:
            return own
        return {"": Message("Not given"), **own}

    def _control(self, known: Field, name: str, choices: Mapping[str, str]) -> Control:
        if known.shape == "yes-no":
            return "tick"
        if choices and known.many:
            return "pick-many"
        if choices:
            few = len(choices) <= _FEW and name not in self.asked.long
            return "pick-one" if few else "list"
        if known.many and known.shape == "quantity":
            return "series"
        long = name in self.asked.long or (known.longest or 0) > _LINE
        return "lines" if known.shape == "text" and long else "line"


def problems_of(bad: BadInput | None) -> tuple[Problem, ...]:
    """What is wrong, a problem a field; a fault that belongs to no one field stands at the top."""
    return () if bad is None else bad.problems or (Problem("", str(bad)),)


def ask(
    asked: FormSpec,
    action: str,
    texts: Texts,
    *,
    system: System,
    problems: tuple[Problem, ...] = (),
) -> Form:
    """A noun's form, showing these texts and these problems."""
    builder = _Builder(asked, texts, system, problems)
    items = builder.whole()
    loose = tuple(("", sentence(p.sentence)) for p in builder.left)
    return Form(asked.key, action, items, system, asked.submit, (*loose, *builder.faults))
