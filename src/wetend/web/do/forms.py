"""The form of one act: only its own fields, by the labels and choices of its stage's page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from wetend.records.entries import PAYLOADS
from wetend.records.fold import Visit, latest_of
from wetend.units.fields import fields_of
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.web.checks import READINGS
from wetend.web.complaint import COMPLAINT
from wetend.web.form_data import Texts
from wetend.web.forms import (
    Box,
    Form,
    FormSpec,
    Group,
    Option,
    Section,
    ask,
    default_texts,
    texts_of,
    word_for,
)
from wetend.web.handover import SET_UP, sign_off_asked
from wetend.web.inspect import form_spec as part_spec
from wetend.web.make_safe import form_spec as list_spec
from wetend.web.prove import PROOF
from wetend.web.rebuild import form_spec as stack_spec
from wetend.web.stage import RejectedForm, form_for
from wetend.web.strip import bag_spec
from wetend.workflows.acts.act import Act
from wetend.workflows.standing import opened_since, standing_of
from wetend.workflows.zero import Gate

UNSAID = frozenset(
    {"not looked", "not done", "not tried", "not felt", "not asked", "not yet", "not known", ""}
)
"""Values that say nothing was answered: no act offers them, leaving it or saying why not does."""
_FEW = 4
_IN_BAR = 3
_MORE = "section-0"


@dataclass(frozen=True)
class ActForm:
    """One act's form as shown."""

    form: Form
    boxes: tuple[Box, ...]
    """What the act asks for."""
    more: Group | None
    """What may be entered with it; folded."""
    answers: tuple[Option, ...]
    """Where one choice is all that is asked: its answers, each saves at once."""

    @property
    def in_bar(self) -> bool:
        """Whether all of it is short enough to stand with the button, always in view."""
        short = all(b.control not in ("lines", "pick-many") for b in self.boxes)
        return short and not self.answers and 0 < len(self.boxes) <= _IN_BAR

    @property
    def field(self) -> str:
        """The name that an answer is sent under."""
        return self.boxes[0].name if self.boxes else ""


def _page_spec(act: Act, visit: Visit) -> FormSpec:
    """The form of the act's stage."""
    match act.kind:
        case "complaint":
            return COMPLAINT
        case "check-readings":
            return READINGS
        case "make-safe":
            return list_spec(visit.pump.drive.kind)
        case "tool-bag":
            return bag_spec()
        case "stack":
            return stack_spec(visit.pump)
        case "proof":
            return PROOF
        case "set-up":
            return SET_UP
        case "sign-off":
            return sign_off_asked(standing_of(visit))
        case _:
            return part_spec(act.key)


def _choices(spec: FormSpec, act: Act) -> dict[str, Mapping[str, str]]:
    """The choices of an act's fields without those that say nothing."""
    own = {name.partition(".")[0] for name in act.fields}
    found = dict(spec.choices)
    for known in fields_of(spec.noun):
        given = found.get(known.name) or {c: word_for(c) for c in known.choices}
        if known.name in own and given:
            found[known.name] = {c: word for c, word in given.items() if c not in UNSAID}
    return found


def spec_of(act: Act, visit: Visit) -> FormSpec:
    """The form that asks for one act's fields."""
    spec = _page_spec(act, visit)
    tops = tuple(dict.fromkeys(n.partition(".")[0] for n in (*act.fields, *act.more)))
    fold = (Section(Message("More to enter"), act.more, folded=True, open=False),)
    keys = spec.keys
    if act.fields[0].startswith("heights."):
        keys = {"heights": {p.name: p.title or p.name for p in visit.pump.stack.parts}}
    return replace(
        spec, key="act", submit=Message("Save, next"), only=tops, keys=keys,
        sections=fold if act.more else (), choices=_choices(spec, act), first=act.fields,
        leave_out=frozenset(),
    )  # fmt: skip


def kept_of(act: Act, visit: Visit, gate: Gate) -> Noun | None:
    """What stands in the record of the form that an act is a part of."""
    if act.kind == "make-safe":
        return gate.begun
    if act.kind is None or act.kind == "sign-off":
        return None
    if act.kind == "proof" and opened_since(visit):
        return None
    part: dict[str, Any] = dict(act.fixed)
    return latest_of(visit, PAYLOADS[act.kind].model_construct(**part))


def _texts(spec: FormSpec, kept: Noun | None, proposed: Noun | None, system: System) -> Texts:
    """What a form is filled with: what is kept, else what is proposed, and no answer unsaid."""
    texts: dict[str, tuple[str, ...]] = dict(default_texts(spec.noun, system))
    for noun in (proposed, kept):
        if noun is not None:
            filled = texts_of(noun, system)
            texts |= {n: t for n, t in filled.items() if "".join(t).strip() not in UNSAID}
    return {n: t for n, t in texts.items() if "".join(t).strip() not in UNSAID}


def act_form(
    act: Act, visit: Visit, gate: Gate, again: RejectedForm | None, *, action: str, system: System,
    proposed: Noun | None = None, signature: Mapping[str, str] | None = None,
) -> ActForm:  # fmt: skip
    """An act's form: as typed, else as kept, else as proposed."""
    spec = spec_of(act, visit)
    kept = kept_of(act, visit, gate)
    if again is not None:
        form = form_for(spec, action, kept, again, system=system)
    else:
        texts = {**_texts(spec, kept, proposed, system)}
        texts |= {name: (text,) for name, text in (signature or {}).items()}
        was = kept.model_dump_json(exclude_unset=True) if kept is not None else "null"
        form = replace(ask(spec, action, texts, system=system), was=was)
    return _split(act, form)


def _split(act: Act, form: Form) -> ActForm:
    more = next((i for i in form.items if isinstance(i, Group) and i.name == _MORE), None)
    flat: list[Box] = []
    for item in form.items:
        if isinstance(item, Box):
            flat.append(item)
        elif isinstance(item, Group) and item is not more:
            flat += [b for b in item.items if isinstance(b, Box)]
    by_name = {b.name: b for b in flat}
    boxes = tuple(by_name[n] for n in act.fields if n in by_name)
    answers: tuple[Option, ...] = ()
    if len(boxes) == 1:
        box = boxes[0]
        if box.control == "tick":
            answers = (Option("yes", Message("Done"), chosen=True),)
        elif box.control in ("pick-one", "list") and len(box.options) <= _FEW:
            answers = box.options
    return ActForm(form, boxes, more, answers)
