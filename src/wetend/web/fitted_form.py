"""The form of parts fitted, shown on the inspection and rebuild pages."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from wetend.advice.reasons import Verdict
from wetend.errors import BadInput, Problem
from wetend.pump.usage import FITTED_WORDS, Done, FittedPart, Why
from wetend.units.message import Message, joined
from wetend.web.form_data import ACT_FIELD, WAS_FIELD, Typed
from wetend.web.forms import new_act, sentence
from wetend.web.stage import RejectedForm
from wetend.workflows.fitted import Answer, FittedLine, FittedView, read_answer

KEY = "fitted"
BACK_FIELD = "_back"
_WHYS: Mapping[Why, str] = {
    "worn out": Message("was worn out"),
    "found worn": Message("was found worn"),
    "damaged": Message("was damaged"),
    "planned": Message("by plan"),
}
_LONGEST = 200


def _options(line: FittedLine, chosen: str) -> tuple[tuple[str, str], ...]:
    """All that can be done with a part and why, and what was chosen before if it is none of it."""
    found = {"": Message("Not recorded")}
    found |= {
        Message("new, {why}", why=why): Message("New, {words}", words=words)
        for why, words in _WHYS.items()
    }
    if line.may_turn:
        found |= {
            Message("turned, {why}", why=why): Message("Turned, {words}", words=words)
            for why, words in _WHYS.items()
        }
    found |= {"put back": Message("Refitted as it was"), "not touched": Message("Not touched")}
    strange = {} if chosen in found else {chosen: sentence(chosen)}
    return tuple((strange | found).items())


@dataclass(frozen=True)
class Row:
    """One part on the form."""

    part: FittedPart
    title: str
    verdict: Verdict | None
    because: str
    recorded: bool
    options: tuple[tuple[str, str], ...]
    chosen: str
    note: str
    """As recorded; carried along."""
    fault: str


@dataclass(frozen=True)
class FittedForm:
    """The form as shown."""

    action: str
    back: str
    act: str
    was: str
    on: str
    rows: tuple[Row, ...]
    """Parts that the visit speaks of."""
    others: tuple[Row, ...]
    faults: tuple[tuple[str, str], ...]

    @property
    def recorded(self) -> bool:
        """Whether anything is recorded yet."""
        return any(row.recorded for row in (*self.rows, *self.others))


def _said(done: Done | None, why: Why) -> str:
    """An answer as the form's option has it."""
    return (
        Message("{done}, {why}", done=done, why=why) if done in ("new", "turned") else (done or "")
    )


def _row(line: FittedLine, again: RejectedForm | None) -> Row:
    chosen, note, fault = _said(line.done, line.why), line.kept.note if line.kept else "", ""
    if again is not None:
        chosen, note = (again.typed.last(f"{name}.{line.part}") for name in ("did", "note"))
        problems = again.bad.problems if again.bad else ()
        fault = joined(" ", (p.sentence for p in problems if p.field == line.part))
    return Row(
        line.part, sentence(line.title), line.proposal.verdict, line.proposal.because,
        line.kept is not None, _options(line, chosen), chosen, note, fault,
    )  # fmt: skip


def fitted_form(seen: FittedView, back: str, again: RejectedForm | None) -> FittedForm:
    """The form filled with what is recorded, else with what the verdicts propose."""
    mine = again if again is not None and again.key == KEY else None
    kept = {line.part: [_said(line.kept.done, line.kept.why), line.kept.note]
            for line in seen.lines if line.kept}  # fmt: skip
    rows = [(line, _row(line, mine)) for line in seen.lines]
    problems = mine.bad.problems or (Problem("", str(mine.bad)),) if mine and mine.bad else ()
    return FittedForm(
        action=f"/visits/{seen.visit.id}/fitted", back=back,
        act=(mine.typed.last(ACT_FIELD) if mine else "") or new_act(),
        was=mine.typed.last(WAS_FIELD) if mine else json.dumps(kept),
        on=mine.typed.last("on") if mine else seen.on.isoformat(),
        rows=tuple(row for line, row in rows if line.at_hand or row.fault),
        others=tuple(row for line, row in rows if not (line.at_hand or row.fault)),
        faults=tuple((f"{KEY}-{p.field}" if p.field else "", p.sentence) for p in problems),
    )  # fmt: skip


def _answer(part: FittedPart, did: str, note: str) -> Answer:
    answer = read_answer(part, did[:_LONGEST])[1]
    if len(note) > _LONGEST:
        raise BadInput(
            Message(
                "{capitalize}: the note is too long.", capitalize=FITTED_WORDS[part].capitalize()
            )
        )
    return replace(answer, note=note.strip() if answer.done else "")


def read_answers(typed: Typed) -> dict[FittedPart, Answer]:
    """What the form says of every part.

    Raises:
        BadInput: a problem a part.
    """
    found: dict[FittedPart, Answer] = {}
    problems = []
    for part in FITTED_WORDS:
        try:
            found[part] = _answer(part, typed.last(f"did.{part}"), typed.last(f"note.{part}"))
        except BadInput as bad:
            problems.append(Problem(part, str(bad)))
    if problems:
        raise BadInput(joined(" ", (p.sentence for p in problems)), tuple(problems))
    return found


def read_was(typed: Typed) -> Mapping[FittedPart, Answer]:
    """What the form was filled with from the record; nothing where that can't be read."""
    try:
        was = json.loads(typed.last(WAS_FIELD) or "{}")
        return {
            part: _answer(part, *(str(v) for v in was[part]))
            for part in FITTED_WORDS
            if part in was
        }
    except (ValueError, TypeError, RecursionError, BadInput):
        return {}


def read_on(typed: Typed) -> date | None:
    """The day the parts went in; ``None`` where the box is blank.

    Raises:
        BadInput: it is no day.
    """
    text = typed.last("on").strip()
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as error:
        said = Message("“{text}” is not a date; write it like 2031-05-04.", text=text[:30])
        raise BadInput(said, (Problem("on", said),)) from error
