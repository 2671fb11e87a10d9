"""Saves one act's reading alone, by its stage's own rules; an act that can't be done; undo."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any, Final, TypeVar, cast

from pydantic import ValidationError

from wetend.advice.safety.zero import same_person
from wetend.errors import BadInput, NotFound, Problem
from wetend.pump.make_safe import MakeSafe
from wetend.pump.proof_readings import ProofReadings, anew
from wetend.pump.readings import CheckReadings
from wetend.pump.skipped import ActSkipped
from wetend.records.entries import PAYLOADS, Entry, EntryKind
from wetend.records.fold import Visit
from wetend.units.fields import explain, read
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.workflows import checks, complaint, handover, inspect, prove, rebuild, strip, zero
from wetend.workflows import record as entered
from wetend.workflows.acts.act import Act
from wetend.workflows.desk import Desk
from wetend.workflows.standing import opened_since

NounT = TypeVar("NounT", bound=Noun)
_SAVES: Final[Mapping[EntryKind, Callable[[Desk, str, Any], Visit]]] = {
    "complaint": complaint.save_complaint, "make-safe": zero.put_to_list,
    "tool-bag": strip.save_bag, "stack": rebuild.save, "set-up": handover.save_set_up,
    "sign-off": handover.sign_off,
    "ball": inspect.save, "seat": inspect.save, "rod": inspect.save, "cylinder": inspect.save,
    "seal-land": inspect.save, "packings": inspect.save, "solvent-test": inspect.save,
}  # fmt: skip
_NOTHING: Final = Message("Enter the reading, or say that it can't be done.")


def _own(act: Act) -> tuple[str, ...]:
    """The fields an act asks for, at the top of its noun."""
    return tuple(dict.fromkeys(name.partition(".")[0] for name in (*act.fields, *act.more)))


def _was(noun: type[NounT], text: str) -> NounT | None:
    with suppress(ValidationError):
        return noun.model_validate_json(text)
    return None


def _put(before: object, now: object) -> object:
    return {**before, **now} if isinstance(before, dict) and isinstance(now, dict) else now


def whole_of(act: Act, said: NounT, was: NounT | None) -> NounT:
    """What an act says, put over what its form was filled with: the other fields stay as they were.

    Raises:
        BadInput: together they make no sense.
    """
    if was is None:
        return said
    own = {*_own(act), *act.fixed}
    values = {n: getattr(was, n) for n in was.model_fields_set if n not in own}
    for name in own:
        now = _put(getattr(was, name), getattr(said, name))
        if name in said.model_fields_set or name in was.model_fields_set:
            values[name] = now
    try:
        return type(said).model_validate(values)
    except ValidationError as error:
        raise explain(error, type(said)) from error


def _refuse_nothing(act: Act, said: Noun) -> None:
    """Refuse an act sent with none of what it asks for."""
    blank = type(said).model_construct()
    if act.kind in ("set-up", "tool-bag", "sign-off", "ball"):
        return  # what they ask for has an answer from the start
    asked = [n.partition(".")[0] for n in act.fields]
    if all(getattr(said, n, None) == getattr(blank, n, None) for n in asked):
        raise BadInput(_NOTHING, (Problem(act.fields[0], _NOTHING),))


def _may(desk: Desk, visit: Visit, act: Act, begun_under: str) -> None:
    """Stop an act that needs zero where it does not stand.

    One that ends with the pump under pressure counts if it was begun while this person's zero of
    this visit stood.

    Raises:
        NotSafe: zero does not stand; the sentence says what ended it.
    """
    if not act.zero:
        return
    now = zero.zero_of(visit, desk.who)
    proofs = zero.record_of_visit(visit).proofs
    begun = any(p.id == begun_under and same_person(p.who, desk.who) for p in proofs)
    if not (act.under_pressure and begun):
        zero.must_stand(now)


def save(
    desk: Desk, visit_id: str, act: Act, said: Noun, *, begun_under: str = ""
) -> tuple[Entry, ...]:
    """Save one act's reading, and nothing else of its stage; twice is once.

    Args:
        desk: who sends it, with the form it comes from.
        visit_id: the visit.
        act: the act.
        said: what was entered, read from that act's fields.
        begun_under: id of the proof of zero that stood when the act was begun.

    Returns:
        The entries it made, to undo it by.

    Raises:
        NotSafe: it needs zero, and that does not stand.
        BadInput: nothing was entered, or it can't be of this pump.
    """
    visit = desk.visit(visit_id)
    _may(desk, visit, act, begun_under)
    if act.kind is None:
        raise BadInput(Message("This step is marked on its own page."))
    _refuse_nothing(act, said)
    seen = {e.id for e in visit.entries}
    if act.kind == "make-safe":
        after = zero.put_to_list(desk, visit_id, _line(act, cast(MakeSafe, said)))
    else:
        was = _was(PAYLOADS[act.kind], desk.sent.was)
        after = _saved(desk, visit, act, whole_of(act, said, was))
    return tuple(e for e in after.entries if e.id not in seen)


def _line(act: Act, said: MakeSafe) -> MakeSafe:
    """Only the lines that this act is of."""
    own = {n: getattr(said, n) for n in _own(act) if n in said.model_fields_set}
    return MakeSafe.model_validate(own)


def _saved(desk: Desk, visit: Visit, act: Act, noun: Noun) -> Visit:
    if isinstance(noun, CheckReadings):
        left = tuple(k for k in noun.could_not if k != act.key)
        if left != noun.could_not:  # done after all
            noun = CheckReadings.model_validate(
                {n: getattr(noun, n) for n in noun.model_fields_set} | {"could_not": left}
            )
        return checks.save(desk, visit.id, noun)
    if isinstance(noun, ProofReadings):
        if opened_since(visit):  # a proof of now: nothing read before the strip counts in it
            noun = anew(noun)
            desk = replace(desk, sent=replace(desk.sent, was=""))
        return prove.save(desk, visit.id, noun)
    assert act.kind is not None
    return _SAVES[act.kind](desk, visit.id, noun)


def skip(desk: Desk, visit_id: str, act: Act, reason: str) -> tuple[Entry, ...]:
    """Say that an act can't be done, and why; a check's diagnosis learns of it too.

    Raises:
        BadInput: no reason is given, or it can't be kept.
    """
    if act.path:
        raise BadInput(
            Message("A step can't be left out: change the tools, and it is planned anew.")
        )
    said = read(ActSkipped, {"act": act.name, "reason": reason})
    if not said.reason:
        why = Message("Say why it can't be done.")
        raise BadInput(why, (Problem("reason", why),))
    before = desk.visit(visit_id)
    seen = {e.id for e in before.entries}
    after = desk.keep_in_visit("act-skipped", said, visit_id)
    if act.kind == "check-readings":
        known = before.readings.could_not if before.readings else ()
        if act.key not in known:
            readings = CheckReadings.model_validate({"could_not": (*known, act.key)})
            plain = replace(desk, sent=replace(desk.sent, was=""))
            after = checks.save(plain, visit_id, readings)
    return tuple(e for e in after.entries if e.id not in seen)


def undo(desk: Desk, visit_id: str, act: Act, entries: Sequence[str]) -> Visit:
    """Take back what an act has just saved; twice is once. A line of the list is unticked.

    Raises:
        NotFound: an entry that is not of this visit.
    """
    visit = desk.visit(visit_id)
    own = {e.id: e for e in visit.entries}
    strange = [e for e in entries if e not in own]
    if strange or not entries:
        raise NotFound(Message("There is nothing of this visit to undo here."))
    for entry_id in entries:
        if own[entry_id].kind == "make-safe":
            blank = MakeSafe()
            off = MakeSafe.model_validate({n: getattr(blank, n) for n in _own(act)})
            zero.put_to_list(desk, visit_id, off)
        else:
            entered.withdraw(desk, entry_id, Message("undone"))
    return desk.visit(visit_id)
