"""Parts fitted on a visit: entered once and used by sign-off, report, life and stores."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from threading import Lock
from typing import get_args

from pydantic import ValidationError

from wetend.advice.stores.fitted_parts import Proposal, propose, stopped_by
from wetend.errors import BadInput, Problem
from wetend.pump.usage import FITTED_WORDS, TURNS, Done, FittedPart, PartFitted, Why
from wetend.records.corrections import standing
from wetend.records.entries import Entry, Withdrawn
from wetend.records.fold import Visit
from wetend.units.fields import explain
from wetend.units.message import Message, joined
from wetend.units.suggestions import near_or_all
from wetend.workflows.checks import diagnosis_of, leanings_of
from wetend.workflows.days import refuse_future
from wetend.workflows.desk import Desk
from wetend.workflows.inspect import judgements_of
from wetend.workflows.pump_facts import day_of

_BUILT = ("rebuild-progress", "stack", "part-fitted", "proof", "strip-progress")
"""Kinds of entry that say on which day a visit's parts went in, the surest first."""
NOTHING = "nothing"
"""Said of a part to take back what was recorded of it."""
_KEEPING = Lock()


@dataclass(frozen=True)
class FittedLine:
    """One part on the form: what is recorded of it, else what the verdicts propose."""

    part: FittedPart
    title: str
    proposal: Proposal
    kept: PartFitted | None
    """As recorded; ``None`` where nothing is yet."""

    @property
    def done(self) -> Done | None:
        """What the form shows."""
        return self.kept.done if self.kept else self.proposal.done

    @property
    def why(self) -> Why:
        """What the form shows."""
        return self.kept.why if self.kept else self.proposal.why

    @property
    def may_turn(self) -> bool:
        """Whether it has a second face or end."""
        return self.part in TURNS

    @property
    def at_hand(self) -> bool:
        """Whether the visit speaks of it, so that it is shown at once."""
        return bool(self.kept or self.proposal.done or self.proposal.verdict)


@dataclass(frozen=True)
class FittedView:
    """What was done with the parts: the form's whole context."""

    visit: Visit
    lines: tuple[FittedLine, ...]
    on: date
    """The day the parts went in, unless said otherwise."""

    @property
    def missing(self) -> tuple[str, ...]:
        """Parts to be fitted or turned by their verdicts, of which nothing is recorded."""
        return tuple(
            line.title for line in self.lines
            if line.kept is None and line.proposal.verdict
            and line.proposal.done in ("new", "turned")
        )  # fmt: skip


@dataclass(frozen=True)
class Answer:
    """What a person says of one part."""

    done: Done | None
    """``None``: nothing is said; what was recorded is withdrawn."""
    why: Why = "found worn"
    note: str = ""


def read_answer(part: str, text: str) -> tuple[FittedPart, Answer]:
    """One part's answer: ``new, worn out, note``; ``nothing`` takes back what was recorded.

    Raises:
        BadInput: no such part, nothing that can be done, or no such reason.
    """
    known = next((p for p in FITTED_WORDS if p == part.replace("_", "-")), None)
    if known is None:
        raise BadInput(
            Message(
                "“{part}” is not a part; {there_are}",
                part=part[:40],
                there_are=near_or_all(part, FITTED_WORDS),
            )
        )
    said, _, rest = (piece.strip() for piece in text.partition(","))
    if said in ("", NOTHING):
        return known, Answer(None)
    done: Done | None = next((d for d in get_args(Done) if d == said.replace("-", " ")), None)
    if done is None:
        words = joined(", ", get_args(Done))
        raise BadInput(
            Message(
                "{known}: “{said}” can't be done with a part; give {words} or {nothing}.",
                known=_named(known),
                said=said[:40],
                words=words,
                nothing=NOTHING,
            )
        )
    if done not in ("new", "turned"):
        return known, Answer(done, "found worn", rest)
    why, _, note = (piece.strip() for piece in rest.partition(","))
    reason: Why | None = next((w for w in get_args(Why) if w == why), None)
    if why and reason is None:
        whys = joined(", ", get_args(Why))
        raise BadInput(
            Message(
                "{known}: “{why}” is not a reason; give {whys}.",
                known=_named(known),
                why=why[:40],
                whys=whys,
            )
        )
    return known, Answer(done, reason or "found worn", note)


def day_built(visit: Visit) -> date:
    """The day the parts went in: of the latest entry that speaks of it, else when it began."""
    for kind in _BUILT:
        made = [e.at for e in visit.entries if e.kind == kind]
        if made:
            return day_of(max(made))
    return day_of(visit.started)


def _kept(entries: Iterable[Entry]) -> dict[FittedPart, tuple[Entry, PartFitted]]:
    """Of each part the entry that counts."""
    own = (e for e in entries if e.kind in ("part-fitted", "withdrawn"))
    return {s.noun.part: (s.entry, s.noun) for s in standing(own) if isinstance(s.noun, PartFitted)}


def view_of(desk: Desk, visit: Visit) -> FittedView:
    """What is recorded and what the verdicts propose, part by part."""
    found = diagnosis_of(visit, leanings=leanings_of(desk, visit)) if visit.measured else None
    proposals = propose(
        judgements_of(visit), stopped=stopped_by(found.findings if found else ()),
        readings=visit.readings,
    )  # fmt: skip
    kept = {noun.part: noun for noun in visit.fitted}
    days = [noun.on for noun in visit.fitted if noun.on]
    return FittedView(
        visit,
        tuple(FittedLine(p.part, p.title, p, kept.get(p.part)) for p in proposals),
        max(days) if days else day_built(visit),
    )


def view(desk: Desk, visit_id: str) -> FittedView:
    """What is recorded and what the verdicts propose, part by part.

    Raises:
        NotFound: no such visit.
    """
    return view_of(desk, desk.visit(visit_id))


def proposed(seen: FittedView) -> dict[FittedPart, Answer]:
    """The form as it is filled in, to keep it so."""
    return {
        line.part: Answer(line.done, line.why, line.kept.note if line.kept else "")
        for line in seen.lines
        if line.done
    }


def save(
    desk: Desk, visit_id: str, answers: Mapping[FittedPart, Answer], *, on: date | None = None
) -> Visit:
    """Save what was done with some parts, all or nothing; what says the same again adds nothing.

    A part said otherwise corrects what was recorded of it; one of which nothing is said any more is
    withdrawn. Parts left out of ``answers`` stay as they are.

    Raises:
        NotFound: no such visit.
        BadInput: the day is in the future, a part can't be turned, or a field can't be used; a
            problem a part.
    """
    refuse_future(on=on)
    with _KEEPING:
        visit = desk.visit(visit_id)
        kept, day = _kept(visit.entries), on or day_built(visit)
        entries: list[Entry] = []
        problems: list[Problem] = []
        for part, answer in answers.items():
            before = kept.get(part)
            try:
                if answer.done is None:
                    entries += _taken_back(desk, visit, part)
                elif noun := _said(part, answer, on=day, before=before[1] if before else None):
                    corrects = before[0].id if before else None
                    entries.append(
                        desk.new(
                            "part-fitted",
                            noun,
                            pump=visit.pump.key,
                            visit=visit.id,
                            corrects=corrects,
                        )
                    )
            except BadInput as bad:
                problems.append(Problem(part, str(bad)))
        if problems:
            raise BadInput(joined(" ", (p.sentence for p in problems[:5])), tuple(problems))
        desk.keep_all(entries)
    return desk.visit(visit_id)


def _taken_back(desk: Desk, visit: Visit, part: FittedPart) -> list[Entry]:
    """Withdrawals of all that was said of a part, corrected entries too."""
    found: list[Entry] = []
    while (kept := _kept([*visit.entries, *found]).get(part)) is not None:
        reason = Withdrawn(reason=Message("no longer recorded"))
        found.append(
            desk.new("withdrawn", reason, pump=visit.pump.key, visit=visit.id, corrects=kept[0].id)
        )
    return found


def _said(
    part: FittedPart, answer: Answer, *, on: date, before: PartFitted | None
) -> PartFitted | None:
    """What an answer says of a part; ``None`` where it says the same again."""
    if answer.done == "turned" and part not in TURNS:
        raise BadInput(
            Message("{part} can't be turned; choose fitted new or put back.", part=_named(part))
        )
    try:
        noun = PartFitted.model_validate(
            {"part": part, "done": answer.done, "why": answer.why, "on": on, "note": answer.note}
        )
    except ValidationError as error:
        raise BadInput(
            Message("{part}: {error}", part=_named(part), error=explain(error, PartFitted))
        ) from error
    return None if before is not None and _same(before, noun) else noun


def _named(part: FittedPart) -> str:
    return FITTED_WORDS[part].capitalize()


def _same(one: PartFitted, other: PartFitted) -> bool:
    """Whether two say the same of a part; why the old one went matters only where it went."""
    if one.done != other.done or one.note != other.note:
        return False
    days = one.on is None or one.on == other.on
    return days and (not one.begins_a_life or one.why == other.why)


def changed(
    was: Mapping[FittedPart, Answer], now: Mapping[FittedPart, Answer]
) -> dict[FittedPart, Answer]:
    """What a form changed of what it was filled with from the record."""
    nothing = Answer(None)
    parts: Sequence[FittedPart] = tuple(FITTED_WORDS)
    return {
        part: now.get(part, nothing)
        for part in parts
        if now.get(part, nothing) != was.get(part, nothing)
    }
