"""What a depot's record says of its pumps' lives, worked out once for every state of the record."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from statistics import fmean
from threading import Lock
from time import monotonic

from wetend.advice.exposure import Duty, Exposure, Ledger, duty_with, ledger_of
from wetend.advice.fault_finding.causes import REBUILT_LATELY
from wetend.advice.fault_finding.faults import Fault
from wetend.advice.life import FleetLives, PartNow, RemainingLife, learn, remaining
from wetend.advice.life_change import leanings
from wetend.advice.life_records import Fitted, Life, lives_of, since_first
from wetend.advice.nozzle_wear import USUAL_DENSITY, WORN_OUT, grown
from wetend.pump.coating import Coating
from wetend.pump.costs import CREW_DOES
from wetend.pump.description import Pump
from wetend.pump.measurements import CylinderMeasured, RodMeasured
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings
from wetend.pump.usage import LIFE_PARTS, LifePart, NozzleMeasured, PartFitted, Usage
from wetend.records.entries import Entry, EntryKind, said_by
from wetend.records.store import Depot
from wetend.records.threads import Said, standing
from wetend.stats.wear_path import Look
from wetend.units.quantity import KgPerM3, Ratio
from wetend.workflows.desk import Desk

KINDS: tuple[EntryKind, ...] = (
    "pump-described", "visit-started", "coating", "usage", "part-fitted", "cylinder", "rod",
    "nozzle", "check-readings", "sign-off", "withdrawn",
)  # fmt: skip
"""Kinds of entry that lives are reckoned from."""
_Build = tuple[int, ...]
_NAMES = ("key", "name", "site")
_KEPT = 4
_AGAIN = 10.0
"""Seconds after which a record is counted again."""
_SETTLED = 500
"""Failures from which a single one more is not worth learning anew."""
_INSIDE: frozenset[LifePart] = frozenset(
    {"foot-ball", "foot-seat", "piston-ball", "piston-seat", "moving-packings", "cylinder", "rod"}
)
_LATELY = 7
"""Days for which a wet end counts as apart lately, if one of these parts was fitted."""
_MOST_LEFT = 400
"""Pumps whose parts' remaining lives are kept, some 80 kB each."""


@dataclass(frozen=True)
class PumpFacts:
    """What is known of one pump, ready for the sums."""

    pump: Pump
    day: Exposure
    """A mean calendar day of late."""
    lives: tuple[Life, ...]
    repairs: tuple[float, ...]
    """Wear since the record began at each repair."""
    worked: float
    """Wear since the record began until today."""
    parts: Mapping[LifePart, PartNow]
    since: date


@dataclass(frozen=True)
class DepotFacts:
    """What is known of every pump of a depot, and what was learned from it."""

    pumps: Mapping[str, PumpFacts]
    fleet: FleetLives
    today: date
    state: tuple[int, str]
    left: dict[str, tuple[RemainingLife, ...]] = field(default_factory=dict, repr=False)
    """What is left of some pumps' parts, filled in as it is asked for: see :func:`of_pump`."""


def day_of(moment: datetime) -> date:
    """The day a moment lies in, UTC."""
    return moment.astimezone(UTC).date()


def _of(said: Iterable[Said], kind: str) -> list[Said]:
    return [s for s in said if s.entry.kind == kind]


def _coatings(entries: Iterable[Entry]) -> dict[str, Coating]:
    """Every coating ever in a pump here, by key, the latest of each; then the examples."""
    found = {c.key: c for c in demo_coatings()}
    read: set[str] = set()
    for entry in entries:
        if entry.payload in read:
            continue
        read.add(entry.payload)
        noun = said_by(entry)
        if isinstance(noun, Coating):
            found[noun.key] = noun
    return found


class _Duties:
    """What a cycle costs, reckoned once for pumps that are alike."""

    def __init__(self, coatings: Mapping[str, Coating]) -> None:
        self.coatings = dict(coatings)
        self.held: dict[tuple[_Build, str], Duty] = {}
        self.alike: dict[_Build, Pump] = {}

    def _build(self, pump: Pump) -> _Build:
        """Alike for pumps that share their parts, as those read from the record do."""
        build = tuple(id(value) for name, value in pump if name not in _NAMES)
        self.alike.setdefault(build, pump)  # held, so that no other part comes to be of that id
        return build

    def of(self, pump: Pump, keys: Iterable[str]) -> dict[str, Duty]:
        """What a cycle costs with each coating that is known."""
        build = self._build(pump)
        found = {}
        for key in keys:
            if key not in self.coatings:
                continue
            if (build, key) not in self.held:
                self.held[build, key] = duty_with(pump, self.coatings[key])
            found[key] = self.held[build, key]
        return found


def _fitted(said: Sequence[Said]) -> list[Fitted]:
    found = []
    for each in said:
        noun = each.noun
        if isinstance(noun, PartFitted):
            on = noun.on or day_of(each.entry.at)
            found.append(Fitted(noun.part, on, noun.why, noun.turned))
    return found


def _growth(pump: Pump, noun: object, density: KgPerM3) -> tuple[LifePart, float, float] | None:
    """Wear measured, with its standard uncertainty: of the bore, the rod and the nozzle's hole."""
    if isinstance(noun, CylinderMeasured) and noun.diameters:
        return "cylinder", max(fmean(noun.diameters) - pump.cylinder.bore, 0.0), 12e-6
    if isinstance(noun, RodMeasured) and noun.diameters:
        return "rod", max(pump.rod.diameter - fmean(noun.diameters), 0.0), 8e-6
    if isinstance(noun, NozzleMeasured | CheckReadings):
        told = grown(pump.nozzle, noun, density)
        return ("nozzle", *told) if told else None
    return None


def _seen_on(said: Said) -> date:
    """The day something was measured."""
    on = said.noun.on if isinstance(said.noun, NozzleMeasured) else None
    return on or day_of(said.entry.at)


def _limits(pump: Pump) -> dict[LifePart, float]:
    """Most wear of what is measured."""
    return {"cylinder": pump.cylinder.wear_limit, "rod": pump.rod.wear_limit, "nozzle": WORN_OUT}


def _parts(
    pump: Pump, said: Sequence[Said], lives: Sequence[Life], ledger: Ledger
) -> dict[LifePart, PartNow]:
    now = {life.part: PartNow(life) for life in lives if life.ended is None}
    for part in LIFE_PARTS:
        if part not in now:
            assumed = since_first(pump.key, pump.site, ledger, part)
            now[part] = PartNow(assumed, assumed=True)
    limits, density = _limits(pump), USUAL_DENSITY
    for each in said:
        if isinstance(each.noun, Coating):
            density = each.noun.density
        told = _growth(pump, each.noun, density)
        if told is None or told[0] not in now:
            continue
        part, wear, error = told
        life, at = now[part].life, _seen_on(each)
        if life is None or at <= life.fitted:
            continue
        lived = ledger.between(life.fitted, at).wear
        if lived > 0:
            looks = (*now[part].looks, Look(lived, wear, error))
            now[part] = replace(now[part], looks=looks, limit=limits[part])
    return now


def facts_of(pump: Pump, said: Sequence[Said], duties: _Duties, today: date) -> PumpFacts:
    """One pump's facts from what its entries say."""
    usages = [s.noun for s in said if isinstance(s.noun, Usage)]
    fitted = _fitted(said)
    days = [day_of(s.entry.at) for s in said]
    first = min([*days, *(u.first for u in usages), *(f.on for f in fitted), today])
    seen = [s.noun.key for s in said if isinstance(s.noun, Coating)]
    known = duties.of(pump, {*seen, *(u.coating for u in usages if u.coating)})
    usual = known.get(seen[-1]) if seen else None
    ledger = ledger_of(pump, usages, known, first=first, last=today, usual=usual)
    sound = [day_of(s.entry.at) for s in _of(said, "sign-off")]
    lives = lives_of(pump.key, pump.site, ledger, fitted, sound)
    hurt = ("worn out", "found worn", "damaged")
    worn = sorted({f.on for f in fitted if f.why in hurt and f.part not in CREW_DOES})
    return PumpFacts(
        pump=pump, day=ledger.usual, lives=lives,
        repairs=tuple(ledger.between(first, on).wear for on in worn),
        worked=ledger.between(first, today).wear,
        parts=_parts(pump, said, lives, ledger), since=first,
    )  # fmt: skip


def gather(depot: Depot, today: date, state: tuple[int, str]) -> tuple[DepotFacts, _Duties]:
    """Every pump's facts, read pump by pump, and what is learned from all of them together."""
    duties = _Duties(_coatings(depot.entries(kinds=("coating",))))
    found = {}
    for key, entries in depot.by_pump(kinds=KINDS):
        own = _of_entries(entries, duties, today)
        if own is not None:
            found[key] = own
    lives = [life for own in found.values() for life in own.lives]
    return DepotFacts(found, learn(lives), today, state), duties


def _of_entries(entries: Iterable[Entry], duties: _Duties, today: date) -> PumpFacts | None:
    said = standing(entries)
    described = [s.noun for s in said if isinstance(s.noun, Pump)]
    return facts_of(described[-1], said, duties, today) if described else None


def _failures(lives: Iterable[Life]) -> int:
    return sum(life.ending != "going" for life in lives)


def refreshed(
    depot: Depot, before: DepotFacts, duties: _Duties, fresh: Sequence[Entry],
    state: tuple[int, str],
) -> DepotFacts:  # fmt: skip
    """The facts with newer entries: pumps they speak of are worked out anew, the others kept.

    What is believed of a part's lives is learned anew when those or the sites have changed; in a
    record of many failures, once a hundredth more have come (or the next day).
    """
    duties.coatings.update(_coatings(e for e in fresh if e.kind == "coating"))
    found = dict(before.pumps)
    for key in {entry.pump for entry in fresh}:
        own = _of_entries(depot.entries(pump=key, kinds=KINDS), duties, before.today)
        if own is not None:
            found[key] = own
    lives = tuple(life for own in found.values() for life in own.lives)
    seen = _failures(before.fleet.learned)
    few = seen < _SETTLED or abs(_failures(lives) - seen) > seen / 100
    fleet = learn(lives, before=before.fleet) if few else replace(before.fleet, lives=lives)
    return DepotFacts(found, fleet, before.today, state, _still_left(before, found, fleet))


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


class _Shelf:
    """The last few depots' facts, so that a page need not work them out again."""

    def __init__(self) -> None:
        self._held: OrderedDict[tuple[str, date], tuple[DepotFacts, _Duties]] = OrderedDict()
        self._counted: dict[tuple[str, date], float] = {}
        self._lock = Lock()

    def get(self, depot: Depot, today: date) -> DepotFacts:
        """The facts as of this state of the record.

        A newer entry is seen at once; older ones merged in from elsewhere within seconds.
        """
        key = (str(depot.url), today)
        latest = depot.latest(kinds=KINDS)
        with self._lock:
            held = self._held.get(key)
            recent = monotonic() - self._counted.get(key, -_AGAIN) < _AGAIN
            if held is not None and recent and held[0].state[1] == latest:
                return held[0]
            state = depot.state(kinds=KINDS)
            self._counted[key] = monotonic()
            if held is None or held[0].state != state:
                self._held[key] = held = self._worked_out(depot, today, state, held)
            self._held.move_to_end(key)
            while len(self._held) > _KEPT:
                self._counted.pop(self._held.popitem(last=False)[0], None)
            return held[0]

    @staticmethod
    def _worked_out(
        depot: Depot, today: date, state: tuple[int, str],
        held: tuple[DepotFacts, _Duties] | None,
    ) -> tuple[DepotFacts, _Duties]:  # fmt: skip
        if held is not None:
            before, duties = held
            fresh = depot.since(before.state[1], kinds=KINDS)
            if before.state[0] + len(fresh) == state[0]:  # nothing older was merged in
                return refreshed(depot, before, duties, fresh, state), duties
        return gather(depot, today, state)


_SHELF = _Shelf()


def facts(desk: Desk, *, today: date | None = None) -> DepotFacts:
    """What the depot knows of its pumps' lives; worked out anew only when an entry was added."""
    return _SHELF.get(desk.depot, today or datetime.now(UTC).date())


def of_pump(known: DepotFacts, key: str) -> tuple[PumpFacts, tuple[RemainingLife, ...]]:
    """One pump's facts and what is left of its parts; reckoned once for a state of the record."""
    own, left = known.pumps[key], known.left.get(key)
    if left is None:
        left = remaining(own.pump.site, own.day, known.fleet, own.parts)
        if len(known.left) < _MOST_LEFT:
            known.left[key] = left
    return own, left


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
        found[Fault.FOOT_LATE] = REBUILT_LATELY
    return found
