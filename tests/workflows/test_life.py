"""Life, stores and fleet over the demo depot."""

import csv
import io
import math
from collections.abc import Iterator
from datetime import date, timedelta

import pytest

from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import BY_TITLE, FAULT
from wetend.errors import BadInput, NotFound
from wetend.pump.costs import Costs
from wetend.pump.usage import LIFE_PARTS, NozzleMeasured, PartFitted, Usage
from wetend.records.store import Depot
from wetend.workflows import checks, fleet, life, stores, visits
from wetend.workflows.desk import Desk
from wetend.workflows.executors import opened
from wetend.workflows.life_facts import facts, fault_leanings, gather, of_pump


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory, copy_demo) -> Iterator[Desk]:
    with Depot.open(copy_demo(tmp_path_factory.mktemp("life") / "d.sqlite3")) as depot:
        yield Desk(depot, who="A. Tester")


def test_the_demo_shows_every_part(desk: Desk) -> None:
    seen = life.view(desk, "north-quay")
    assert [r.part for r in seen.parts] == list(LIFE_PARTS)
    assert seen.failures > 15
    assert seen.repack is not None
    assert seen.suspects  # its open visit has readings
    assert seen.plot.failures >= 3
    assert len(seen.when) == len(LIFE_PARTS)
    assert fault_leanings(desk, "north-quay")
    assert life.view(desk, "tank-farm").trend.word == "more and more often"  # its wet cup runs dry
    assert life.view(desk, "dry-dock").parts[1].assumed  # it came to the record second-hand


def test_a_part_fitted_today_is_new_and_facts_are_worked_out_anew(desk: Desk) -> None:
    before = life.life_summary(desk, "east-yard")
    life.save_fitted(desk, "east-yard", PartFitted(part="moving-packings", why="planned"))
    after = life.life_summary(desk, "east-yard")
    place = LIFE_PARTS.index("moving-packings")
    assert before.parts[place].used > 0.3
    assert after.parts[place].used == pytest.approx(0.0)
    assert after.parts[place].time.low > before.parts[place].time.low


def test_a_wet_end_apart_lately_makes_a_stack_built_wrong_likelier(desk: Desk) -> None:
    life.save_fitted(desk, "bridge-deck", PartFitted(
        part="foot-seat", why="planned", on=facts(desk).today - timedelta(days=30)))  # fmt: skip
    assert FAULT["foot-late"] not in fault_leanings(desk, "bridge-deck")
    life.save_fitted(desk, "bridge-deck", PartFitted(part="foot-ball", why="planned"))
    assert fault_leanings(desk, "bridge-deck")[FAULT["foot-late"]] > 2


def test_use_entered_changes_the_mean_day(desk: Desk) -> None:
    today = facts(desk).today
    more = Usage(first=today - timedelta(days=29), last=today, pumped=9.0, coating="zinc-primer")
    before = life.view(desk, "blast-hall").day.pumped
    life.save_usage(desk, "blast-hall", more)
    assert life.view(desk, "blast-hall").day.pumped != before


def test_no_such_pump(desk: Desk) -> None:
    with pytest.raises(NotFound):
        life.view(desk, "no-such")
    with pytest.raises(NotFound):
        life.save_fitted(desk, "no-such", PartFitted(part="rod"))


def test_stores_and_their_order(desk: Desk) -> None:
    seen = stores.view(desk)
    assert seen.pumps == 6
    rows = list(csv.reader(io.StringIO(stores.order_csv(seen.depot))))
    assert len(rows) == 1 + len(seen.depot.orders)
    assert stores.order_pdf(desk, seen.depot).startswith(b"%PDF-")
    with pytest.raises(BadInput):
        stores.plan(desk, Costs(), fill=1.0)


def test_the_box_of_the_open_visit(desk: Desk) -> None:
    visit = visits.open_visits(desk)[0].id
    seen = stores.box(desk, visit)
    assert seen.from_checks
    assert {"foot-ball", "repack-kit", "soft-rings"} & {i.key for i in seen.box.items}
    assert seen.box.chance > seen.box.empty_chance
    with pytest.raises(BadInput):
        stores.box(desk, visit, room=0.0)


def test_the_month_and_the_months(desk: Desk) -> None:
    seen = fleet.view(desk)
    assert seen.pumps == 6
    assert len(seen.lines) == 6
    told: list[tuple[int, int]] = []
    with opened("threads:2") as workers:
        a = fleet.simulate(desk, workers, months=6, replicas=10,
                           progress=lambda done, of: told.append((done, of)))  # fmt: skip
    with opened("processes:2") as workers:
        b = fleet.simulate(desk, workers, months=6, replicas=10)
    assert a == b
    assert told[-1][0] == told[-1][1] > 0
    with opened("threads:1") as workers, pytest.raises(BadInput):
        fleet.simulate(desk, workers, months=0)


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_a_dask_cluster_gives_the_same(desk: Desk) -> None:
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(n_workers=1, threads_per_worker=2, processes=False,
                                 protocol="tcp", dashboard_address=None) as cluster,
        opened(cluster.scheduler_address.replace("tcp://", "dask://")) as workers,
    ):  # fmt: skip
        there = fleet.simulate(desk, workers, months=6, replicas=10)
    with opened("threads:1") as workers:
        assert fleet.simulate(desk, workers, months=6, replicas=10) == there


def test_an_empty_depot_has_no_months(tmp_path) -> None:
    with Depot.open(tmp_path / "e.sqlite3") as depot, opened("threads:1") as workers:
        empty = Desk(depot)
        assert fleet.view(empty).lines == ()
        assert stores.view(empty).depot.lines == ()
        with pytest.raises(NotFound):
            fleet.simulate(empty, workers)


def test_a_day_may_be_chosen(desk: Desk) -> None:
    later = life.view(desk, "north-quay", today=date.today() + timedelta(days=200))  # noqa: DTZ011
    now = life.view(desk, "north-quay")
    place = LIFE_PARTS.index("rod")
    assert later.parts[place].used > now.parts[place].used


def test_facts_kept_up_to_date_are_those_worked_out_anew(tmp_path, copy_demo) -> None:
    with Depot.open(copy_demo(tmp_path / "two.sqlite3")) as depot:
        desk = Desk(depot)
        facts(desk)
        life.save_fitted(desk, "dry-dock", PartFitted(part="static-packings", why="worn out"))
        life.save_usage(
            desk, "tank-farm",
            Usage(first=date(2026, 1, 1), last=date(2026, 1, 9), pumped=0.2, coating="epoxy-tank"),
        )  # fmt: skip
        kept_up = facts(desk)
        anew, _ = gather(depot, kept_up.today, kept_up.state)
    assert kept_up.pumps == anew.pumps
    assert set(kept_up.fleet.lives) == set(anew.fleet.lives)
    for part in LIFE_PARTS:
        ours, theirs = kept_up.fleet.beliefs[part], anew.fleet.beliefs[part]
        assert ours.coefficients.mean(axis=0) == pytest.approx(theirs.coefficients.mean(axis=0))


def test_what_is_left_is_kept_until_it_may_be_otherwise(tmp_path, copy_demo) -> None:
    """A reading moves its own pump alone; a failure moves what is believed of all."""
    with Depot.open(copy_demo(tmp_path / "kept.sqlite3")) as depot:
        desk = Desk(depot)
        both = ("north-quay", "tank-farm")
        here, there = (of_pump(facts(desk), key)[1] for key in both)
        assert of_pump(facts(desk), "north-quay")[1] is here
        visit = next(v for v in visits.open_visits(desk) if v.pump == "north-quay")
        readings = desk.visit(visit.id).readings
        assert readings is not None
        checks.save(desk, visit.id, readings.model_copy(update={"note": "read again"}))
        assert of_pump(facts(desk), "north-quay")[1] is not here
        assert of_pump(facts(desk), "tank-farm")[1] is there
        life.save_fitted(desk, "dry-dock", PartFitted(part="static-packings", why="worn out"))
        kept_up = facts(desk)
        anew, _ = gather(depot, kept_up.today, kept_up.state)
        for key in both:
            ours, theirs = (of_pump(known, key)[1] for known in (kept_up, anew))
            assert [r.time for r in ours] == [r.time for r in theirs]


def test_a_nozzle_measured_narrows_what_is_left_of_it(tmp_path, copy_demo) -> None:
    with Depot.open(copy_demo(tmp_path / "n.sqlite3")) as depot:
        desk = Desk(depot)
        place, today = LIFE_PARTS.index("nozzle"), facts(desk).today
        life.save_fitted(
            desk, "blast-hall", PartFitted(part="nozzle", why="planned",
                                           on=today - timedelta(days=20)),
        )  # fmt: skip
        before = life.life_summary(desk, "blast-hall").parts[place]
        life.save_nozzle(desk, "blast-hall", NozzleMeasured(fan=(0.21, 0.215), fan_new=0.25))
        after = life.life_summary(desk, "blast-hall").parts[place]
    assert after.measured
    assert not before.measured
    assert after.time.middle < before.time.middle
    assert after.time.high < before.time.high
    # a fan that lost 15 % of 25 % allowed in 20 days has about 13 days left at that rate
    assert 4 < after.time.middle / 86400 < 20


def _chance(desk: Desk, visit: str, fault: Fault) -> float:
    found = checks.view(desk, visit).diagnosis
    assert found is not None
    return next(f.probability for f in found.findings if f.fault is fault)


def test_lives_lean_find_the_fault_and_what_it_finds_comes_back(tmp_path, copy_demo) -> None:
    with Depot.open(copy_demo(tmp_path / "both.sqlite3")) as depot:
        desk = Desk(depot)
        seen = life.view(desk, "north-quay")
        visit = next(v.id for v in visits.open_visits(desk) if v.pump == "north-quay")
        alone = {r.part: r for r in of_pump(facts(desk), "north-quay")[1]}
        faults = {BY_TITLE[name] for name, _ in seen.suspects}
        suspected = {part for fault in faults for part in fault.life_parts}
        assert 0 < len(suspected) < len(LIFE_PARTS)
        for r in seen.parts:  # back: what is suspected has less left, the others the same
            assert (r.month > alone[r.part].month) == (r.part in suspected)
            assert ("running checks" in r.because) == (r.part in suspected)
        for fault in faults:
            sound = math.prod(1 - r.month for r in seen.parts if r.part in fault.life_parts)
            assert 1 - sound > 0.8 * dict(seen.suspects)[fault.title]
        fault = max(faults, key=lambda f: dict(seen.suspects)[f.title])
        before = _chance(desk, visit, fault)
        for part in fault.life_parts:  # there: new parts are suspected less
            life.save_fitted(desk, "north-quay", PartFitted(part=part, why="planned"))
        assert _chance(desk, visit, fault) < before
        fresh = {r.part: r for r in life.view(desk, "north-quay").parts}
        assert not any("running checks" in fresh[part].because for part in fault.life_parts)
