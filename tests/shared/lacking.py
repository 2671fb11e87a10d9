"""What the record of a fault still lacks, or says that can't be, in words for who writes it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import fields

from wetend.advice.faults.record import Alters, Cause, Drop, Fault, Gap
from wetend.advice.pump_physics import Condition

_FIGURES = frozenset(field.name for field in fields(Condition))
_MOST_CHANCE = 0.8


def lacking(fault: Fault, others: Sequence[Fault]) -> tuple[str, ...]:
    """Sentences on what is missing or wrong in a record; none is as it should be.

    Args:
        fault: to be looked at.
        others: all other faults.
    """
    told = [*_of_itself(fault), *_beside(fault, others)]
    for cause in fault.causes:
        told += _of_cause(cause, fault)
    return tuple(told)


def missing_numbers(faults: Sequence[Fault]) -> tuple[str, ...]:
    """Numbers left out among the causes and among the jobs of all faults."""
    causes = {cause.number for fault in faults for cause in fault.causes}
    jobs = {fault.mending.number for fault in faults}
    return tuple(
        f"{what} leave out number {number}: the next new one is {number}"
        for what, used in (("causes", causes), ("jobs", jobs))
        for number in sorted(set(range(max(used) + 1)) - used)
    )


def _of_itself(fault: Fault) -> Iterator[str]:
    for name in ("id", "title", "short", "open_first"):
        if not getattr(fault, name).strip():
            yield f"{fault.id or fault.title}: {name} is blank"
    if not fault.causes:
        yield f"{fault.id}: it has no cause"
    if not fault.signs:
        yield f"{fault.id}: no sight of the crew's points to it (signs)"
    total = sum(share for share, _ in fault.wants)
    if not math.isclose(total, 1.0, abs_tol=1e-9):
        yield f"{fault.id}: the shares of what it wants add up to {total:g}, not 1 (wants)"
    sized = all(isinstance(cause.effect, Gap | Drop) for cause in fault.causes)
    if not sized and fault.size is None:
        yield f"{fault.id}: neither leak nor drop, so its size has to be said (size)"
    if fault.inside != (fault.mending.goal is not None):
        yield f"{fault.id}: inside the wet end or not, its job says otherwise (mending.goal)"
    cleared = any(cause.carried_away for cause in fault.causes)
    if cleared != (fault.lump is not None):
        yield f"{fault.id}: what a check carries away has words, and nothing else (lump)"
    names = [motion.name for cause in fault.causes for motion in cause.motion]
    if fault.played_as and fault.played_as not in names:
        yield f"{fault.id}: {fault.played_as!r} is none of {', '.join(names)} (played_as)"


def _of_cause(cause: Cause, fault: Fault) -> Iterator[str]:
    where = f"{fault.id}, cause {cause.id}"
    if not 0.0 < cause.chance <= _MOST_CHANCE:
        yield f"{where}: its chance lies between 0 and {_MOST_CHANCE:g}"
    if len(fault.causes) > 1 and not cause.words:
        yield f"{where}: one of several causes needs a name (words)"
    if fault.inside and not cause.parts:
        yield f"{where}: inside the wet end, so some part is to be marked (parts)"
    if not cause.motion:
        yield f"{where}: it can't be put into the pump in motion (motion)"
    for motion in cause.motion:
        if not 0.0 < motion.typical <= motion.most:
            yield f"{where}: {motion.name} is typically between nothing and its most (motion)"
    effect = cause.effect
    if isinstance(effect, Gap | Alters) and effect.name not in _FIGURES:
        yield f"{where}: a condition has no figure {effect.name!r} (effect)"
    by_share = [key for key, shown in cause.shows.items() if shown.by == "share"]
    stands = cause == fault.causes[0] and isinstance(effect, Gap | Drop)
    if (by_share or "wash" in cause.carried_away) and not stands:
        yield f"{where}: only a first cause that leaks or drops has a share of the stroke (shows)"
    if isinstance(effect, Drop):
        slow = effect.slow_cycles or effect.cycles
        if not len(effect.sizes) == len(effect.cycles) == len(slow):
            yield f"{where}: as many cycles as sizes (effect)"


def _beside(fault: Fault, others: Sequence[Fault]) -> Iterator[str]:
    known = [cause for other in others for cause in other.causes]
    for other in others:
        for name in ("id", "title", "short"):
            if getattr(fault, name) == getattr(other, name):
                yield f"{fault.id}: {other.id} has the same {name}"
        same = fault.mending.number == other.mending.number
        if same and fault.mending != other.mending:
            yield f"{fault.id}: job {other.mending.number} is {other.mending.title!r} already"
    for cause in fault.causes:
        for one in known:
            if cause.number == one.number:
                yield f"{fault.id}, cause {cause.id}: number {one.number} is {one.id}'s"
            if cause.id == one.id:
                yield f"{fault.id}, cause {cause.id}: another goes by that id"
            drops = isinstance(cause.effect, Drop) and isinstance(one.effect, Drop)
            if drops and one.id not in cause.not_with and cause.id not in one.not_with:
                yield f"{fault.id}, cause {cause.id}: never there with {one.id} (not_with)"
        ids = {one.id for one in known} | {one.id for one in fault.causes}
        for name in cause.not_with:
            if name not in ids:
                yield f"{fault.id}, cause {cause.id}: there is no cause {name!r} (not_with)"
