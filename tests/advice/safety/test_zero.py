"""How zero stands: what proves it, what ends it, for whom, and at which moment.

All of it is common practice, no source: proven zero lapses with anything that can bring pressure
back, another technician or another day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.safety.zero import SKEW, Event, Record, record_of, same_person, standing, when
from wetend.pump.make_safe import CLEARING, all_done

NOON = datetime(2031, 5, 4, 12).astimezone()  # on this machine's clock: a day is a local day
MINUTE = timedelta(minutes=1)
WHOLE = all_done("air")
HALF = WHOLE.model_copy(update={"dump_opened": False})


@dataclass
class Log:
    """A visit's record being written, a minute an entry unless told otherwise."""

    now: datetime = NOON
    events: list[Event] = field(default_factory=list)

    def put(self, kind: str, who: str = "Ada", **more: object) -> Event:
        self.now += MINUTE
        said = {"id": f"{len(self.events):032x}", "at": self.now, "who": who, "kind": kind, **more}
        self.events.append(Event(**said))
        return self.events[-1]

    def list(self, who: str = "Ada", ticked: object = WHOLE, **more: object) -> Event:
        return self.put("list", who, ticked=ticked, **more)

    def pressure(self, **more: object) -> Event:
        return self.put("pressure", **{"what": "strokes timed", **more})

    @property
    def record(self) -> Record:
        return record_of(self.events, "air")

    def stands(self, who: str = "Ada", at: datetime | None = None) -> bool:
        return standing(self.record, who, at or self.now).stands

    def line(self, who: str = "Ada", at: datetime | None = None) -> str:
        return standing(self.record, who, at or self.now).line


def test_a_whole_list_proves_zero_and_says_who_when_and_by_what() -> None:
    log = Log()
    assert log.line() == "Zero is not proven. The list has not been ticked on this visit."
    proof = log.list()
    assert log.stands()
    assert log.line() == (
        f"Zero proven by Ada, {when(proof.at)}, by the gauge: needle on its stop."
    )


@pytest.mark.parametrize(
    ("kind", "more", "why"),
    [
        ("pressure", {"what": "strokes timed"}, "strokes timed"),
        ("pressure", {"what": "the pump ran again", "who": "Bo"}, "the pump ran again"),
        ("list", {"ticked": HALF}, "a list with something missing was saved"),
        ("list", {"ticked": HALF, "who": "Bo"}, "a list with something missing was saved"),
        ("handed-over", {}, "the pump was handed over"),
        ("taken-back", {"what": f"{0:032x}"}, "the list was withdrawn"),
    ],
)
def test_what_ends_it_is_named_with_its_time_and_who_did_it(
    kind: str, more: dict[str, object], why: str
) -> None:
    log = Log()
    log.list()
    log.put("other")
    assert log.stands()
    end = log.put(kind, **more)
    assert not log.stands()
    by = " (Bo)" if more.get("who") == "Bo" else ""
    assert f"Since then: {why}, {when(end.at)}{by}. Prove it again." in log.line()


@pytest.mark.parametrize("kind", ["other", "taken-back"])
def test_what_has_nothing_to_do_with_pressure_ends_nothing(kind: str) -> None:
    log = Log()
    log.list()
    log.put(kind, what="another entry's id")
    assert log.stands()


def test_twice_proven_it_stands_from_the_second_and_ended_twice_it_is_over_once() -> None:
    log = Log()
    log.list()
    log.pressure()
    first = log.now
    log.pressure()
    assert when(first) in log.line()
    again = log.list()
    assert log.stands()
    assert when(again.at) in log.line()
    log.list()
    assert log.stands()


def test_it_stands_only_on_the_local_day_it_was_proven() -> None:
    log = Log(now=NOON.replace(hour=23, minute=57))
    log.list()
    assert log.stands(at=NOON.replace(hour=23, minute=59))
    next_day = NOON.replace(hour=0, minute=0) + timedelta(days=1)
    assert not log.stands(at=next_day)
    assert "That was on another day. Prove it again." in log.line(at=next_day)
    log.now = next_day
    log.list(ticked=HALF)  # what was over by then is not ended by it
    assert "That was on another day. Prove it again." in log.line()


def test_it_stands_for_whoever_proved_it_and_for_nobody_else() -> None:
    log = Log()
    log.list("Ada")
    assert not log.stands("Bo")
    assert (
        "It holds for Ada alone: whoever works on the pump must prove it, and you are Bo."
    ) in log.line("Bo")
    assert "enter your name" in log.line("")
    log.list("Bo")  # each their own
    assert log.stands("Ada")
    assert log.stands("Bo")
    log.pressure(who="Cy")
    assert not log.stands("Ada")
    assert not log.stands("Bo")


def test_a_name_is_the_same_in_any_case_and_spacing_and_nobody_is_nobody() -> None:
    log = Log()
    log.list("R.  Okafor")
    assert log.stands("r. okafor ")
    assert not same_person("", "")


def test_a_list_without_a_name_proves_nothing() -> None:
    log = Log()
    log.list("  ")
    assert not log.stands("")
    assert "a list without a name proves nothing" in log.line("")


def test_a_proof_dated_in_the_future_is_none_and_stays_none_once_its_clock_is_found_wrong() -> None:
    log = Log(now=NOON + timedelta(hours=3))
    log.list()  # by a clock three hours fast
    log.now = NOON
    assert not log.stands(at=NOON)
    assert "dated in the future" in log.line(at=NOON)
    log.put("other")  # by a right one
    later = NOON + timedelta(hours=4)
    assert not log.stands(at=later)
    assert "the clock it was proven by was wrong" in log.line(at=later)
    log.now = later
    log.list()
    assert log.stands()


def test_clocks_a_little_apart_end_nothing() -> None:
    log = Log()
    proof = log.list()
    log.put("other", at=proof.at - SKEW / 2)
    assert log.stands()


def test_pressure_written_down_after_a_proof_ends_it_though_its_clock_was_set_back() -> None:
    log = Log()
    proof = log.list()
    log.pressure(at=proof.at - SKEW / 2)
    assert not log.stands()


def test_pressure_sent_late_counts_from_when_it_was_noted() -> None:
    log = Log()
    first, noted = log.list(), log.now + MINUTE / 2
    again = log.list()
    log.pressure(at=noted, late=True)
    assert log.stands()  # noted before zero was proven again
    assert not log.stands(at=noted)
    assert log.stands(at=(first.at + (noted - first.at) / 2))
    assert log.stands(at=again.at)
    log.pressure(late=True)
    assert not log.stands()


def test_a_blockage_keeps_the_gate_shut_until_it_is_cleared_step_by_step() -> None:
    def said(blockage: str, steps: Sequence[str] = ()) -> object:
        return WHOLE.model_copy(update={"blockage": blockage, "clearing": tuple(steps)})

    log = Log()
    log.list(ticked=said("suspected"))
    assert not log.stands()
    assert "may be blocked" in log.line()
    log.list(ticked=said("ran free"))  # said of one that was suspected: not believed
    assert not log.stands()
    assert log.record.blocked
    log.list(ticked=said("cleared", CLEARING[:-1]))
    assert not log.stands()
    log.list(ticked=said("cleared", CLEARING))
    assert log.stands()
    assert not log.record.blocked
    log.list(ticked=said("ran free"))
    assert log.stands()
    log.list("Bo", ticked=said("suspected", CLEARING))  # twice
    assert not log.stands()


def test_a_gauge_that_readings_have_shown_dead_proves_nothing_and_hands_do() -> None:
    log = Log()
    by_gauge, by_hand = log.list(), log.list(ticked=all_done("air", "hand"))
    doubted = {by_gauge.id: True, by_hand.id: True}
    record = record_of(log.events, "air", doubted)
    assert [p.id for p in record.proofs] == [by_hand.id]
    assert not record.proofs[0].by_gauge
    only = record_of(log.events[:1], "air", doubted)
    assert "have shown the gauge dead" in standing(only, "Ada", log.now).line


@st.composite
def histories(draw: st.DrawFn) -> tuple[list[Event], list[tuple[datetime, dict[str, datetime]]]]:
    """A record in order, and for moments between its entries who had zero proven, and when.

    The second is told forwards, entry by entry, and so by another way than the code goes.
    """
    log, proven, moments = Log(now=NOON.replace(hour=22)), {}, []
    steps = st.sampled_from(["whole", "half", "pressure", "handed-over", "other", "day"])
    for step in draw(st.lists(steps, max_size=14)):
        who = draw(st.sampled_from(["Ada", "Bo"]))
        log.now += draw(st.sampled_from([0, 1, 30, 90])) * MINUTE
        if step == "day":
            log.now += timedelta(hours=20)
        elif step == "whole":
            proven = {**proven, who: log.list(who).at}
        elif step == "half":
            log.list(who, HALF)
            proven = {}
        elif step == "other":
            log.put("other", who)
        else:
            log.put(step, who, what="gauge read")
            proven = {}
        moments.append((log.now, dict(proven)))
    return log.events, moments


@given(histories(), st.randoms(use_true_random=False))
def test_whatever_was_entered_zero_stood_at_each_moment_for_whom_it_had_been_proven(
    told: tuple[list[Event], list[tuple[datetime, dict[str, datetime]]]], mixed: object
) -> None:
    events, moments = told
    events = list(events)
    mixed.shuffle(events)  # two depots merged bring them in any order
    record = record_of(events, "air")
    for at, proven in moments:
        for who in ("Ada", "Bo", ""):
            there = proven.get(who)
            stood = there is not None and there.date() == at.date()
            seen = standing(record, who, at)
            assert seen.stands == stood
            assert bool(seen.why_not) != stood
    twice = record_of([*events, *(replace(e) for e in events)], "air")
    assert [p.id for p in twice.proofs[::2]] == [p.id for p in record.proofs]
