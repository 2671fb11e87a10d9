"""Remaining life of every part of a pump, and when to replace it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from itertools import islice

from wetend.advice.faults.record import Fault
from wetend.advice.life.exposure import Exposure
from wetend.advice.life.next_repack import PACKINGS, NextRepack, next_repack, working_of_repack
from wetend.advice.life.outlook import LONGEST, Outlook, outlook_of
from wetend.advice.life.plot import ProbabilityPlot, probability_plot
from wetend.advice.life.remaining import RemainingLife, remaining
from wetend.advice.life.replacement import (
    RepairOrNew,
    ReplaceWhen,
    open_anyway,
    repair_or_new,
    replace_when,
    working_of,
)
from wetend.advice.life.what_if import (
    Change,
    TrendReport,
    leanings,
    suspicion,
    trend_of,
    what_would_change,
)
from wetend.advice.reasons import Figure, Verdict, Working
from wetend.errors import BadInput, Problem
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.pump.make_safe import PumpRan
from wetend.pump.usage import (
    FITTED_WORDS,
    LIFE_PARTS,
    TURNS,
    LifePart,
    NozzleMeasured,
    PartFitted,
    Usage,
)
from wetend.records.corrections import standing
from wetend.records.entries import Entry, EntryKind, said_by
from wetend.records.fold import Visit, fold_history, fold_visit
from wetend.units.message import Message, joined
from wetend.units.quantity import M3, CycleRate, M, Pa, Percent, Ratio, unit_of
from wetend.units.stated import stated
from wetend.workflows.checks import diagnosis_of, leanings_of
from wetend.workflows.days import refuse_future
from wetend.workflows.desk import Desk
from wetend.workflows.life_facts import DepotFacts, as_signed, facts, of_pump
from wetend.workflows.pump_facts import PumpFacts, day_of
from wetend.workflows.standing import proof_of
from wetend.workflows.visits import open_visits
from wetend.workflows.zero import report_ran

MOST_REPACKS = 400
"""Pumps whose next repack is shown at once."""


@dataclass(frozen=True)
class LifeSummary:
    """Remaining life at a glance."""

    parts: tuple[RemainingLife, ...]
    repack: NextRepack | None
    failures: int


@dataclass(frozen=True)
class LifeView:
    """The life page of a pump: its whole context."""

    pump: Pump
    parts: tuple[RemainingLife, ...]
    repack: NextRepack | None
    day: Exposure
    """The recent mean calendar day."""
    changes: tuple[Change, ...]
    trend: TrendReport
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
    outlooks: Mapping[LifePart, Outlook] = field(default_factory=dict)
    """Chances and days of each part."""
    best_on: Mapping[LifePart, date] = field(default_factory=dict)
    """The day on which each part that pays to be planned comes to its best age."""


@dataclass(frozen=True)
class _Suspects:
    """Parts that the running checks of the latest open visit make suspect."""

    faults: Mapping[Fault, Ratio]
    replaced: frozenset[LifePart] = frozenset()
    """Parts fitted since those checks: out of suspicion."""


def _suspects(desk: Desk, key: str) -> _Suspects:
    entries = desk.depot.entries(pump=key)
    signed = [e for e in entries if e.kind == "sign-off"]
    visits = {v.id for v in fold_history(entries)} - {e.visit for e in signed}
    if not visits:
        return _Suspects({})
    latest = max(visits)
    described = [e for e in entries if e.visit is None or e.visit == latest]
    visit = fold_visit(described)
    found = diagnosis_of(visit, leanings=leanings_of(desk, visit))
    if found is None:
        return _Suspects({})
    read = max(e.id for e in described if e.kind == "check-readings")
    if _cleared(visit, [e.id for e in signed], read):
        return _Suspects({})
    fitted = (s.noun for s in standing(entries) if s.entry.id > read)
    return _Suspects(
        {f.fault: f.probability for f in found.findings
         if f.fault.life_parts and f.probability >= 0.2},
        frozenset(
            part for noun in fitted if isinstance(noun, PartFitted) and noun.begins_a_life
            for part in LIFE_PARTS if part == noun.part
        ),
    )  # fmt: skip


def _cleared(visit: Visit, signed: Sequence[str], read: str) -> bool:
    """Whether the pump was proven since those readings, or a later visit signed off."""
    if any(entry_id > read for entry_id in signed):
        return True
    proved = [e.id for e in visit.entries if e.kind == "proof"]
    if visit.proof is None or not proved or max(proved) < read:
        return False
    proof, _ = proof_of(visit)
    return proof is not None and proof.verdict in (Verdict.PASS, Verdict.WATCH)


def _left(
    known: DepotFacts, key: str, suspects: _Suspects
) -> tuple[tuple[RemainingLife, ...], tuple[RemainingLife, ...]]:
    """What is left of a pump's parts by their lives alone, and with what the checks found."""
    own, alone = of_pump(known, key)
    doubt = {part: chance for part, chance in suspicion(alone, suspects.faults).items()
             if part not in suspects.replaced}  # fmt: skip
    if not doubt:
        return alone, alone
    site, parts = own.pump.site, own.parts
    return alone, remaining(site, own.day, known.fleet, parts, suspicion=doubt)


def life_summary(desk: Desk, key: str, *, today: date | None = None) -> LifeSummary:
    """What is left of a pump's parts, and when it wants a repack."""
    known = facts(desk, today=today)
    own, (_, left) = known.pumps[key], _left(known, key, _suspects(desk, key))
    failures = sum(life.ending != "going" for life in known.fleet.lives)
    return LifeSummary(left, _next(known, own, left), failures)


def _next(
    known: DepotFacts, own: PumpFacts, left: Sequence[RemainingLife], *, today: date | None = None
) -> NextRepack | None:
    return next_repack(own.day, left, today=today or known.today, coating=own.coating)


def repack_of_pump(desk: Desk, key: str, *, today: date | None = None) -> NextRepack | None:
    """A pump's next repack, the one answer for every page, paper and command.

    Raises:
        NotFound: no such pump.
    """
    desk.pump(key)
    return life_summary(desk, key, today=today).repack


def repacks_of(
    desk: Desk, keys: Iterable[str], *, today: date | None = None
) -> dict[str, NextRepack]:
    """The next repack of some pumps, by key; of a long list the first 400."""
    found = {}
    for key in islice(keys, MOST_REPACKS):
        repack = repack_of_pump(desk, key, today=today)
        if repack is not None:
            found[key] = repack
    return found


def _worn(own: PumpFacts) -> float:
    """Wear of the packings so far and that of half a year to come, of the set with more of it."""
    ages = [
        now.life.high for part in PACKINGS
        if (now := own.parts.get(part)) is not None and now.life is not None
    ]  # fmt: skip
    return max(ages, default=own.worked) + 183.0 * own.day.wear


def soonest_repacks(desk: Desk, count: int) -> tuple[tuple[Pump, NextRepack], ...]:
    """The pumps whose packings are worn next, by their lives, the first day named first.

    All pumps of the depot are weighed; of more than :data:`MOST_REPACKS` the draws are made for
    those that, at their pace, have worn the most.
    """
    known = facts(desk)
    ranked = []
    worn = sorted(known.in_use, key=lambda key: (-_worn(known.pumps[key]), key))
    for key in worn[:MOST_REPACKS]:
        own, left = of_pump(known, key)
        repack = _next(known, own, left)
        if repack is not None:
            ranked.append((repack.time.low, key))
    keys = [key for _, key in sorted(ranked)[:count]]
    found = repacks_of(desk, keys)
    rows = ((known.pumps[key].pump, repack) for key, repack in found.items())
    return tuple(sorted(rows, key=lambda row: (row[1].by or date.max, -row[1].worn)))


def repack_of_visit(desk: Desk, visit: Visit, *, today: date | None = None) -> NextRepack | None:
    """The next repack for a visit's papers: as of now, or of a signed visit as of its signing."""
    known = facts(desk, today=today)
    own = as_signed(desk, known, visit)
    if own is None:
        return repack_of_pump(desk, visit.pump.key, today=today)
    signed = [e for e in visit.entries if e.kind == "sign-off"][-1]
    left = remaining(own.pump.site, own.day, known.fleet, own.parts)
    return _next(known, own, left, today=min(day_of(signed.at), known.today))


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
        today: the day to calculate to; else today.

    Raises:
        NotFound: no such pump.
    """
    desk.pump(key)
    costs = costs or Costs()
    known = facts(desk, today=today)
    own, suspects = known.pumps[key], _suspects(desk, key)
    alone, left = _left(known, key, suspects)
    day = own.day
    x = known.fleet.at(day, own.pump.site)
    when = tuple(replace_when(known.fleet, x, day, costs, part) for part in LIFE_PARTS)
    litres = day.pumped / max(day.wear, 1e-300)
    repack = _next(known, own, left)
    return LifeView(
        pump=own.pump, parts=left, repack=repack, day=own.day,
        changes=what_would_change(own.day, known.fleet),
        trend=trend_of(own.repairs, own.worked), leaning=leanings(alone),
        suspects=tuple((fault.title, chance) for fault, chance in suspects.faults.items()),
        today=known.today,
        failures=sum(life.ending != "going" for life in known.fleet.lives),
        plot=probability_plot(known.fleet, plotted, x, per_wear=litres),
        when=when, open_anyway=open_anyway(left, when), or_new=repair_or_new(when, costs),
        workings=(*_workings(own, left, repack), *(working_of(w, costs) for w in when[:2])),
        costs=costs, since=own.since,
        outlooks={r.part: outlook_of(r.times, known.today) for r in left if r.times is not None},
        best_on=_best_on(left, when, own.day, known.today),
    )  # fmt: skip


def _best_on(
    left: Sequence[RemainingLife], when: Sequence[ReplaceWhen], day: Exposure, today: date
) -> dict[LifePart, date]:
    """When each part comes to the age at which it pays to be replaced, at its mean use."""
    used = {r.part: r.used for r in left if r.used is not None}
    found = {}
    for each in when:
        if each.age is None or each.part not in used or day.pumped <= 0:
            continue
        days = max((each.age - used[each.part]) / day.pumped, 0.0)
        if days < LONGEST:
            found[each.part] = today + timedelta(days=int(days))
    return found


def _workings(
    own: PumpFacts, left: Sequence[RemainingLife], repack: NextRepack | None
) -> tuple[Working, ...]:
    """How a mean day's wear is computed, what is left of the moving packings, the next repack."""
    day, packings = own.day, next(r for r in left if r.part == "moving-packings")
    return (
        Working(
            title=Message("wear on a mean day"),
            formula="W = 2 S n p k",
            given=(
                Figure(Message("stroke"), own.pump.stroke, unit_of(M), "S"),
                Figure(Message("cycles a day"), day.cycles, unit_of(Ratio), "n"),
                Figure(Message("pressure at the pump"), day.pressure, unit_of(Pa), "p"),
                Figure(Message("cycles a minute, gun open"), day.rate, unit_of(CycleRate)),
                Figure(Message("share of days entered"), day.known, unit_of(Percent)),
            ),
            result=(
                Figure(
                    Message("wear, km at {pressure} in a mild coating", pressure=stated("200 bar")),
                    day.wear / 2e10,
                    unit_of(Ratio),
                    "W",
                ),
            ),
            source="Common practice, no source: wear follows sliding distance, pressure and "
            "abrasiveness",
            validity=Message("Mean of the last 120 days; days without entries are filled in."),
            spread=Message(
                "{spread:.0f} % either way, one standard deviation", spread=100 * day.spread
            ),
        ),
        Working(
            title=Message("life left in the moving packings"),
            formula="r = S^-1(u S(a)) - a, over the fitted distributions",
            given=(
                Figure(Message("pumped so far"), packings.used or 0.0, unit_of(M3), "a"),
                Figure(Message("failures seen"), float(packings.failures), unit_of(Ratio)),
            ),
            result=(
                Figure(Message("left, low"), packings.volume.low, unit_of(M3)),
                Figure(Message("left, middle"), packings.volume.middle, unit_of(M3)),
                Figure(Message("left, high"), packings.volume.high, unit_of(M3)),
            ),
            source="Gelman and others, Bayesian Data Analysis (2013), ch. 10; Meeker and Escobar, "
            "Statistical Methods for Reliability Data (1998), ch. 14",
            validity=Message(
                "Weibull and lognormal weighted by their evidence; prior as in docs/life.md."
            ),
            spread=Message("90 % interval"),
        ),
        *((working_of_repack(repack, day),) if repack else ()),
    )


def check_turned(fitted: PartFitted) -> None:
    """Refuse a part turned that has no second face or end.

    Raises:
        BadInput: it has none.
    """
    if fitted.done == "turned" and fitted.part not in TURNS:
        named = joined(", ", (words for part, words in FITTED_WORDS.items() if part in TURNS))
        said = Message(
            "{capitalize}: only these can be turned: {named}.",
            capitalize=FITTED_WORDS[fitted.part].capitalize(),
            named=named,
        )
        raise BadInput(said, (Problem("done", said),))


def _corrected(desk: Desk, key: str, kind: EntryKind, entry_id: str | None) -> Entry | None:
    """The entry that another is to correct: of this pump, this kind and no visit.

    Raises:
        NotFound: no such entry.
        BadInput: it is another pump's, of another kind or of a visit.
    """
    if entry_id is None:
        return None
    entry = desk.depot.entry(entry_id)
    if (entry.pump, entry.kind, entry.visit) != (key, kind, None):
        raise BadInput(Message("Only an entry of the same kind and pump can be corrected."))
    return entry


def _brought_in(corrected: Entry | None) -> dict[str, str]:
    """The import of what is corrected: a correction goes and comes with it."""
    noun = said_by(corrected) if corrected is not None else None
    return {"brought_in": noun.brought_in if isinstance(noun, Usage | PartFitted) else ""}


def save_usage(desk: Desk, key: str, usage: Usage, *, corrects: str | None = None) -> Entry:
    """Save what a pump did over some days, as a correction of another entry if one is named.

    Raises:
        NotFound: no such pump or entry.
        BadInput: a day is in the future, or the entry named is of another pump or kind.
    """
    refuse_future(first=usage.first, last=usage.last)
    before = _corrected(desk, key, "usage", corrects)
    own = usage.model_copy(update=_brought_in(before))
    return desk.keep("usage", own, pump=desk.pump(key).key, corrects=corrects)


def save_fitted(
    desk: Desk, key: str, fitted: PartFitted, visit: str | None = None, *,
    corrects: str | None = None,
) -> Entry:  # fmt: skip
    """Save that a part was fitted, as a correction of another entry if one is named.

    Raises:
        NotFound: no such pump or entry.
        BadInput: the day is in the future, a part that can't be turned is said to be, or the
            entry named is of another pump or kind.
    """
    refuse_future(on=fitted.on)
    check_turned(fitted)
    before = _corrected(desk, key, "part-fitted", corrects)
    own = fitted.model_copy(update=_brought_in(before))
    return desk.keep("part-fitted", own, pump=desk.pump(key).key, visit=visit, corrects=corrects)


def save_nozzle(
    desk: Desk, key: str, measured: NozzleMeasured, *, corrects: str | None = None
) -> Entry:
    """Save how far a nozzle was found to be worn.

    Measured by its flow today, the pump has run: zero no longer holds on its open visits.

    Raises:
        NotFound: no such pump.
        BadInput: the day is in the future.
    """
    refuse_future(on=measured.on)
    _corrected(desk, key, "nozzle", corrects)
    kept = desk.keep("nozzle", measured, pump=desk.pump(key).key, corrects=corrects)
    today = datetime.now(UTC).astimezone().date()
    if measured.volume is not None and measured.on in (None, today):
        for visit in open_visits(desk):
            if visit.pump == key:
                report_ran(desk, visit.id, PumpRan(why=Message("a nozzle was measured")))
    return kept
