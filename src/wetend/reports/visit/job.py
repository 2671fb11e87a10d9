"""Report sections on the site, mixed coating and incidents."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import for_screen
from wetend.pump.site import Flushed, Incident, Mixed, SiteFacts
from wetend.reports.blocks import Block, Pairs, Prose, Section, Warnings
from wetend.reports.field_text import moment, rows
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.quantity import SAsHours, unit_of
from wetend.units.show import show


def warned(cautions: Iterable[Caution]) -> tuple[Warnings, ...]:
    """Cautions as a block, one a hazard, the gravest first; nothing where there are none."""
    said = for_screen(*cautions)
    rows = tuple(Caution(c.text, c.grade, c.hazard) for c in said)
    return (Warnings(rows),) if rows else ()


def _batch(each: Mixed | Flushed, system: System) -> tuple[str, str]:
    if isinstance(each, Flushed):
        return Message("flushed"), moment(each.at)
    life = show(each.pot_life, unit_of(SAsHours), system) if each.pot_life else Message("not known")
    return Message("mixed"), Message("{at}, pot life {life}", at=moment(each.at), life=life)


def site_section(
    site: SiteFacts | None, batches: Sequence[Mixed | Flushed], cautions: Sequence[Caution],
    system: System,
) -> Section | None:  # fmt: skip
    """What the site asked for, when coating was mixed and flushed out, and what that means now."""
    kept = rows(site, system) if site is not None else ()
    pairs = (*kept, *(_batch(each, system) for each in batches))
    blocks: list[Block] = [*warned(cautions), *((Pairs(pairs, 1),) if pairs else ())]
    return Section(Message("Site and mixed coating"), tuple(blocks)) if blocks else None


def incidents_section(
    incidents: Sequence[tuple[datetime, Incident]], system: System
) -> Section | None:
    """Near misses and injuries, each with what is known of it."""
    blocks: list[Block] = []
    for happened, incident in incidents:
        blocks.append(
            Prose(
                Message("{happened}: {kind}", happened=moment(happened), kind=incident.kind),
                style="strong",
            )
        )
        if incident.said:
            blocks.append(Prose(incident.said))
        known = rows(incident, system, leave_out=("kind", "said", "ago"))
        if known:
            blocks.append(Pairs(known, 1))
    return Section(Message("Near misses and injuries"), tuple(blocks)) if blocks else None
