"""First suspicion from what is seen, before any figure is read: the trade's symptom table."""

from __future__ import annotations

from wetend.advice.diagnosis.answers import Suspicion
from wetend.advice.faults.record import Fault, Sign
from wetend.advice.faults.tables import FAULTS
from wetend.pump.readings import Complaint, Sight
from wetend.units.message import joined


def signs_of(sight: Sight) -> dict[Fault, Sign]:
    """The faults that a sight points to, the first to be named first."""
    pointed = {fault: fault.signs[sight] for fault in FAULTS if sight in fault.signs}
    return dict(sorted(pointed.items(), key=lambda item: item[1].place))


def suspect(complaint: Complaint) -> tuple[Suspicion, ...]:
    """First suspicions from the complaint, the one with most signs first.

    By the trade's symptom table (common practice, no source). One suspicion a fault; its ``why``
    gives every sign that points there. Nothing seen gives nothing.

    >>> [s.fault.title for s in suspect(Complaint(seen=("down-stroke quick",)))]
    ['foot valve not holding']
    """
    told: dict[Fault, list[str]] = {}
    for sight in dict.fromkeys(complaint.seen):
        for fault, sign in signs_of(sight).items():
            told.setdefault(fault, []).append(sign.why)
    ranked = sorted(told.items(), key=lambda item: -len(item[1]))
    return tuple(Suspicion(fault, joined(" ", whys)) for fault, whys in ranked)
