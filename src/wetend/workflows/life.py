"""Remaining life: what the depot's repairs and uses say of every part of a pump."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from statistics import fmean
from threading import Lock

from wetend.advice.exposure import Duty, Exposure, Ledger, duty_with, ledger_of
from wetend.advice.fault_finding.faults import Fault
from wetend.advice.life import (
    FleetLives,
    PartNow,
    RemainingLife,
    learn,
    next_repack,
    remaining,
)
from wetend.advice.life_change import (
    PARTS_OF,
    Change,
    TrendTold,
    leanings,
    trend_of,
    what_would_change,
)
from wetend.advice.life_plot import ProbabilityPlot, probability_plot
from wetend.advice.life_records import Fitted, Life, lives_of, since_first
from wetend.advice.reasons import Figure, Interval, Working
from wetend.advice.replacing import (
    RepairOrNew,
    ReplaceWhen,
    open_anyway,
    repair_or_new,
    replace_when,
    working_of,
)
from wetend.pump.coating import Coating
from wetend.pump.costs import CREW_DOES, Costs
from wetend.pump.description import Pump
from wetend.pump.measurements import CylinderMeasured, RodMeasured
from wetend.pump.toml import demo_coatings
from wetend.pump.usage import LIFE_PARTS, LifePart, PartFitted, Usage
from wetend.records.entries import Entry, EntryKind
from wetend.records.fold import fold_visit
from wetend.records.store import Depot
from wetend.records.threads import Said, standing
from wetend.stats.wear_path import Look
from wetend.units.quantity import M3, CycleRate, M, Pa, Percent, Ratio, unit_of
from wetend.workflows.checks import diagnosis_of
from wetend.workflows.desk import Desk

KINDS: tuple[EntryKind, ...] = (
    "pump-described", "visit-started", "coating", "usage", "part-fitted", "cylinder", "rod",
    "sign-off", "withdrawn",
)  # fmt: skip
"""Kinds of entry that lives are reckoned from."""
_KEPT = 4


@dataclass(frozen=True)
class PumpFacts:
    """What is known of one pump, ready for the sums."""

    pump: Pump
    ledger: Ledger
    lives: tuple[Life, ...]
    repairs: tuple[date, ...]
    parts: Mapping[LifePart, PartNow]
    since: date


@dataclass(frozen=True)
class DepotFacts:
    """What is known of every pump of a depot, and what was learned from it."""

    pumps: Mapping[str, PumpFacts]
    fleet: FleetLives
    today: date
    state: tuple[int, str]


@dataclass(frozen=True)
class Glance:
    """Remaining life at a glance."""

    parts: tuple[RemainingLife, ...]
    repack: Interval | None
    failures: int


@dataclass(frozen=True)
class LifeView:
    """The life page of a pump: its whole context."""

    pump: Pump
    parts: tuple[RemainingLife, ...]
    repack: Interval | None
    """Time to the next repack, s."""
    day: Exposure
    """A mean calendar day of late."""
    changes: tuple[Change, ...]
    trend: TrendTold
    leaning: Mapping[Fault, float]
    suspects: tuple[tuple[str, float], ...]
    """From the running checks of an open visit: parts under suspicion, and how likely."""
    today: date
    failures: int
    """How many failures the depot has on record."""
    plot: ProbabilityPlot
    when: tuple[ReplaceWhen, ...]
    open_anyway: tuple[LifePart, ...]
    """Worth replacing now if the pump is opened today."""
    or_new: RepairOrNew
    workings: tuple[Working, ...]
    costs: Costs
    since: date


def day_of(moment: datetime) -> date:
    """The day a moment lies in, UTC."""
    return moment.astimezone(UTC).date()


def _of(said: Iterable[Said], kind: str) -> list[Said]:
    return [s for s in said if s.entry.kind == kind]


def _coatings(said: Iterable[Said]) -> dict[str, Coating]:
    found = {c.key: c for c in demo_coatings()}
    for each in said:
        if isinstance(each.noun, Coating):
            found[each.noun.key] = each.noun
    return found


class _Duties:
    """What a cycle costs, reckoned once for pumps that are alike."""

    def __init__(self, coatings: Mapping[str, Coating]) -> None:
        self.coatings = coatings
        self.held: dict[tuple[str, str], Duty] = {}

    def of(self, pump: Pump, keys: Iterable[str]) -> dict[str, Duty]:
        alike = pump.model_copy(update={"key": "x", "name": "x", "site": "", "build": ""})
        shape = str(hash(alike.model_dump_json()))
        found = {}
        for key in keys:
            if key not in self.coatings:
                continue
            if (shape, key) not in self.held:
                self.held[shape, key] = duty_with(pump, self.coatings[key])
            found[key] = self.held[shape, key]
        return found


def _fitted(said: Sequence[Said]) -> list[Fitted]:
    found = []
    for each in said:
        noun = each.noun
        if isinstance(noun, PartFitted):
            on = noun.on or day_of(each.entry.at)
            found.append(Fitted(noun.part, on, noun.why, noun.turned))
    return found


def _growth(pump: Pump, noun: object) -> tuple[LifePart, float, float] | None:
    """Wear measured, with its standard uncertainty: growth of the bore, loss of the rod."""
    if isinstance(noun, CylinderMeasured) and noun.diameters:
        return "cylinder", max(fmean(noun.diameters) - pump.cylinder.bore, 0.0), 12e-6
    if isinstance(noun, RodMeasured) and noun.diameters:
        return "rod", max(pump.rod.diameter - fmean(noun.diameters), 0.0), 8e-6
    return None


def _parts(
    pump: Pump, said: Sequence[Said], lives: Sequence[Life], ledger: Ledger
) -> dict[LifePart, PartNow]:
    now = {life.part: PartNow(life) for life in lives if life.ended is None}
    for part in LIFE_PARTS:
        if part not in now:
            assumed = since_first(pump.key, pump.site, ledger, part)
            now[part] = PartNow(assumed, assumed=True)
    limits: dict[LifePart, float] = {
        "cylinder": pump.cylinder.wear_limit, "rod": pump.rod.wear_limit,
    }  # fmt: skip
    for each in said:
        grown = _growth(pump, each.noun)
        if grown is None or grown[0] not in now:
            continue
        part, wear, error = grown
        life, at = now[part].life, day_of(each.entry.at)
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
    worn = {f.on for f in fitted if f.why in hurt and f.part not in CREW_DOES}
    parts = _parts(pump, said, lives, ledger)
    return PumpFacts(pump, ledger, lives, tuple(sorted(worn)), parts, first)


def gather(entries: Iterable[Entry], today: date, state: tuple[int, str]) -> DepotFacts:
    """Every pump's facts, and what is learned from all of them together."""
    said = standing(entries)
    duties = _Duties(_coatings(said))
    by_pump: dict[str, list[Said]] = {}
    for each in said:
        by_pump.setdefault(each.entry.pump, []).append(each)
    found = {}
    for key, own in by_pump.items():
        described = [s.noun for s in own if isinstance(s.noun, Pump)]
        if described:
            found[key] = facts_of(described[-1], own, duties, today)
    lives = [life for facts in found.values() for life in facts.lives]
    return DepotFacts(found, learn(lives), today, state)


class _Shelf:
    """The last few depots' facts, so that a page need not work them out again."""

    def __init__(self) -> None:
        self._held: OrderedDict[tuple[object, ...], DepotFacts] = OrderedDict()
        self._lock = Lock()

    def get(self, depot: Depot, today: date) -> DepotFacts:
        state = depot.state()
        key = (str(depot.url), state, today)
        with self._lock:
            if key not in self._held:
                self._held[key] = gather(depot.entries(kinds=KINDS), today, state)
                while len(self._held) > _KEPT:
                    self._held.popitem(last=False)
            return self._held[key]


_SHELF = _Shelf()


def facts(desk: Desk, *, today: date | None = None) -> DepotFacts:
    """What the depot knows of its pumps' lives; worked out anew only when an entry was added."""
    return _SHELF.get(desk.depot, today or datetime.now(UTC).date())


def of_pump(known: DepotFacts, key: str) -> tuple[PumpFacts, tuple[RemainingLife, ...]]:
    """One pump's facts and what is left of its parts."""
    own = known.pumps[key]
    return own, remaining(own.pump, own.ledger, known.fleet, own.parts)


def _suspects(desk: Desk, key: str) -> tuple[tuple[str, float], ...]:
    """What the running checks of the latest open visit make likely."""
    entries = desk.depot.entries(pump=key)
    visits = {e.visit for e in entries if e.visit} - {
        e.visit for e in entries if e.kind == "sign-off"
    }  # fmt: skip
    if not visits:
        return ()
    latest = max(v for v in visits if v)
    described = [e for e in entries if e.visit is None or e.visit == latest]
    found = diagnosis_of(fold_visit(described))
    if found is None:
        return ()
    return tuple(
        (f.fault.value, f.probability)
        for f in found.findings
        if f.fault in PARTS_OF and f.probability >= 0.2
    )


def glance(desk: Desk, key: str, *, today: date | None = None) -> Glance:
    """What is left of a pump's parts, and when it wants a repack."""
    known = facts(desk, today=today)
    own, left = of_pump(known, key)
    failures = sum(life.ending != "going" for life in known.fleet.lives)
    return Glance(left, next_repack(own.ledger, left), failures)


def view(
    desk: Desk,
    key: str,
    *,
    costs: Costs | None = None,
    plotted: LifePart = "moving-packings",
    today: date | None = None,
) -> LifeView:
    """The life of a pump's parts as it stands.

    Args:
        desk: whose depot.
        key: the pump.
        costs: of repairs; else the built-in round figures.
        plotted: the part whose lives are drawn.
        today: the day to reckon to; else today.

    Raises:
        NotFound: no such pump.
    """
    desk.pump(key)
    costs = costs or Costs()
    known = facts(desk, today=today)
    own, left = of_pump(known, key)
    marks = [own.ledger.between(own.since, day).wear for day in own.repairs]
    end = own.ledger.between(own.since, known.today).wear
    day = own.ledger.usual
    x = known.fleet.at(day, own.pump.site)
    when = tuple(replace_when(known.fleet, x, day, costs, part) for part in LIFE_PARTS)
    litres = day.litres / max(day.wear, 1e-300)
    return LifeView(
        pump=own.pump, parts=left, repack=next_repack(own.ledger, left), day=own.ledger.usual,
        changes=what_would_change(own.ledger.usual, known.fleet),
        trend=trend_of(marks, end), leaning=leanings(left), suspects=_suspects(desk, key),
        today=known.today,
        failures=sum(life.ending != "going" for life in known.fleet.lives),
        plot=probability_plot(known.fleet, plotted, x, per_wear=litres),
        when=when, open_anyway=open_anyway(left, when), or_new=repair_or_new(when, costs),
        workings=(*_workings(own, left), *(working_of(w, costs) for w in when[:2])),
        costs=costs, since=own.since,
    )  # fmt: skip


def _workings(own: PumpFacts, left: Sequence[RemainingLife]) -> tuple[Working, ...]:
    """How a mean day's wear is reckoned, and what is left of the moving packings."""
    day, packings = own.ledger.usual, next(r for r in left if r.part == "moving-packings")
    return (
        Working(
            title="wear on a mean day",
            formula="W = 2 S n p k",
            given=(
                Figure("stroke", own.pump.stroke, unit_of(M), "S"),
                Figure("cycles a day", day.cycles, unit_of(Ratio), "n"),
                Figure("pressure at the pump", day.pressure, unit_of(Pa), "p"),
                Figure("cycles a minute, gun open", day.rate, unit_of(CycleRate)),
                Figure("share of days entered", day.known, unit_of(Percent)),
            ),
            result=(Figure("wear, km at 200 bar in a mild coating", day.wear / 2e10,
                           unit_of(Ratio), "W"),),
            source="Common practice, no source: wear follows sliding distance, pressure and "
            "abrasiveness",
            validity="Mean of the last 120 days; days nothing was entered for are filled in.",
            spread=f"{100 * day.spread:.0f} % either way, one standard deviation",
        ),
        Working(
            title="life left in the moving packings",
            formula="r = S^-1(u S(a)) - a, over the laws believed",
            given=(Figure("pumped so far", packings.used or 0.0, unit_of(M3), "a"),
                   Figure("failures seen", float(packings.failures), unit_of(Ratio))),
            result=(Figure("left, low", packings.litres.low, unit_of(M3)),
                    Figure("left, middle", packings.litres.middle, unit_of(M3)),
                    Figure("left, high", packings.litres.high, unit_of(M3))),
            source="Gelman and others, Bayesian Data Analysis (2013), ch. 10; Meeker and Escobar, "
            "Statistical Methods for Reliability Data (1998), ch. 14",
            validity="Weibull and lognormal weighed by their evidence; prior as in docs/life.md.",
            spread="nine times in ten",
        ),
    )  # fmt: skip


def save_usage(desk: Desk, key: str, usage: Usage) -> Entry:
    """Keep what a pump did over some days.

    Raises:
        NotFound: no such pump.
    """
    return desk.keep("usage", usage, pump=desk.pump(key).key)


def save_fitted(desk: Desk, key: str, fitted: PartFitted, visit: str | None = None) -> Entry:
    """Keep that a part was fitted.

    Raises:
        NotFound: no such pump.
    """
    return desk.keep("part-fitted", fitted, pump=desk.pump(key).key, visit=visit)
