"""Corrections and withdrawals: of each thread the latest that is not withdrawn stands."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import given, settings
from hypothesis import strategies as st

from wetend.pump.readings import Complaint, Note
from wetend.records.corrections import standing
from wetend.records.entries import Entry, Withdrawn, new_entry
from wetend.records.ids import new_id


class Work:
    """Notes of one visit, said, corrected and withdrawn."""

    def __init__(self) -> None:
        self.visit = new_id()
        self.entries: list[Entry] = []

    def say(self, text: str, corrects: Entry | None = None) -> Entry:
        made = new_entry(
            "note", Note(text=text), pump="p", visit=self.visit,
            corrects=corrects.id if corrects else None,
        )  # fmt: skip
        self.entries.append(made)
        return made

    def withdraw(self, entry: Entry) -> Entry:
        made = new_entry("withdrawn", Withdrawn(), pump="p", visit=self.visit, corrects=entry.id)
        self.entries.append(made)
        return made


def shown(entries: Sequence[Entry]) -> list[str]:
    """The texts that stand."""
    return [s.noun.text for s in standing(entries) if isinstance(s.noun, Note)]


@st.composite
def worked(draw: st.DrawFn) -> list[Entry]:
    """A dozen entries that say, correct and withdraw at random."""
    work = Work()
    for number in range(draw(st.integers(1, 14))):
        act = draw(st.sampled_from(("say", "correct", "withdraw")))
        notes = [e for e in work.entries if e.kind == "note"]
        if act == "correct" and notes:
            work.say(str(number), draw(st.sampled_from(notes)))
        elif act == "withdraw" and work.entries:
            work.withdraw(draw(st.sampled_from(work.entries)))
        else:
            work.say(str(number))
    return work.entries


def test_of_two_corrections_the_latest_holds() -> None:
    """Two devices mend the same slip while apart."""
    work = Work()
    slip = work.say("slip")
    work.say("one", slip)
    work.say("two", slip)
    assert shown(work.entries) == ["two"]


def test_a_correction_stays_when_the_one_between_is_withdrawn() -> None:
    work = Work()
    slip = work.say("slip")
    between = work.say("between", slip)
    last = work.say("last", between)
    work.withdraw(between)
    assert shown(work.entries) == ["last"]
    work.withdraw(last)
    assert shown(work.entries) == ["slip"]


def test_corrections_that_arrive_before_what_they_correct_are_one_thread() -> None:
    work = Work()
    slip = work.say("slip")
    work.say("one", slip)
    work.say("two", slip)
    without = [e for e in work.entries if e is not slip]
    assert shown(without) == ["two"]


def test_a_withdrawn_correction_corrects_nothing() -> None:
    work = Work()
    slip = work.say("slip")
    work.withdraw(work.say("worse", slip))
    assert shown(work.entries) == ["slip"]


def test_a_correction_in_another_visit_does_not_reach_over() -> None:
    work, other = Work(), Work()
    kept = work.say("kept")
    other.say("stray", kept)
    assert shown([*work.entries, *other.entries]) == ["kept", "stray"]


def _undone(entry: Entry, entries: Sequence[Entry]) -> bool:
    """Whether a withdrawal that is not itself undone names the entry."""
    naming = [e for e in entries if e.kind == "withdrawn" and e.corrects == entry.id]
    return any(not _undone(e, entries) for e in naming)


def _same_thread(one: Entry, entries: Sequence[Entry]) -> set[str]:
    """Ids reached from an entry by following corrections up and down until nothing is new."""
    links = [(e.id, e.corrects) for e in entries if e.kind != "withdrawn" and e.corrects]
    reached = {one.id}
    while grown := {i for link in links if reached & set(link) for i in link} - reached:
        reached |= grown
    return reached


@settings(deadline=None)
@given(entries=worked())
def test_what_stands_is_what_the_rule_says(entries: list[Entry]) -> None:
    """The rule read word for word, without the shortcuts of one pass."""
    expected = []
    for entry in entries:
        thread = _same_thread(entry, entries)
        fit = [e.id for e in entries if e.id in thread and not _undone(e, entries)]
        if entry.kind != "withdrawn" and fit and entry.id == max(fit):
            expected.append(entry)
    assert [s.entry for s in standing(entries)] == expected


def test_a_withdrawal_can_be_withdrawn_again_and_again() -> None:
    work = Work()
    undone = work.say("there")
    for turn in range(5):
        undone = work.withdraw(undone)
        assert shown(work.entries) == ([] if turn % 2 == 0 else ["there"])


def test_a_correction_of_another_kind_corrects_nothing() -> None:
    work = Work()
    kept = work.say("kept")
    other = new_entry(
        "complaint", Complaint(said="x"), pump="p", visit=work.visit, corrects=kept.id
    )
    assert shown([*work.entries, other]) == ["kept"]
    assert len(standing([*work.entries, other])) == 2
