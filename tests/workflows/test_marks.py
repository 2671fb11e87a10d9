"""Steps marked done: the gate, marks that arrive twice, marks from two devices at once."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from wetend.advice.rebuild.fit import StackFit
from wetend.advice.rebuild.plan import RebuildPlan
from wetend.errors import BadInput, NotSafe
from wetend.pump.make_safe import all_done
from wetend.pump.measurements import BallMeasured, StackMeasured
from wetend.pump.readings import ToolBag, VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.store import Depot
from wetend.workflows import inspect, pumps, rebuild, strip, visits, zero
from wetend.workflows.desk import Desk

pytestmark = pytest.mark.usefixtures("midday")
BAG = ToolBag(
    tools=("c-spanner", "pipe-wrench", "strap-wrench", "tube", "adjustable", "second-adjustable",
           "socket-set", "soft-drift", "hammer", "open-spanners"),
    vice=True,
)  # fmt: skip
SAFE = all_done("air")
WHO = "R. Okafor (invented)"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        at = Desk(depot, who=WHO)
        pumps.describe(at, demo_pump("quay-air"))
        yield at


@pytest.fixture
def visit(desk: Desk) -> str:
    made = visits.start(desk, VisitStart(pump="quay-air"))
    strip.save_bag(desk, made, BAG)
    return made


@pytest.mark.parametrize("stage", [strip, rebuild])
def test_nothing_is_marked_before_zero_is_proven(desk: Desk, visit: str, stage) -> None:
    with pytest.raises(NotSafe):
        stage.mark(desk, visit, done=("suction-off",))
    almost = SAFE.model_copy(update={"needle": "not looked"})
    zero.save_list(desk, visit, almost)
    with pytest.raises(NotSafe):
        stage.mark(desk, visit, done=("suction-off",))
    zero.save_list(desk, visit, SAFE)
    stage.mark(desk, visit, done=("suction-off",))
    assert stage.view(desk, visit).done == ("suction-off",)


@pytest.mark.parametrize("stage", [strip, rebuild])
def test_marks_that_arrive_twice_change_nothing(desk: Desk, visit: str, stage) -> None:
    zero.save_list(desk, visit, SAFE)
    stage.mark(desk, visit, done=("suction-off", "foot-crack"))
    before = len(desk.visit(visit).entries)
    stage.mark(desk, visit, done=("foot-crack",))
    stage.mark(desk, visit, undone=("cage-out",))
    assert len(desk.visit(visit).entries) == before
    stage.mark(desk, visit, done=("cage-out",), undone=("suction-off",))
    assert stage.view(desk, visit).done == ("foot-crack", "cage-out")


@pytest.mark.parametrize("stage", [strip, rebuild])
def test_a_step_that_is_not_there_is_named(desk: Desk, visit: str, stage) -> None:
    zero.save_list(desk, visit, SAFE)
    with pytest.raises(BadInput, match="no-such-step"):
        stage.mark(desk, visit, done=("no-such-step",))


def test_marks_made_at_the_same_moment_all_count(desk: Desk, visit: str) -> None:
    zero.save_list(desk, visit, SAFE)
    keys = [s.operation.key for s in strip.view(desk, visit).plan.steps]
    threads = [
        threading.Thread(target=strip.mark, args=(desk, visit), kwargs={"done": (key,)})
        for key in keys
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    assert set(strip.view(desk, visit).done) == set(keys)


@pytest.mark.parametrize("stage", [strip, rebuild])
def test_two_depots_merged_keep_the_marks_of_both(tmp_path: Path, visit: str, desk, stage) -> None:
    """One device goes on with the strip while another, that parted from it earlier, does too."""
    zero.save_list(desk, visit, SAFE)
    stage.mark(desk, visit, done=("suction-off", "foot-crack"))
    with Depot.open(tmp_path / "other.sqlite3") as other_depot:
        other = Desk(other_depot, who=WHO)
        other_depot.merge(desk.depot.each_entry())
        stage.mark(desk, visit, done=("foot-housing-off",))
        stage.mark(other, visit, done=("cage-out",), undone=("foot-crack",))
        desk.depot.merge(list(other_depot.each_entry()))
        other_depot.merge(list(desk.depot.each_entry()))
        both = {"suction-off", "foot-housing-off", "cage-out"}
        assert set(stage.view(desk, visit).done) == both
        assert stage.view(other, visit).done == stage.view(desk, visit).done


def test_the_rebuild_follows_what_the_strip_took_apart(desk: Desk, visit: str) -> None:
    zero.save_list(desk, visit, SAFE)
    whole = rebuild.view(desk, visit).plan
    strip.mark(desk, visit, done=("suction-off", "foot-crack", "foot-housing-off", "cage-out"))
    rebuild.save(desk, visit, StackMeasured(tin=(0.5e-3, 0.25e-3), lever=0.4))
    some = rebuild.view(desk, visit)
    assert len(some.plan.steps) < len(whole.steps)
    assert {s.key for s in some.plan.steps} >= {"cage-out", "foot-crack", "solvent-foot"}
    tight = next(s for s in some.plan.steps if s.key == "foot-crack")
    assert tight.pull == pytest.approx(some.fit.torque / 0.4)


def test_what_is_worked_out_of_a_stack_follows_all_that_it_hangs_on(desk: Desk, visit: str) -> None:
    """The same again is not worked out again; a height, a lever, a tool or a fault is another."""

    def seen() -> tuple[StackFit | None, RebuildPlan | None]:
        view = rebuild.view(desk, visit)
        return view.fit, view.plan

    rebuild.save(desk, visit, StackMeasured(tin=(0.5e-3, 0.5e-3, 0.25e-3)))
    first = seen()
    assert seen()[0] is first[0]
    assert seen()[1] is first[1]
    part = demo_pump("quay-air").stack.parts[0]
    changes: tuple[Callable[[], object], ...] = (
        lambda: rebuild.save(desk, visit, StackMeasured(tin=(0.5e-3,), lever=0.6)),
        lambda: rebuild.save(
            desk, visit, StackMeasured(tin=(0.5e-3,), lever=0.6, heights={part.name: part.height})
        ),
        lambda: strip.save_bag(desk, visit, BAG.model_copy(update={"vice": False})),
        lambda: inspect.save(desk, visit, BallMeasured(marks="cracked or chipped")),
    )
    for change in changes:
        before = seen()
        change()
        assert seen()[1] is not before[1]
