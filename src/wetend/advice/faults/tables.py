"""What is read off the records of all faults, made once: columns, jobs, names, sights."""

from __future__ import annotations

from collections.abc import Mapping

from wetend.advice.faults.catalogue import EVERY
from wetend.advice.faults.record import (
    Cause,
    Drop,
    Extent,
    Fault,
    Gap,
    Mending,
    MotionFault,
)
from wetend.units.quantity import Ratio

FAULTS: tuple[Fault, ...] = tuple(sorted(EVERY, key=lambda fault: min(fault.causes)))
"""In the order of their first columns."""
FAULT: Mapping[str, Fault] = {fault.id: fault for fault in FAULTS}
"""Faults by id."""
BY_TITLE: Mapping[str, Fault] = {fault.title: fault for fault in FAULTS}
"""Faults by what they are called."""
CAUSES: tuple[Cause, ...] = tuple(sorted(cause for fault in EVERY for cause in fault.causes))
"""By column."""
CAUSE: Mapping[str, Cause] = {cause.id: cause for cause in CAUSES}
"""Causes by id."""
FAULT_OF: Mapping[Cause, Fault] = {cause: fault for fault in FAULTS for cause in fault.causes}
"""The fault that each cause makes."""
INSIDE: tuple[Fault, ...] = tuple(fault for fault in FAULTS if fault.inside)
"""Faults that need the wet end opened."""
GAPS: Mapping[Cause, Gap] = {c: c.effect for c in CAUSES if isinstance(c.effect, Gap)}
"""Causes that leak."""
DROPS: Mapping[Cause, Drop] = {c: c.effect for c in CAUSES if isinstance(c.effect, Drop)}
"""Causes that let the rod drop; at most one at a time."""
EXTENTS: Mapping[Cause, Extent] = {f.causes[0]: f.size for f in FAULTS if f.size}
"""Sizes of faults that are neither leak nor drop, under the first of their causes."""
MENDINGS: tuple[Mending, ...] = tuple(
    sorted({fault.mending for fault in FAULTS}, key=lambda mending: mending.number)
)
"""Jobs by number."""
MOTION_FAULTS: Mapping[str, MotionFault] = {
    motion.name: motion for fault in EVERY for cause in fault.causes for motion in cause.motion
}
"""What can be put into the pump in motion, by name, in the order offered."""
CARRIED_AWAY: Mapping[str, Mapping[Cause, Ratio]] = {
    key: {c: c.carried_away[key] for c in CAUSES if key in c.carried_away}
    for key in dict.fromkeys(key for cause in CAUSES for key in cause.carried_away)
}
"""By what is read of it, the share of each cause that a check carries away."""
NEVER_TOGETHER: frozenset[frozenset[Cause]] = frozenset(
    frozenset((cause, other))
    for cause in CAUSES
    for other in CAUSES
    if cause != other and (FAULT_OF[cause] is FAULT_OF[other] or other.id in cause.not_with)
)
"""Pairs that are never there at once: two causes of one fault, and those that say so."""
