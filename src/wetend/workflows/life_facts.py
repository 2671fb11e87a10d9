"""Cached facts on the lives of a depot's pumps, computed once per state of the record."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from time import monotonic

from wetend.advice.diagnosis.causes import REBUILT_LATELY
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULTS
from wetend.advice.life.learned import FleetLives, learn
from wetend.advice.life.records import Life
from wetend.advice.life.remaining import RemainingLife, remaining
from wetend.advice.life.what_if import leanings
from wetend.advice.stores.stock import UseKey
from wetend.keeping import MB, Keep
from wetend.pump.usage import LifePart
from wetend.records.entries import Entry, EntryKind
from wetend.records.fold import Visit
from wetend.records.store import Depot
from wetend.units.message import Message
from wetend.units.quantity import Ratio
from wetend.workflows.desk import Desk
from wetend.workflows.learned_shelf import SHELF
from wetend.workflows.pump_facts import Duties, PumpFacts, coatings_of, day_of, facts_from

KINDS: tuple[EntryKind, ...] = (
    "pump-described", "visit-started", "coating", "usage", "part-fitted", "cylinder", "rod",
    "nozzle", "check-readings", "set-up", "sign-off", "pump-removed", "withdrawn",
)  # fmt: skip
"""Kinds of entry that lives are calculated from."""
_AGAIN = 10.0
"""Seconds after which a record is counted again."""
_SETTLED = 500
"""Failures from which a single one more is not worth learning again."""
_INSIDE: frozenset[LifePart] = frozenset(
    {"foot-ball", "foot-seat", "piston-ball", "piston-seat", "moving-packings", "cylinder", "rod"}
)
_LATELY = 7
"""Days for which a wet end counts as apart lately, if one of these parts was fitted."""
_MOST_LEFT = 600
"""Pumps whose parts' remaining lives are kept, some 80 kB each."""


@dataclass(frozen=True)
class DepotFacts:
    """What is known of every pump of a depot, and what was learned from it."""

    pumps: Mapping[str, PumpFacts]
    fleet: FleetLives
    today: date
    state: tuple[int, str]
    left: dict[str, tuple[RemainingLife, ...]] = field(default_factory=dict, repr=False)
    """What is left of some pumps' parts, filled in as it is asked for: see :func:`of_pump`."""
    uses: dict[UseKey, float] = field(default_factory=dict, repr=False)
    """Parts that these pumps are expected to use within some times, filled in the same way."""

    @property
    def in_use(self) -> dict[str, PumpFacts]:
        """The pumps that are not removed from the lists; what the others lived is learned from."""
        return {key: own for key, own in self.pumps.items() if not own.removed}


def gather(depot: Depot, today: date, state: tuple[int, str]) -> tuple[DepotFacts, Duties]:
    """Every pump's facts, read pump by pump, and what is learned from all of them together."""
    duties = Duties(coatings_of(depot.entries(kinds=("coating",))))
    found = {}
    for key, entries in depot.by_pump(kinds=KINDS):
        own = facts_from(entries, duties, today)
        if own is not None:
            found[key] = own
    lives = [life for own in found.values() for life in own.lives]
    return DepotFacts(found, learn(lives, believing=SHELF.believe), today, state), duties


def _failures(lives: Iterable[Life]) -> int:
    return sum(life.ending != "going" for life in lives)


def refreshed(
    depot: Depot, before: DepotFacts, duties: Duties, fresh: Sequence[Entry],
    state: tuple[int, str],
) -> DepotFacts:  # fmt: skip
    """The facts with newer entries: pumps they speak of are computed again, the others kept.

    What is believed of a part's lives is learned again when those or the sites have changed; in a
    record of many failures, once a hundredth more have come (or the next day).
    """
    duties.coatings.update(coatings_of(e for e in fresh if e.kind == "coating"))
    found = dict(before.pumps)
    for key in {entry.pump for entry in fresh}:
        own = facts_from(depot.entries(pump=key, kinds=KINDS), duties, before.today)
        if own is not None:
            found[key] = own
    lives = tuple(life for own in found.values() for life in own.lives)
    seen = _failures(before.fleet.learned)
    few = seen < _SETTLED or abs(_failures(lives) - seen) > seen / 100
    fleet = (
        learn(lives, before=before.fleet, believing=SHELF.believe)
        if few
        else replace(before.fleet, lives=lives)
    )
    left = _still_left(before, found, fleet)
    uses = {key: used for key, used in before.uses.copy().items() if key[0] in left}
    return DepotFacts(found, fleet, before.today, state, left, uses)


def _still_left(
    before: DepotFacts, pumps: Mapping[str, PumpFacts], fleet: FleetLives
) -> dict[str, tuple[RemainingLife, ...]]:
    """What is left of pumps that nothing new is known of, where as much is believed of lives."""
    was = before.fleet
    alike = fleet.sites == was.sites and all(
        fleet.beliefs[part] is belief for part, belief in was.beliefs.items()
    )
    held = before.left.copy()
    return {k: left for k, left in held.items() if alike and pumps[k] is before.pumps[k]}


@dataclass(eq=False)
class _Known:
    """One depot's facts as of one state of its record."""

    facts: DepotFacts
    duties: Duties
    counted: float
    """When its record was counted last, s of the clock that only goes on."""


_KNOWN = Keep[_Known](Message("lives of a depot's pumps"), most=64 * MB, grows=True, newest=True)


def _at_state(
    depot: Depot, today: date, state: tuple[int, str], before: _Known | None
) -> tuple[DepotFacts, Duties]:
    if before is not None:
        fresh = depot.since(before.facts.state[1], kinds=KINDS)
        if before.facts.state[0] + len(fresh) == state[0]:  # nothing older was merged in
            return refreshed(depot, before.facts, before.duties, fresh, state), before.duties
    return gather(depot, today, state)


def _facts_of(depot: Depot, today: date) -> DepotFacts:
    """The facts as of this state of the record.

    A newer entry is seen at once; older ones merged in from elsewhere within seconds.
    """
    where, now = str(depot.url), monotonic()
    latest = depot.latest(kinds=KINDS)
    before = _KNOWN.peek((where, today))
    recent = before is not None and now - before.counted < _AGAIN
    if before is not None and recent and before.facts.state[1] == latest:
        state = before.facts.state
    else:
        state = depot.state(kinds=KINDS)

    def make() -> _Known:
        _KNOWN.drop((where, today - timedelta(days=1)))  # nobody asks for yesterday's any more
        return _Known(*_at_state(depot, today, state, _KNOWN.peek((where, today))), now)

    def fits(known: _Known) -> bool:
        """Whether it is of this state, or was counted since by another."""
        return known.facts.state == state or known.counted > now

    known = _KNOWN.get((where, today), make, owner=where, fits=fits)
    if not recent and known.facts.state == state:
        known.counted = max(known.counted, now)
    return known.facts


def facts(desk: Desk, *, today: date | None = None) -> DepotFacts:
    """What the depot knows of its pumps' lives; computed again only when an entry was added."""
    return _facts_of(desk.depot, today or datetime.now(UTC).date())


def facts_at_hand(desk: Desk) -> DepotFacts | None:
    """The facts of today where they are computed already; ``None`` where that would take time."""
    known = _KNOWN.peek((str(desk.depot.url), datetime.now(UTC).date()))
    fresh = known is not None and known.facts.state[1] == desk.depot.latest(kinds=KINDS)
    return known.facts if known is not None and fresh else None


def of_pump(known: DepotFacts, key: str) -> tuple[PumpFacts, tuple[RemainingLife, ...]]:
    """One pump's facts and what is left of its parts; calculated once for a state of the record."""
    own, left = known.pumps[key], known.left.get(key)
    if left is None:
        left = remaining(own.pump.site, own.day, known.fleet, own.parts)
        if len(known.left) < _MOST_LEFT:
            known.left[key] = left
    return own, left


def as_signed(desk: Desk, known: DepotFacts, visit: Visit) -> PumpFacts | None:
    """One pump's facts as they stood when a visit was signed off; ``None`` of an open visit.

    What was entered for the visit itself counts even if late; of the rest, what was there before.
    """
    signed = [e for e in visit.entries if e.kind == "sign-off"]
    if visit.sign_off is None or not signed:
        return None
    last = signed[-1]
    entries = desk.depot.entries(pump=visit.pump.key, kinds=KINDS)
    then = [e for e in entries if e.id <= last.id or e.visit == visit.id]
    duties = Duties(coatings_of(e for e in then if e.kind == "coating"))
    return facts_from(then, duties, min(day_of(last.at), known.today))


def apart_lately(own: PumpFacts, today: date) -> bool:
    """Whether the wet end was apart within the last days, by what was fitted inside it."""
    fitted = [
        now.life.fitted for part, now in own.parts.items()
        if part in _INSIDE and now.life is not None and not now.assumed
    ]  # fmt: skip
    return any(0 <= (today - on).days <= _LATELY for on in fitted)


def fault_leanings(desk: Desk, key: str) -> Mapping[Fault, Ratio]:
    """How much likelier than usual some faults are in a pump, by what its parts lived through.

    The wear faults by the parts' lives, and a stack built wrong where the wet end was apart lately.
    A prior for find-the-fault; empty where nothing is known of the pump's parts.
    """
    known = facts(desk)
    own = known.pumps.get(key)
    if own is None or all(now.assumed or now.life is None for now in own.parts.values()):
        return {}
    found = dict(leanings(of_pump(known, key)[1]))
    if apart_lately(own, known.today):
        found |= {fault: REBUILT_LATELY for fault in FAULTS if fault.rebuilt_lately}
    return found
