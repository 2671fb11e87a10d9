"""Hand-over as acts: settings, then the signature."""

from __future__ import annotations

from collections.abc import Iterator

from wetend.advice.safety.hazards import caution
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.workflows.acts.act import Act
from wetend.workflows.standing import standing_of

_ANYWAY = ("reason", "crew_told", "tagged")


def acts(visit: Visit) -> Iterator[Act]:
    """The settings asked for, and the signature under what the proof says."""
    yield Act(
        "set-up", "handover", Message("Enter the height of the gun and the guns at once"),
        "set-up", ("hose_lift", "guns"),
        ("spray_pressure", "temperature", "nozzle_orifice", "pumped_since_repack"),
        minutes=1.0, done=visit.set_up is not None, due=visit.coating is not None,
    )  # fmt: skip
    now = standing_of(visit)
    yield Act(
        "sign", "handover", Message("Show the crew, then sign"), "sign-off",
        (*(_ANYWAY if now.needs_reason else ()), "received_by"),
        ("technician", "found", "fitted", "watch", "come_back", "cycle_rate"), minutes=3.0,
        cautions=(caution("rags"),), done=visit.sign_off is not None,
        why=now.why if now.needs_reason else "",
    )  # fmt: skip
