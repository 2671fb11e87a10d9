"""Step marks from one or several devices, in any order of arrival.

A mark counts if zero stood for whoever made it at the moment it was made. One that arrives late is
judged by that moment, not by now; one made after zero had lapsed is refused, and the others of its
batch are kept.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import groupby
from typing import Final

from wetend.advice.safety.zero import Zero, standing
from wetend.errors import BadInput, NotSafe
from wetend.pump.readings import RebuildProgress, StripProgress
from wetend.records.entries import EntryKind, new_entry
from wetend.records.fold import Visit, decided_at
from wetend.units.message import Message
from wetend.units.suggestions import near_or_all
from wetend.workflows.desk import KEEPING, Desk
from wetend.workflows.zero import must_stand, record_of_visit

SLACK: Final = timedelta(seconds=30)
"""How far apart two marks must be made for their times to count: those that come sooner after one
another count in the order they came, as each takes its while on the way."""
Progress = type[StripProgress] | type[RebuildProgress]
Steps = Callable[[Visit], tuple[tuple[str, ...], Collection[str]]]
_KINDS: dict[Progress, EntryKind] = {
    StripProgress: "strip-progress", RebuildProgress: "rebuild-progress",
}  # fmt: skip
_HAS_NO_STEP: dict[Progress, str] = {
    StripProgress: Message("This strip has no step “{step}”; {known}"),
    RebuildProgress: Message("This rebuild has no step “{step}”; {known}"),
}


@dataclass(frozen=True)
class Mark:
    """A step marked done, or a mark withdrawn."""

    step: str
    done: bool = True
    at: datetime | None = None
    """When it was made, by this machine's clock; ``None`` is now."""


@dataclass(frozen=True)
class Refusal:
    """A mark that is not kept, and why."""

    step: str
    why: str
    unsafe: bool = True
    """Zero did not stand; else there is no such step."""


@dataclass(frozen=True)
class Marked:
    """What became of a batch of marks."""

    visit: Visit
    zero: Zero
    """Whether zero is proven now for whoever sent them."""
    refused: tuple[Refusal, ...]


def changed(
    so_far: Sequence[str], done: Sequence[str], undone: Sequence[str]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is newly done and what is withdrawn, each once; a step in both is withdrawn.

    >>> changed(("a", "b"), ("c", "a"), ("b", "d"))
    (('c',), ('b',))
    """
    more = tuple(k for k in dict.fromkeys(done) if k not in so_far and k not in undone)
    return more, tuple(k for k in dict.fromkeys(undone) if k in so_far)


def keep_marks(
    desk: Desk, visit_id: str, marks: Iterable[Mark], *, progress: Progress, steps: Steps
) -> Marked:
    """Save those of a batch of marks that were made while zero stood; refuse the others.

    The same marks again change nothing and are never refused; nor is one that was made before what
    was decided since of its step.

    Args:
        desk: who made them.
        visit_id: the visit.
        marks: in any order.
        progress: what they are kept as.
        steps: of a visit the steps that stand done, and every step there is.
    """
    with KEEPING:
        now = datetime.now(UTC)
        visit = desk.visit(visit_id)
        record, (so_far, known) = record_of_visit(visit), steps(visit)
        decided, last = decided_at(visit, progress), _last_mark(visit, progress, desk.who)
        entries, refused = [], []
        timed = sorted(
            (m for m in marks if m.at is None or not _over(m, decided(m.step))),
            key=lambda m: min(m.at or now, now),
        )
        for at, group in groupby(timed, key=lambda m: min(m.at or now, now)):
            batch = list(group)
            more, back = changed(
                so_far, [m.step for m in batch if m.done], [m.step for m in batch if not m.done]
            )
            strange = [key for key in more if key not in known]
            refused += [
                Refusal(
                    key,
                    Message(
                        _HAS_NO_STEP[progress],
                        step=key[:60],
                        known=near_or_all(key, known, Message("it has")),
                    ),
                    unsafe=False,
                )
                for key in strange
            ]
            more = tuple(key for key in more if key not in strange)
            zero = standing(record, desk.who, None if at == now else at)
            if not zero.stands:
                refused += [Refusal(key, zero.line) for key in (*more, *back)]
            elif more or back:
                so_far = tuple(k for k in (*so_far, *more) if k not in back)
                made = _in_turn(at, last)
                last = max(last, made)
                entries.append(new_entry(
                    _KINDS[progress], progress(done=more, undone=back), pump=visit.pump.key,
                    visit=visit.id, who=desk.who, place=desk.place, device=desk.device, at=made,
                ))  # fmt: skip
        if entries:
            desk.keep_all(entries)
            visit = desk.visit(visit_id)
    return Marked(visit, standing(record, desk.who), tuple(refused))


def _last_mark(visit: Visit, progress: Progress, who: str) -> datetime:
    """When this person marked a step last."""
    kind = _KINDS[progress]
    made = (e.at for e in visit.entries if e.kind == kind and e.who == who)
    return max(made, default=datetime.min.replace(tzinfo=UTC))


def _in_turn(at: datetime, last: datetime) -> datetime:
    """When a mark counts as made: after one of the same person's that came before it."""
    return last + timedelta(microseconds=1) if at <= last <= at + SLACK else at


def _over(mark: Mark, decided: datetime | None) -> bool:
    """Whether something was decided of its step after a mark was made."""
    return decided is not None and mark.at is not None and mark.at < decided - SLACK


def all_kept(marked: Marked) -> Visit:
    """The visit, where every mark was kept.

    Raises:
        BadInput: a step there is not.
        NotSafe: zero did not stand when it was made; what was made while it stood is kept.
    """
    for refusal in marked.refused:
        if not refusal.unsafe:
            raise BadInput(refusal.why)
        must_stand(marked.zero)
        raise NotSafe(Message("{why} Mark it again now if it is done.", why=refusal.why))
    return marked.visit


def as_marks(done: Iterable[str], undone: Iterable[str]) -> tuple[Mark, ...]:
    """Marks made now: steps done, and marks withdrawn."""
    return (*(Mark(key) for key in done), *(Mark(key, done=False) for key in undone))
