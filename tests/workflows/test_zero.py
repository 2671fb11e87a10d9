"""The gate from entries: what a visit's own work does to zero, and marks judged by their moment."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from examples import costly
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from wetend.errors import NotSafe
from wetend.pump.make_safe import MakeSafe, PumpRan, all_done
from wetend.pump.measurements import BallMeasured, ProofReadings, StackMeasured
from wetend.pump.readings import CheckReadings, Complaint, Note, SignOff, ToolBag, VisitStart
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.pump.usage import NozzleMeasured
from wetend.records.store import Depot
from wetend.workflows import (
    checks,
    handover,
    inspect,
    job,
    life,
    listening,
    prove,
    pumps,
    rebuild,
    record,
    strip,
    visits,
    zero,
)
from wetend.workflows import complaint as heard
from wetend.workflows.desk import Desk
from wetend.workflows.marks import Mark

pytestmark = pytest.mark.usefixtures("midday")
WHO = "R. Okafor (invented)"
BAG = ToolBag(tools=("c-spanner", "pipe-wrench", "adjustable", "hammer", "soft-drift"), vice=True)
BAR = 1e5
Act = Callable[[Desk, str], object]
PEOPLE = st.sampled_from(["Ada", "Bo"])


def _desk(depot: Depot) -> Desk:
    desk = Desk(depot, who=WHO)
    pumps.describe(desk, demo_pump("quay-air"))
    return desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        yield _desk(depot)


@pytest.fixture
def visit(desk: Desk) -> str:
    made = visits.start(desk, VisitStart(pump="quay-air"))
    strip.save_bag(desk, made, BAG)
    return made


def _prove(desk: Desk, visit: str, **more: object) -> None:
    zero.save_list(desk, visit, all_done("air").model_copy(update=more))


def _stands(desk: Desk, visit: str, at: datetime | None = None) -> bool:
    return zero.zero_of(desk.visit(visit), desk.who, at).stands


def _line(desk: Desk, visit: str) -> str:
    return zero.zero_of(desk.visit(visit), desk.who).line


_PRESSURE: dict[str, tuple[Act, str]] = {
    "strokes": (lambda d, v: checks.save(d, v, CheckReadings(up_times=(1.2,))), "strokes timed"),
    "gauge": (lambda d, v: checks.save(d, v, CheckReadings(spray_pressure=2e7)), "gauge read"),
    "creep": (lambda d, v: checks.save(d, v, CheckReadings(creep_up=0.001)), "creep read"),
    "bucket": (lambda d, v: checks.save(d, v, CheckReadings(bucket_cycles=60)), "bucket filled"),
    "recording": (lambda d, v: listening.save(d, v, [1.2], [1.1], spread=0.1), "strokes timed"),
    "proof": (lambda d, v: prove.save(d, v, ProofReadings(stall_pressure=2e7)), "gauge read"),
    "ran": (lambda d, v: zero.report_ran(d, v, PumpRan(why=
        "flushed")), "the pump ran again: flushed"),
    "flushed": (lambda d, v: job.flushed(d, v), "the pump was flushed"),
    "nozzle": (
        lambda d, v: life.save_nozzle(
            d, "quay-air", NozzleMeasured(volume=1e-3, time=20, pressure=2e7)
        ),
        "a nozzle was measured",
    ),
    "list changed": (lambda d, v: _prove(d, v, bonded=False), "a list with something missing"),
    "sign-off": (lambda d, v: handover.sign_off(d, v, SignOff(technician="R.")), "handed over"),
}  # fmt: skip


@pytest.mark.parametrize("what", _PRESSURE)
def test_zero_lapses_with_whatever_means_pressure(desk: Desk, visit: str, what: str) -> None:
    act, why = _PRESSURE[what]
    _prove(desk, visit)
    assert _stands(desk, visit)
    act(desk, visit)
    assert not _stands(desk, visit)
    assert why in _line(desk, visit)
    with pytest.raises(NotSafe, match=why):
        strip.mark(desk, visit, done=("slacken-gland",))


_STILL: dict[str, Act] = {
    "complaint": lambda d, v: heard.save_complaint(d, v, Complaint(said="drips")),
    "coating": lambda d, v: visits.choose_coating(d, v, demo_coatings()[0]),
    "a look": lambda d, v: checks.save(d, v, CheckReadings(filter_looked="blocked", note="sand")),
    "solvent": lambda d, v: prove.save(d, v, ProofReadings(solvent_lost=0.0, solvent_head=0.05)),
    "tools": lambda d, v: strip.save_bag(d, v, BAG.model_copy(update={"vice": False})),
    "ball": lambda d, v: inspect.save(d, v, BallMeasured(marks="fine marks")),
    "stack": lambda d, v: rebuild.save(d, v, StackMeasured(tin=(0.5e-3,))),
    "remark": lambda d, v: visits.add_note(d, v, Note(text="windy")),
    "a fan measured": lambda d, v: life.save_nozzle(
        d, "quay-air", NozzleMeasured(fan=(0.2,), fan_new=0.3)
    ),
}


@pytest.mark.parametrize("what", _STILL)
def test_work_without_pressure_leaves_zero_standing(desk: Desk, visit: str, what: str) -> None:
    checks.save(desk, visit, CheckReadings(up_times=(1.2,)))
    _prove(desk, visit)
    _STILL[what](desk, visit)
    assert _stands(desk, visit)


def test_readings_withdrawn_do_not_bring_zero_back_nor_does_a_list_put_back(
    desk: Desk, visit: str
) -> None:
    _prove(desk, visit)
    proof = desk.visit(visit).entries[-1].id
    record.withdraw(desk, proof)
    assert "the list was withdrawn" in _line(desk, visit)
    record.put_back(desk, proof)
    assert not _stands(desk, visit)
    _prove(desk, visit)
    zero.report_ran(desk, visit, PumpRan())
    record.withdraw(desk, desk.visit(visit).entries[-1].id)
    assert not _stands(desk, visit)  # the pump may have run


def test_another_day_another_person_and_a_clock_ahead_are_each_told_apart(
    desk: Desk, visit: str
) -> None:
    now = datetime.now(UTC)
    desk.keep("make-safe", all_done("air"), pump="quay-air", visit=visit,
              at=now - timedelta(days=1))  # fmt: skip
    assert "That was on another day" in _line(desk, visit)
    desk.keep("make-safe", all_done("air"), pump="quay-air", visit=visit,
              at=now + timedelta(hours=1))  # fmt: skip
    assert not _stands(desk, visit)
    _prove(desk, visit)
    assert _stands(desk, visit)
    other = Desk(desk.depot, who="J. Vantrell (demo)")
    assert not _stands(other, visit)
    with pytest.raises(NotSafe, match="whoever works on the pump must prove it, and you are J"):
        strip.mark(other, visit, done=("slacken-gland",))
    _prove(other, visit)
    strip.mark(other, visit, done=("slacken-gland",))
    strip.mark(desk, visit, done=("suction-off",))


DEAD = {"up_times": (1.3, 1.3), "down_times": (1.3, 1.3), "stall_pressure": 2 * BAR}


@pytest.mark.parametrize("known", [True, False], ids=["coating known", "coating not known"])
def test_a_gauge_found_dead_proves_nothing_until_another_has_read(
    desk: Desk, visit: str, known: bool
) -> None:
    if known:
        visits.choose_coating(desk, visit, demo_coatings()[0])
    checks.save(desk, visit, CheckReadings(**DEAD))
    gate = zero.gate_of(desk, desk.visit(visit))
    assert gate.gauge_in_doubt
    assert "the drive's stall pressure" in gate.caution.text  # its 2 bar are not believed
    _prove(desk, visit)
    assert "have shown the gauge dead" in _line(desk, visit)
    zero.save_list(desk, visit, all_done("air", "hand"))
    assert "without a gauge" in _line(desk, visit)
    assert _stands(desk, visit)
    checks.save(desk, visit, CheckReadings(stall_pressure=270 * BAR))
    _prove(desk, visit)
    assert _stands(desk, visit)
    assert "270 bar (the highest reading" in zero.gate_of(desk, desk.visit(visit)).caution.text


def test_a_list_begun_goes_on_and_one_that_is_over_begins_anew(desk: Desk, visit: str) -> None:
    def begun(who: str = WHO) -> MakeSafe:
        return zero.gate_of(Desk(desk.depot, who=who), desk.visit(visit)).begun

    assert begun() == MakeSafe()
    zero.put_to_list(desk, visit, MakeSafe(bonded=True))
    zero.put_to_list(desk, visit, MakeSafe(drive_off=True))
    assert begun().bonded
    assert begun().drive_off
    assert begun("Bo") == MakeSafe()  # each their own
    checks.save(desk, visit, CheckReadings(up_times=(1.2,)))
    assert begun() == MakeSafe()  # half, and the pump ran: all anew
    _prove(desk, visit)
    assert begun() == all_done("air")  # so that a tick can be taken back
    zero.report_ran(desk, visit, PumpRan())
    assert begun() == MakeSafe()
    desk.keep("make-safe", MakeSafe(bonded=True), pump="quay-air", visit=visit,
              at=datetime.now(UTC) - timedelta(days=1))  # fmt: skip
    assert begun() == MakeSafe()  # yesterday's half is not gone on with


def test_a_blockage_suspected_is_still_suspected_on_a_list_begun_anew(
    desk: Desk, visit: str
) -> None:
    _prove(desk, visit, blockage="suspected")
    zero.report_ran(desk, visit, PumpRan())
    assert zero.gate_of(desk, desk.visit(visit)).begun == MakeSafe(blockage="suspected")


def test_a_mark_sent_late_counts_if_zero_stood_when_it_was_made(desk: Desk, visit: str) -> None:
    now = datetime.now(UTC)

    def ago(tenths: float) -> datetime:
        return now - timedelta(seconds=tenths / 10)

    desk.keep("make-safe", all_done("air"), pump="quay-air", visit=visit, at=ago(30))
    desk.keep("check-readings", CheckReadings(up_times=(1.2,)), pump="quay-air", visit=visit,
              at=ago(10))  # fmt: skip
    keys = [o.key for o in demo_pump("quay-air").strip.operations]
    sent = (
        Mark(keys[0], at=ago(40)), Mark(keys[1], at=ago(20)), Mark(keys[2], at=ago(11)),
        Mark(keys[3], at=ago(5)), Mark(keys[4]), Mark("<b>none", at=ago(20)),
    )  # fmt: skip
    for _ in range(2):  # sent again they change nothing, and none is refused that is kept
        marked = strip.keep(desk, visit, sent)
        assert strip.view(desk, visit).done == (keys[1], keys[2])
        refused = {r.step: r for r in marked.refused}
        assert set(refused) == {keys[0], keys[3], keys[4], "<b>none"}
    assert "strokes timed" in refused[keys[3]].why
    assert not refused["<b>none"].unsafe
    kept = [e for e in desk.visit(visit).entries if e.kind == "strip-progress"]
    assert [e.at for e in kept] == [ago(20), ago(11)]


def test_two_devices_one_of_them_late_keep_what_was_done_while_zero_stood(
    tmp_path: Path, desk: Desk, visit: str
) -> None:
    """One goes on in a copy of the depot, parted before the pump was run at the other."""
    _prove(desk, visit)
    with Depot.open(tmp_path / "other.sqlite3") as copy:
        copy.merge(desk.depot.each_entry())
        other = Desk(copy, who=WHO)
        rebuild.mark(other, visit, done=("suction-off",))
        zero.report_ran(desk, visit, PumpRan())
        desk.depot.merge(list(copy.each_entry()))
        copy.merge(list(desk.depot.each_entry()))
        assert rebuild.view(desk, visit).done == ("suction-off",)
        for either in (desk, other):
            with pytest.raises(NotSafe):
                rebuild.mark(either, visit, done=("foot-crack",))


def test_pressure_entered_while_marks_are_sent_lets_none_in_behind_it(
    desk: Desk, visit: str
) -> None:
    _prove(desk, visit)
    keys = [o.key for o in demo_pump("quay-air").strip.operations]
    both = threading.Barrier(2)
    kept: list[object] = []

    def mark() -> None:
        both.wait(10)
        kept.extend((key, strip.keep(desk, visit, (Mark(key),)).refused) for key in keys)

    thread = threading.Thread(target=mark)
    thread.start()
    both.wait(10)
    zero.report_ran(desk, visit, PumpRan())
    thread.join(20)
    seen = desk.visit(visit)
    ran = next(e for e in seen.entries if e.kind == "pump-ran")
    assert set(strip.view(desk, visit).done) == {key for key, refused in kept if not refused}
    late = [e for e in seen.entries if e.kind == "strip-progress" and e.at > ran.at]
    assert late == []


class Gate(RuleBasedStateMachine):
    """Two technicians at one visit, days and minutes going by, marks sent at once or late.

    Beside the code's answer it keeps its own, told forwards: who has zero proven, and since when.
    """

    def __init__(self) -> None:
        super().__init__()
        self.folder = TemporaryDirectory()
        self.depot = Depot.open(Path(self.folder.name) / "d.sqlite3")
        self.visit = visits.start(_desk(self.depot), VisitStart(pump="quay-air"))
        self.now = datetime(2021, 5, 4, 22).astimezone()
        self.proven: dict[str, datetime] = {}
        self.unsent: list[tuple[str, Mark, bool]] = []
        self.steps = [o.key for o in demo_pump("quay-air").strip.operations]
        self.done: set[str] = set()

    def teardown(self) -> None:
        self.depot.close()
        self.folder.cleanup()

    def _keep(self, kind: str, noun: object, who: str) -> None:
        self.now += timedelta(seconds=20)
        Desk(self.depot, who=who).keep(
            kind, noun, pump="quay-air", visit=self.visit, at=self.now
        )  # fmt: skip

    @rule(minutes=st.sampled_from([1, 50, 700]))
    def wait(self, minutes: int) -> None:
        self.now += timedelta(minutes=minutes)

    @rule(who=PEOPLE, way=st.sampled_from(["gauge", "hand"]))
    def prove(self, who: str, way: str) -> None:
        self._keep("make-safe", all_done("air", way), who)
        self.proven[who] = self.now

    @rule(who=PEOPLE)
    def take_a_tick_back(self, who: str) -> None:
        self._keep("make-safe", all_done("air").model_copy(update={"gun_dead": False}), who)
        self.proven = {}

    @rule(who=PEOPLE, noun=st.sampled_from([
        ("check-readings", CheckReadings(up_times=(1.2,))),
        ("proof", ProofReadings(stall_pressure=2e7)), ("pump-ran", PumpRan()),
    ]))  # fmt: skip
    def bring_pressure(self, who: str, noun: tuple[str, object]) -> None:
        self._keep(*noun, who)
        self.proven = {}

    @rule(who=PEOPLE)
    def remark(self, who: str) -> None:
        self._keep("note", Note(text="windy"), who)

    @precondition(lambda self: self.steps)
    @rule(who=PEOPLE)
    def mark(self, who: str) -> None:
        self.now += timedelta(seconds=20)
        since = self.proven.get(who)
        stands = since is not None and since.date() == self.now.date()
        self.unsent.append((who, Mark(self.steps.pop(), at=self.now), stands))

    @rule(who=PEOPLE)
    def send(self, who: str) -> None:
        sent = [(mark, stood) for w, mark, stood in self.unsent if w == who]
        self.unsent = [each for each in self.unsent if each[0] != who]
        marked = strip.keep(
            Desk(self.depot, who=who), self.visit, [mark for mark, _ in sent]
        )  # fmt: skip
        assert {r.step for r in marked.refused} == {mark.step for mark, ok in sent if not ok}
        self.done |= {mark.step for mark, ok in sent if ok}

    @invariant()
    def what_stands_done_was_done_while_zero_stood(self) -> None:
        kept = Desk(self.depot).visit(self.visit).progress
        assert set(kept.done if kept else ()) == self.done


TestGate = Gate.TestCase
TestGate.settings = settings(costly(8), stateful_step_count=25)
