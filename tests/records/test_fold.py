"""Folding: the same visit whatever order entries come in and however often."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetend.errors import BadInput, NotFound
from wetend.pump.description import Pump
from wetend.pump.make_safe import MakeSafe
from wetend.pump.measurements import (
    BallMeasured,
    CylinderMeasured,
    PackingsMeasured,
    ProofReadings,
    RodMeasured,
    SealLandMeasured,
    SeatMeasured,
    SolventTest,
    StackMeasured,
)
from wetend.pump.readings import (
    CheckReadings,
    Complaint,
    Note,
    Photo,
    RebuildProgress,
    SetUpRequest,
    SignOff,
    StripProgress,
    ToolBag,
    VisitStart,
)
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.records.entries import Entry, EntryKind, Withdrawn, new_entry
from wetend.records.fold import HISTORY_KINDS, STAGES, fold_history, fold_pump, fold_visit
from wetend.records.ids import new_id
from wetend.units.noun import Noun

PUMP = demo_pump("quay-air")
DESCRIBED = new_entry("pump-described", PUMP, pump=PUMP.key)


class Work:
    """A visit being worked on by somebody."""

    def __init__(self) -> None:
        self.visit = new_id()
        self.entries = [DESCRIBED]
        self.say("visit-started", VisitStart(pump=PUMP.key, reason="no pressure"))

    def say(self, kind: EntryKind, noun: Noun, corrects: Entry | None = None) -> Entry:
        made = new_entry(
            kind, noun, pump=PUMP.key, visit=self.visit, who="J",
            corrects=corrects.id if corrects else None,
        )  # fmt: skip
        self.entries.append(made)
        return made

    def withdraw(self, entry: Entry) -> Entry:
        return self.say("withdrawn", Withdrawn(reason="slip"), entry)


def test_a_visit_only_started() -> None:
    work = Work()
    visit = fold_visit(work.entries)
    assert visit.id == work.visit
    assert visit.pump == PUMP
    assert visit.start.reason == "no pressure"
    assert visit.started == work.entries[1].at
    assert visit.complaint is visit.proof is visit.sign_off is None
    assert (visit.measured, visit.photos, visit.notes, visit.unread) == ((), (), (), ())
    assert not visit.closed
    assert visit.done == dict.fromkeys(STAGES, False)
    assert visit.entries == (work.entries[1],)


def test_every_kind_has_its_place() -> None:
    work = Work()
    said: dict[EntryKind, Noun] = {
        "make-safe": MakeSafe(drive_off=True), "complaint": Complaint(said="drops"),
        "coating": demo_coatings()[0], "check-readings": CheckReadings(up_times=(1.0,)),
        "tool-bag": ToolBag(vice=True), "strip-progress": StripProgress(done=("x",)),
        "rebuild-progress": RebuildProgress(done=("y",)),
        "stack": StackMeasured(), "proof": ProofReadings(note="x"),
        "set-up": SetUpRequest(guns=2), "sign-off": SignOff(technician="J"),
        "photo": Photo(sha256="a" * 64, media="image/png"), "note": Note(text="x"),
    }  # fmt: skip
    measured: dict[EntryKind, Noun] = {
        "ball": BallMeasured(), "seat": SeatMeasured(), "rod": RodMeasured(),
        "cylinder": CylinderMeasured(), "seal-land": SealLandMeasured(),
        "packings": PackingsMeasured(), "solvent-test": SolventTest(head=0.1, time=60.0),
    }  # fmt: skip
    for kind, noun in {**said, **measured}.items():
        work.say(kind, noun)
    visit = fold_visit(work.entries)
    assert (
        visit.make_safe, visit.complaint, visit.coating, visit.readings, visit.bag,
        visit.progress, visit.rebuilt, visit.stack, visit.proof, visit.set_up, visit.sign_off,
        *visit.photos, *visit.notes,
    ) == tuple(said.values())  # fmt: skip
    assert visit.measured == tuple(measured.values())
    assert visit.closed
    assert visit.done == dict.fromkeys(STAGES, True)
    assert len(visit.entries) == 1 + len(said) + len(measured)


def test_the_latest_of_each_kind_is_shown_and_all_are_kept() -> None:
    work = Work()
    first = work.say("complaint", Complaint(said="first"))
    last = work.say("complaint", Complaint(said="last"))
    visit = fold_visit(work.entries)
    assert visit.complaint == Complaint(said="last")
    assert {first, last} <= set(visit.entries)


def test_marks_of_two_devices_add_up_and_a_later_mark_taken_back_stays_back() -> None:
    """Each device says what changed on it, not knowing the other's: by hand."""
    work = Work()
    work.say("strip-progress", StripProgress(done=("a", "b")))  # one
    work.say("strip-progress", StripProgress(done=("c",)))  # the other, which saw nothing of it
    work.say("strip-progress", StripProgress(done=("d",), undone=("b",)))  # one again
    visit = fold_visit(reversed(work.entries))
    assert visit.progress == StripProgress(done=("a", "c", "d"))
    assert visit.rebuilt is None
    work.say("strip-progress", StripProgress(done=("b",)))  # and done after all
    assert fold_visit(work.entries).progress.done == ("a", "c", "d", "b")
    work.say("rebuild-progress", RebuildProgress(undone=("x",)))
    assert fold_visit(work.entries).rebuilt == RebuildProgress()


def test_measurements_are_told_apart_by_end_and_set() -> None:
    work = Work()
    for width in (1e-3, 2e-3):
        work.say("seat", SeatMeasured(end="foot", band_width=width))
        work.say("seat", SeatMeasured(end="piston", band_width=width / 10))
        work.say("packings", PackingsMeasured(set="moving", gap=width / 100))
        work.say("packings", PackingsMeasured(set="static", gap=width / 200))
        work.say("rod", RodMeasured(run_out=width / 10))
    assert set(fold_visit(work.entries).measured) == {
        SeatMeasured(end="foot", band_width=2e-3), SeatMeasured(end="piston", band_width=2e-4),
        PackingsMeasured(set="moving", gap=2e-5), PackingsMeasured(set="static", gap=1e-5),
        RodMeasured(run_out=2e-4),
    }  # fmt: skip


def test_photos_and_notes_are_all_shown_in_order() -> None:
    work = Work()
    for n in range(3):
        work.say("note", Note(text=str(n)))
        work.say("photo", Photo(sha256=str(n) * 64, media="image/png"))
    visit = fold_visit(reversed(work.entries))
    assert [n.text for n in visit.notes] == ["0", "1", "2"]
    assert [p.sha256[0] for p in visit.photos] == ["0", "1", "2"]


def test_a_correction_takes_the_place_of_what_it_corrects() -> None:
    work = Work()
    slip = work.say("note", Note(text="slip"))
    work.say("note", Note(text="other"))
    mended = work.say("note", Note(text="mended"), slip)
    work.say("note", Note(text="mended twice"), mended)
    visit = fold_visit(work.entries)
    assert [n.text for n in visit.notes] == ["other", "mended twice"]
    assert slip in visit.entries


def test_a_corrected_start_began_when_first_entered() -> None:
    work = Work()
    work.say("visit-started", VisitStart(pump=PUMP.key, reason="mended"), work.entries[1])
    visit = fold_visit(work.entries)
    assert visit.start.reason == "mended"
    assert visit.started == work.entries[1].at
    assert fold_history(work.entries)[0].started == work.entries[1].at


def test_withdrawing_shows_what_stood_before() -> None:
    work = Work()
    work.say("complaint", Complaint(said="first"))
    second = work.say("complaint", Complaint(said="second"))
    gone = work.withdraw(second)
    assert fold_visit(work.entries).complaint == Complaint(said="first")
    work.withdraw(gone)
    assert fold_visit(work.entries).complaint == Complaint(said="second")


def test_a_withdrawn_sign_off_opens_the_visit_again() -> None:
    work = Work()
    signed = work.say("sign-off", SignOff(technician="J"))
    assert fold_visit(work.entries).closed
    work.withdraw(signed)
    assert not fold_visit(work.entries).closed


def test_who_and_when_are_kept() -> None:
    work = Work()
    at = datetime(2025, 3, 1, 8, tzinfo=UTC)
    made = new_entry("note", Note(text="x"), pump=PUMP.key, visit=work.visit, who="Å", at=at)
    visit = fold_visit([*work.entries, made])
    assert [(e.who, e.at) for e in visit.entries][-1] == ("Å", at)


def test_what_a_later_version_wrote_is_named_and_left_out() -> None:
    work = Work()
    work.say("complaint", Complaint(said="drops"))
    base = work.entries[-1]
    later = [
        base.model_copy(update={"id": new_id(), "kind": "hologram", "payload": "{}"}),
        base.model_copy(update={"id": new_id(), "payload": '{"said": "x", "smell": "sweet"}'}),
        base.model_copy(update={"id": new_id(), "payload": "torn"}),
    ]
    visit = fold_visit([*later, *work.entries])
    assert visit.complaint == Complaint(said="drops")
    assert visit.unread == tuple(later)
    assert len(visit.entries) == 5
    assert len(fold_history([*later, *work.entries])) == 1


def test_a_closed_visit_keeps_the_pump_as_it_was() -> None:
    work = Work()
    longer = PUMP.model_copy(update={"stroke": 0.1})
    open_visit = [*work.entries, new_entry("pump-described", longer, pump=PUMP.key)]
    assert fold_visit(open_visit).pump == longer
    work.say("sign-off", SignOff(technician="J"))
    after = new_entry("pump-described", PUMP.model_copy(update={"stroke": 0.12}), pump=PUMP.key)
    assert fold_visit([*open_visit, *work.entries, after]).pump == longer
    assert fold_pump([*open_visit, after]).stroke == 0.12


def test_a_corrected_description_reaches_closed_visits() -> None:
    work = Work()
    work.say("sign-off", SignOff(technician="J"))
    mended = new_entry(
        "pump-described", PUMP.model_copy(update={"stroke": 0.1}), pump=PUMP.key,
        corrects=DESCRIBED.id,
    )  # fmt: skip
    assert fold_visit([*work.entries, mended]).pump.stroke == 0.1


def test_what_is_not_there_is_not_found() -> None:
    work = Work()
    with pytest.raises(NotFound, match="no such visit"):
        fold_visit([])
    with pytest.raises(NotFound, match="no such visit"):
        fold_visit([DESCRIBED])
    with pytest.raises(NotFound, match="not described"):
        fold_visit(work.entries[1:])
    with pytest.raises(NotFound, match="no such pump"):
        fold_pump(work.entries[1:])
    work.withdraw(work.entries[1])
    with pytest.raises(NotFound, match="no such visit"):
        fold_visit(work.entries)
    assert fold_history(work.entries) == ()


def test_visits_are_folded_one_at_a_time() -> None:
    with pytest.raises(BadInput, match="several visits"):
        fold_visit([*Work().entries, *Work().entries])


def test_a_history_names_each_visit_the_newest_first() -> None:
    said, seen, silent = Work(), Work(), Work()
    said.say("complaint", Complaint(said="drops at night\nand more", seen=("will not prime",)))
    said.say("sign-off", SignOff(technician="J", fitted="foot seat"))
    seen.say("complaint", Complaint(seen=("down-stroke quick", "creeps down at stall")))
    lines = fold_history([*said.entries, *seen.entries, *silent.entries])
    assert [line.id for line in lines] == [silent.visit, seen.visit, said.visit]
    assert [line.complaint for line in lines] == [
        "no pressure", "down-stroke quick, creeps down at stall", "drops at night"
    ]  # fmt: skip
    assert [(line.fitted, line.closed) for line in lines] == [
        ("", False), ("", False), ("foot seat", True)
    ]  # fmt: skip
    assert {line.pump for line in lines} == {PUMP.key}


SAYINGS: tuple[tuple[EntryKind, Noun], ...] = (
    ("complaint", Complaint(said="a")), ("complaint", Complaint(said="b")),
    ("note", Note(text="a")), ("note", Note(text="b")),
    ("seat", SeatMeasured(end="foot")), ("seat", SeatMeasured(end="piston", note="x")),
    ("sign-off", SignOff(technician="J")), ("photo", Photo(sha256="0" * 64, media="image/png")),
    ("strip-progress", StripProgress(done=("a", "b"))),
    ("strip-progress", StripProgress(done=("c",), undone=("a",))),
)  # fmt: skip


@st.composite
def worked(draw: st.DrawFn) -> list[Entry]:
    """A visit of a dozen entries that say, correct and withdraw at random."""
    work = Work()
    for _ in range(draw(st.integers(0, 12))):
        targets = [e for e in work.entries if e.kind != "pump-described"]
        act = draw(st.sampled_from(("say", "correct", "withdraw")))
        target = draw(st.sampled_from(targets))
        kind, noun = draw(st.sampled_from(SAYINGS))
        if act == "say":
            work.say(kind, noun)
        elif act == "correct" and target.kind not in ("visit-started", "withdrawn"):
            work.say(kind, noun, target)
        elif target.kind != "visit-started":
            work.withdraw(target)
    return work.entries


@settings(deadline=None)
@given(entries=worked(), data=st.data())
def test_order_and_repetition_do_not_matter(entries: list[Entry], data: st.DataObject) -> None:
    again = data.draw(st.lists(st.sampled_from(entries), max_size=8))
    shuffled = data.draw(st.permutations([*entries, *again]))
    assert fold_visit(shuffled) == fold_visit(entries)
    assert fold_history(shuffled) == fold_history(entries)
    few = [entry for entry in shuffled if entry.kind in HISTORY_KINDS]
    assert fold_history(few) == fold_history(entries)


@settings(deadline=None)
@given(entries=worked(), data=st.data())
def test_two_devices_merge_by_union(entries: list[Entry], data: st.DataObject) -> None:
    """Each device holds some entries; whoever takes the other's over, both show the same."""
    one = data.draw(st.lists(st.sampled_from(entries), unique=True))
    other = [e for e in entries if e not in one] + data.draw(
        st.lists(st.sampled_from(entries), unique=True)
    )
    assert fold_visit([*one, *other]) == fold_visit([*other, *one]) == fold_visit(entries)


def test_both_demo_pumps_fold(demo_pumps: tuple[Pump, ...]) -> None:
    for pump in demo_pumps:
        assert fold_pump([new_entry("pump-described", pump, pump=pump.key)]) == pump


def test_an_entry_that_cannot_be_of_its_pump_is_left_out_and_named() -> None:
    """As older versions kept them: a seat of 1.2 m, which no page could show."""
    work = Work()
    work.say("stack", StackMeasured(heights={"seat": 0.012}))
    tall = work.say("stack", StackMeasured(heights={"seat": 1.201}))
    visit = fold_visit(work.entries)
    assert visit.stack is not None
    assert visit.stack.heights == {"seat": 0.012}
    assert [u.entry for u in visit.unfit] == [tall]
    assert "200 mm" in visit.unfit[0].why


def test_a_later_entry_changes_only_what_it_names() -> None:
    work = Work()
    work.say("proof", ProofReadings(solvent_lost=0.0))
    work.say("proof", ProofReadings(stall_pressure=2e7))
    proof = fold_visit(work.entries).proof
    assert proof is not None
    assert (proof.solvent_lost, proof.stall_pressure) == (0.0, 2e7)
