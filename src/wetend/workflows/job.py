"""Site and coating context of a visit: emergency number, pot-life clock, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import for_screen
from wetend.advice.safety.pot_life import PotLife, clock_of
from wetend.advice.safety.site_hazards import (
    coating_cautions,
    pot_life_cautions,
    site_cautions,
    solvent_cautions,
)
from wetend.errors import BadInput
from wetend.pump.guesses import guess_line
from wetend.pump.site import Flushed, Mixed, SiteFacts
from wetend.records.entries import said_by
from wetend.records.fold import Visit
from wetend.units.message import Message, joined
from wetend.units.quantity import K, SAsMinutes
from wetend.workflows.desk import Desk

LOOKED_THROUGH = 200
"""Sites' facts looked through for those of a site visited before."""
_WET = frozenset({"checks", "prove"})
"""Stages whose head says what the coating itself can do; the others say it at the act."""
_STANDS = frozenset({"checks", "strip", "handover"})
"""Stages that say of a two-pack coating that it sets, though nobody said when it was mixed."""


@dataclass(frozen=True)
class Job:
    """The header of every page of a visit."""

    site: SiteFacts
    clock: PotLife | None
    sets: bool
    """Whether the coating is one that sets once mixed."""
    cautions: tuple[Caution, ...]
    """One a hazard, the gravest first."""
    guesses: str = ""
    """What the stage's results hang on that is guessed, in a sentence; blank where nothing is."""


def _warmth(visit: Visit) -> K | None:
    """The coating's temperature as read last."""
    read = visit.readings.temperature if visit.readings else None
    asked = visit.set_up.temperature if visit.set_up else None
    return max((t for t in (read, asked) if t is not None), default=None)


def clock_at(visit: Visit, now: datetime | None = None) -> PotLife | None:
    """The pot-life clock of an open visit; a signed one is the crew's again."""
    if visit.closed:
        return None
    return clock_of(visit.batches, now or datetime.now(UTC), temperature=_warmth(visit))


def job_of(visit: Visit, stage: str = "", *, now: datetime | None = None) -> Job:
    """What the site, the coating and the clock say at one stage of a visit."""
    clock, coating = clock_at(visit, now), visit.coating
    cautions = list(site_cautions(visit.site))
    if clock is not None or (stage in _STANDS and not visit.closed):
        cautions += pot_life_cautions(coating, clock)
    if stage in _WET and not visit.closed:
        cautions += coating_cautions(coating)
    if coating is not None and not visit.closed:
        cautions += solvent_cautions(coating.solvent, visit.pump.aluminium)
    sets = clock is not None or (coating is not None and coating.sets)
    guesses = guess_line(visit.pump, stage)
    return Job(visit.site or SiteFacts(), clock, sets, for_screen(*cautions), guesses)


def save_site(desk: Desk, visit_id: str, facts: SiteFacts) -> Visit:
    """Save what the site asks for and whom to ring."""
    return desk.keep_in_visit("site", facts, visit_id)


def mixed(desk: Desk, visit_id: str, *, ago: SAsMinutes = 0.0) -> Visit:
    """A batch was mixed, now or so many seconds ago; the clock runs from then.

    Raises:
        BadInput: no coating is chosen, or it is known not to set.
    """
    visit = desk.visit(visit_id)
    if visit.coating is None:
        raise BadInput(Message("Choose the coating first, then enter when it was mixed."))
    if visit.coating.two_pack == "no":
        raise BadInput(
            Message(
                "{name} is not a two-pack coating: it has no pot life.", name=visit.coating.name
            )
        )
    if not 0.0 <= ago <= 86_400 * 7:
        raise BadInput(Message("Enter a time from now to seven days ago."))
    at = datetime.now(UTC) - timedelta(seconds=ago)
    batch = Mixed(at=at, pot_life=visit.coating.pot_life, coating=visit.coating.name)
    return desk.keep_in_visit("mixed", batch, visit_id)


def flushed(desk: Desk, visit_id: str) -> Visit:
    """Pump, hose and gun are flushed free of mixed coating."""
    return desk.keep_in_visit("flushed", Flushed(at=datetime.now(UTC)), visit_id)


def known_of_site(desk: Desk, site: str) -> SiteFacts | None:
    """What was said last of a site of this name, its permit left out: that ends with its visit."""
    wanted = joined(" ", site.casefold().split())
    if not wanted:
        return None
    seen: set[str] = set()
    for entry in reversed(desk.depot.entries(kinds=("site",))[-LOOKED_THROUGH:]):
        if entry.visit is None or entry.visit in seen or not isinstance(said_by(entry), SiteFacts):
            continue
        seen.add(entry.visit)
        visit = desk.visit(entry.visit)
        named = visit.start.site or visit.pump.site
        if visit.site is not None and " ".join(named.casefold().split()) == wanted:
            return visit.site.model_copy(update={"permit": ""})
    return None


def phones(desk: Desk, visit_ids: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Whom to ring at the sites of some visits: the sites that share a number, and the number."""
    found: dict[str, dict[str, None]] = {}
    for visit_id in visit_ids:
        visit = desk.visit(visit_id)
        if visit.site is not None and visit.site.emergency_phone:
            named = visit.start.site or visit.pump.site or visit.pump.name
            found.setdefault(visit.site.emergency_phone, {})[named] = None
    return tuple((joined("; ", sites), number) for number, sites in found.items())
