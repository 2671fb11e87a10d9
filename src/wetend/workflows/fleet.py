"""The fleet plan, and the simulation of maintenance policies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Executor, Future, wait
from dataclasses import dataclass
from datetime import date

from wetend.advice.fleet.arrays import Chunk
from wetend.advice.fleet.month import (
    CHUNK,
    SERVICE,
    DueLine,
    FleetPump,
    Outcome,
    ages_of,
    by_site,
    chunks_of,
    laws_of,
    month,
    outcomes,
    policies_of,
    prices_of,
    simulated_time,
)
from wetend.advice.fleet.simulation import SimulatedMonths, play
from wetend.advice.life.learned import FleetLives
from wetend.advice.life.next_repack import NextRepack
from wetend.advice.life.remaining import DAY, PartNow
from wetend.errors import BadInput, NotFound
from wetend.keeping import MB, Keep
from wetend.progress import Progress, quiet
from wetend.pump.costs import Costs
from wetend.pump.usage import LIFE_PARTS
from wetend.units.message import Message
from wetend.units.quantity import M3, Ratio, S
from wetend.workflows.desk import Desk
from wetend.workflows.executors import SHARED
from wetend.workflows.life import repacks_of
from wetend.workflows.life_facts import DepotFacts, facts, facts_at_hand

PAGE = 50
"""Pumps to a page."""


@dataclass(frozen=True)
class FleetView:
    """The fleet plan: the page's whole context."""

    lines: tuple[DueLine, ...]
    """Those of this page, the most pressing first."""
    sites: tuple[tuple[str, tuple[DueLine, ...]], ...]
    calendar: tuple[tuple[date, tuple[DueLine, ...]], ...]
    pumps: int
    due: int
    """Pumps that want something this month."""
    crew_time: S
    """Crew hours expected to be lost this month, s."""
    stops: float
    """Pumps expected to stop."""
    page: int
    pages: int
    today: date
    days: int
    repacks: Mapping[str, NextRepack]
    """Of the pumps of this page, by key."""


@dataclass(frozen=True)
class Months:
    """Results of the simulation under each policy."""

    outcomes: tuple[Outcome, ...]
    months: int
    pumps: int
    replicas: int
    seed: int
    service: M3
    """Pumped between services under the rule by volume."""
    best_of: int = 0
    """Intervals tried to find it; 0: as asked for."""

    @property
    def forecast_pays(self) -> Ratio:
        """Share of its cost that the forecast saves against the best of the others; negative: it
        costs more.
        """
        *others, forecast = (outcome.cost.middle for outcome in self.outcomes)
        best = min(others)
        return (best - forecast) / best if best else 0.0


TRIED: tuple[M3, ...] = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)
"""Intervals by volume among which the best for a depot is chosen."""
_TRIED_REPEATS, _TRIED_ON = 16, 60
_LINES = Keep[tuple[DueLine, ...]](Message("months of the fleet"), most=16 * MB, newest=True)
_PLAYED = Keep[Months](Message("months to come, played at once"), most=4 * MB)


def fleet_pumps(known: DepotFacts) -> list[FleetPump]:
    """Every pump as the fleet sees it, by key."""
    found = []
    for key, own in sorted(known.in_use.items()):
        day = own.day
        found.append(
            FleetPump(
                key=key, name=own.pump.name, site=own.pump.site, day=day,
                x=known.fleet.at(day, own.pump.site),
                parts=tuple(own.parts.get(part, PartNow(None)) for part in LIFE_PARTS),
            )
        )  # fmt: skip
    return found


def due(
    desk: Desk, costs: Costs, *, days: int = 30, today: date | None = None
) -> tuple[DueLine, ...]:
    """Every pump of the depot, the most pressing first.

    Raises:
        BadInput: not 1 to 365 days.
    """
    if not 1 <= days <= 365:
        raise BadInput(Message("Look 1 to 365 days ahead."))
    known = facts(desk, today=today)
    where = str(desk.depot.url)
    return _LINES.get(
        (where, known.state, known.today, costs, days),
        lambda: month(fleet_pumps(known), known.fleet, costs, today=known.today, days=days),
        owner=where,
    )


def due_at_hand(desk: Desk, *, days: int = 30) -> tuple[DueLine, ...] | None:
    """The same at the usual costs where it is computed already; ``None`` where it is not."""
    known = facts_at_hand(desk)
    if known is None:
        return None
    return _LINES.peek((str(desk.depot.url), known.state, known.today, Costs(), days))


def view(
    desk: Desk,
    *,
    costs: Costs | None = None,
    days: int = 30,
    page: int = 1,
    today: date | None = None,
) -> FleetView:
    """One page of the fleet plan."""
    lines = due(desk, costs or Costs(), days=days, today=today)
    known = facts(desk, today=today)
    pages = max((len(lines) + PAGE - 1) // PAGE, 1)
    page = min(max(page, 1), pages)
    wanted = [line for line in lines if line.due and (line.due - known.today).days < days]
    shown = lines[(page - 1) * PAGE : page * PAGE]
    by_day: dict[date, list[DueLine]] = {}
    for line in wanted[: 4 * PAGE]:
        assert line.due is not None
        by_day.setdefault(line.due, []).append(line)
    return FleetView(
        lines=shown, sites=by_site(lines[: 4 * PAGE]),
        calendar=tuple((day, tuple(own)) for day, own in sorted(by_day.items())),
        pumps=len(lines), due=sum(line.word != "keep running" for line in lines),
        crew_time=sum(line.crew_time for line in lines), stops=sum(line.chance for line in lines),
        page=page, pages=pages, today=known.today, days=days,
        repacks=repacks_of(desk, (line.key for line in shown), today=today),
    )  # fmt: skip


def run(
    chunks: Sequence[Chunk], executor: Executor, progress: Progress = quiet
) -> list[SimulatedMonths]:
    """Play chunks wherever the executor does, and give them back in order.

    When interrupted, what is not begun is cancelled before the interruption goes on.
    """
    jobs: list[Future[SimulatedMonths]] = [executor.submit(play, chunk) for chunk in chunks]
    progress(0, len(jobs))
    left = set(jobs)
    try:
        while left:
            _, left = wait(left, timeout=0.25)
            progress(len(jobs) - len(left), len(jobs))
    except BaseException:
        for job in jobs:
            job.cancel()
        raise
    return [job.result() for job in jobs]


def _size(months: int, replicas: int) -> int:
    """Pumps to a chunk: so many that a chunk takes about a second, to show and to stop soon."""
    return min(max(CHUNK * 1200 // (months * replicas), 1), CHUNK)


def simulate_months(
    pumps: Sequence[FleetPump],
    fleet: FleetLives,
    executor: Executor,
    *,
    costs: Costs,
    months: int,
    replicas: int,
    seed: int,
    service: M3 = SERVICE,
    progress: Progress = quiet,
) -> tuple[Outcome, ...]:
    """Play a fleet's months under every policy."""
    policies = policies_of(pumps, fleet, costs, service=service)
    chunks = chunks_of(
        pumps, laws_of(fleet, replicas), ages_of(pumps, fleet), policies, prices_of(costs),
        days=simulated_time(months) / DAY, seed=seed, size=_size(months, replicas),
    )  # fmt: skip
    return outcomes([p.name for p in policies], run(chunks, executor, progress))


def best_service(
    pumps: Sequence[FleetPump], fleet: FleetLives, executor: Executor, *, costs: Costs, months: int,
    seed: int,
) -> M3:  # fmt: skip
    """The interval by volume that costs this depot least, of :data:`TRIED`.

    Each is played on the same lives, with fewer repeats and of many pumps on an even choice.
    """
    step = -(-len(pumps) // _TRIED_ON)
    some = tuple(pumps)[::step]

    def cost(service: M3) -> float:
        found = simulate_months(
            some, fleet, executor, costs=costs, months=months, replicas=_TRIED_REPEATS, seed=seed,
            service=service,
        )  # fmt: skip
        return found[1].cost.middle

    return min(TRIED, key=cost)


def simulate(
    desk: Desk,
    executor: Executor,
    *,
    costs: Costs | None = None,
    months: int = 12,
    replicas: int = 40,
    seed: int = 1,
    service: M3 | None = None,
    progress: Progress = quiet,
    today: date | None = None,
) -> Months:
    """The depot's months to come under each policy; the same seed gives the same answer.

    Without a ``service`` the rule by volume has the interval that costs this depot least, so that
    the forecast is compared with the best of each policy.

    Raises:
        BadInput: months, replicas or service out of range.
        NotFound: the depot has no pumps.
    """
    if not (1 <= months <= 120 and 2 <= replicas <= 400 and 0.01 <= (service or 1.0) <= 1000):
        raise BadInput(
            Message("Give 1 to 120 months, 2 to 400 repeats, and 10 to a million litres.")
        )
    known = facts(desk, today=today)
    pumps = fleet_pumps(known)
    if not pumps:
        raise NotFound(Message("There is no pump in this depot yet."))
    priced = costs or Costs()
    chosen = service or best_service(
        pumps, known.fleet, executor, costs=priced, months=months, seed=seed
    )
    found = simulate_months(
        pumps, known.fleet, executor, costs=priced, months=months, replicas=replicas,
        seed=seed, service=chosen, progress=progress,
    )  # fmt: skip
    tried = 0 if service else len(TRIED)
    return Months(found, months, len(pumps), replicas, seed, chosen, tried)


def simulated(
    desk: Desk, *, costs: Costs, months: int, replicas: int, service: M3 | None = None
) -> Months:
    """The same for a fleet small enough to wait for, computed once for a state of the record.

    Raises:
        BadInput: months, replicas or service out of range.
        NotFound: the depot has no pumps.
    """
    known, where = facts(desk), str(desk.depot.url)
    return _PLAYED.get(
        (where, known.state, known.today, costs, months, replicas, service),
        lambda: simulate(
            desk, SHARED, costs=costs, months=months, replicas=replicas, service=service
        ),
        owner=where,
    )
