"""Merges a submitted form with concurrent changes: what it changes, and conflicts."""

from __future__ import annotations

import hashlib
import itertools
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from pydantic import ValidationError

from wetend.errors import BadInput, Problem
from wetend.records.entries import BY_FIELD, WHICH, Entry, EntryKind, said_by
from wetend.records.fold import Visit, latest_of
from wetend.units.fields import fields_of
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.noun import Noun, alike, change, overlaid
from wetend.units.show import show


def _was(noun: type[Noun], text: str) -> Noun | None:
    """What a form says it was filled with; ``None`` where it can't be read."""
    try:
        return noun.model_validate_json(text)
    except ValidationError:
        return None


def _said(noun: Noun, name: str, system: System) -> str:
    """One field as people read it."""
    known = next(f for f in fields_of(type(noun)) if f.name == name)
    value = getattr(noun, name)
    if value is None or value in ((), "", {}):
        return Message("nothing")
    if known.unit is not None and isinstance(value, int | float):
        return show(value, known.unit, system)
    if known.unit is not None and isinstance(value, tuple):
        return joined(", ", (show(v, known.unit, system) for v in value))
    if isinstance(value, bool):
        return Message("yes") if value else Message("no")
    several = value if isinstance(value, tuple) else (str(value)[:80],)
    said = (Message(str(v)) if v in known.choices else str(v) for v in several)
    return Message("“{said}”", said=joined(", ", said))


def _namer(visit: Visit, noun: Noun, name: str) -> Entry | None:
    """The latest entry of the visit that names a field."""
    found = None
    for entry in visit.entries:
        said = said_by(entry)
        if type(said) is type(noun) and name in said.model_fields_set and _same_part(said, noun):
            found = entry
    return found


def _same_part(one: Noun, other: Noun) -> bool:
    return all(getattr(one, n, None) == getattr(other, n, None) for n in WHICH)


def _overtaken(
    said: Noun, was: Noun | None, now: Noun | None, visit: Visit, system: System
) -> tuple[Problem, ...]:
    """Fields changed here that someone else changed to something else meanwhile."""
    if now is None:
        return ()
    problems = []
    for known in fields_of(type(said)):
        name = known.name
        before = getattr(was, name) if was is not None else known.default
        stands = getattr(now, name)
        if name not in said.model_fields_set or name in WHICH:
            continue
        if alike(stands, before) or alike(stands, getattr(said, name)):
            continue
        entry = _namer(visit, said, name)
        values = {
            "label": Message(known.label),
            "who": (entry.who if entry else "") or Message("someone"),
            "now": _said(now, name, system),
            "said": _said(said, name, system),
        }
        sentence = (
            Message(
                "{label}: since you opened this, {who} entered {now} at {at:%H:%M} UTC; you "
                "entered {said}. Send it again to replace it with yours.",
                at=entry.at,
                **values,
            )
            if entry
            else Message(
                "{label}: since you opened this, {who} entered {now}; you entered {said}. Send it "
                "again to replace it with yours.",
                **values,
            )
        )
        problems.append(Problem(name, sentence))
    return tuple(problems)


class EditConflict(BadInput):
    """Someone changed the same fields since this form was opened; nothing is saved."""

    def __init__(self, problems: tuple[Problem, ...], was: str) -> None:
        """Say what stands now, and what the form is to count as filled with from here on."""
        super().__init__(joined(" ", (p.sentence for p in problems)), problems)
        self.was = was


@dataclass(frozen=True)
class FormSent:
    """The form that entries come from."""

    act: str = ""
    """Its id, made when it was drawn; a form kept once saves nothing more."""
    was: str = ""
    """JSON of what it was filled with; blank where it was not filled from the record."""
    system: System = "metric"
    """Units that whoever sent it reads."""
    count: Iterator[int] = field(default_factory=itertools.count, compare=False)

    def next_act(self, *entries: Entry) -> str:
        """Id of the next entries that this form makes: alike only where they say the same.

        Sent twice by a second tap it says the same and is kept once; gone back to, changed and
        sent, it says something else.
        """
        if not self.act:
            return ""
        said = hashlib.sha256()
        for entry in entries:
            said.update(f"{entry.pump}\n{entry.kind}\n{entry.who}\n{entry.payload}\n".encode())
        return f"{self.act}.{next(self.count)}.{said.hexdigest()[:16]}"

    @property
    def filled(self) -> bool:
        """Whether it says what it was filled with."""
        return bool(self.was)


def changed(
    kind: EntryKind, noun: Noun, visit: Visit, sent: FormSent, *, own: Sequence[Entry] = ()
) -> Noun | None:
    """What a form changed in a visit; ``None`` where nothing did.

    All that was given counts where the form does not say what it was filled with.

    Args:
        kind: of the entry.
        noun: what the form says.
        visit: as it stands.
        sent: the form.
        own: what this form has kept before, if it was gone back to.

    Raises:
        EditConflict: someone changed the same fields since the form was opened.
    """
    if kind not in BY_FIELD or not sent.filled:
        return noun
    was = _was(type(noun), sent.was)
    for entry in own:
        mine = said_by(entry)
        if mine is not None and isinstance(mine, type(noun)):
            was = mine if was is None else overlaid(was, mine)
    said = change(was, noun, always=WHICH)
    now = latest_of(visit, noun)
    if said is None:
        return noun if now is None else None
    overtaken = _overtaken(said, was, now, visit, sent.system)
    if overtaken and now is not None:
        fields = {p.field for p in overtaken}
        stands = was.model_dump(mode="json") if was else {}
        stands |= {n: v for n, v in now.model_dump(mode="json").items() if n in fields}
        raise EditConflict(overtaken, json.dumps(stands))
    return said
