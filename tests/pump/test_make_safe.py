"""The make-safe list: what each kind of drive needs, what proves zero, and lists kept earlier.

All of it is common practice, no source; 5 bar stays below the 7 bar from which a jet goes through
skin (from memory).
"""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.safety.checklist import missing, way_words
from wetend.pump.make_safe import (
    AROUND,
    BY_HAND,
    CLEARING,
    COARSE,
    DRIVE,
    HOSE,
    MakeSafe,
    all_done,
)
from wetend.records.entries import new_entry, payload_of

KINDS = sorted(DRIVE)
LINES = [(kind, name) for kind in KINDS for name in (*AROUND, *DRIVE[kind], *HOSE)]
BAR = 1e5


@pytest.mark.parametrize("way", ["gauge", "hand"])
@pytest.mark.parametrize("kind", KINDS)
def test_a_whole_list_lacks_nothing(kind: str, way: str) -> None:
    assert missing(all_done(kind, way), kind) == ()


@pytest.mark.parametrize(("kind", "name"), LINES)
def test_one_line_short_is_not_proven_and_the_line_is_named(kind: str, name: str) -> None:
    blank = MakeSafe.model_fields[name].default
    short = all_done(kind).model_copy(update={name: blank})
    assert short.lacking(kind) == (name,)
    assert len(missing(short, kind)) == 1


@pytest.mark.parametrize("kind", KINDS)
def test_lines_of_another_drive_are_not_asked(kind: str) -> None:
    others = {n for k in KINDS for n in DRIVE[k]} - set(DRIVE[kind])
    assert not others & set(MakeSafe().lacking(kind))


@pytest.mark.parametrize("name", BY_HAND)
def test_without_a_gauge_each_trial_by_hand_is_needed_and_the_gauge_is_not(name: str) -> None:
    by_hand = all_done("air", "hand")
    assert by_hand.model_copy(update={name: False}).lacking("air") == (name,)
    pressed = by_hand.model_copy(update={"gauge_reading": 250 * BAR, "needle": "off its stop"})
    assert pressed.lacking("air", doubted=True) == ()


def test_a_list_proven_by_hand_never_says_that_a_gauge_read_zero() -> None:
    read = all_done("air", "hand").model_copy(update={"gauge_reading": 0.0})
    told = way_words(read)
    assert told.startswith("without a gauge: ")
    assert "read" not in told
    assert "bar" not in told


@pytest.mark.parametrize(
    ("needle", "reading", "least", "zero"),
    [
        ("on its stop", None, None, True),
        ("off its stop", None, None, False),
        ("not looked", None, 1.0, False),
        ("not looked", 0.0, None, True),
        ("not looked", 0.5, 1.0, True),
        ("not looked", 1.0, 1.0, True),
        ("not looked", 1.01, 1.0, False),
        ("not looked", 2.0, None, False),  # 2 bar is never shown as zero
        ("not looked", 2.0, 1.0, False),
        ("not looked", 2.0, 10.0, False),  # a coarse gauge proves nothing
        ("not looked", 0.0, 10.0, False),
        ("on its stop", 0.0, 10.0, True),
        ("on its stop", 250.0, 1.0, False),
        ("off its stop", 0.0, None, False),
        ("off its stop", 0.5, 1.0, True),
    ],
)
def test_what_a_gauge_can_prove(
    needle: str, reading: float | None, least: float | None, zero: bool
) -> None:
    said = {
        "needle": needle,
        "gauge_reading": None if reading is None else reading * BAR,
        "gauge_resolution": None if least is None else least * BAR,
    }
    ticked = all_done("air").model_copy(update=said)
    assert ticked.reads_zero == zero
    assert (ticked.lacking("air") == ()) == zero
    assert ticked.lacking("air", doubted=True) == ("gauge_reading",)
    assert len(missing(ticked, "air")) == (0 if zero else 1)


@given(reading=st.floats(0, 2e8), least=st.none() | st.floats(1.0, 2e8))
def test_no_reading_above_what_the_gauge_tells_is_ever_zero(
    reading: float, least: float | None
) -> None:
    ticked = MakeSafe(way="gauge", gauge_reading=reading, gauge_resolution=least)
    if ticked.reads_zero:
        assert ticked.gauge_reading <= min(least or 0.0, COARSE)
        assert ticked.gauge_reading == pytest.approx(reading, abs=1e-30)


@pytest.mark.parametrize("done", range(len(CLEARING) + 1))
def test_a_blockage_is_over_only_once_every_step_is_done(done: int) -> None:
    part = all_done("air").model_copy(update={"blockage": "cleared", "clearing": CLEARING[:done]})
    assert part.clear == (done == len(CLEARING))
    whole = part.model_copy(update={"blockage": "suspected", "clearing": CLEARING})
    assert whole.lacking("air") == ("blockage",)
    (said,) = missing(whole, "air")
    assert "Enter when it is cleared" in said


def _earlier(**said: object) -> MakeSafe:
    """A list as an earlier version kept it."""
    ticks = ("drive_off", "locked_off", "gun_opened", "dump_opened", "gun_dead", "no_blockage",
             "bonded", "protected")  # fmt: skip
    payload = json.dumps({**dict.fromkeys(ticks, True), "gauge_reading": 0.0, **said})
    entry = new_entry("make-safe", MakeSafe(), pump="quay", visit="0" * 32)
    kept = payload_of(entry.model_copy(update={"payload": payload}))
    assert isinstance(kept, MakeSafe)
    return kept


@pytest.mark.parametrize("kind", KINDS)
def test_an_earlier_list_with_every_tick_and_0_bar_was_proven_by_the_gauge(kind: str) -> None:
    kept = _earlier()
    assert kept.lacking(kind) == ()
    assert way_words(kept) == "by the gauge: it read 0 bar"


@pytest.mark.parametrize(
    ("said", "lacks"),
    [
        ({"gauge_reading": 2e5}, "gauge_reading"),  # it passed as zero then
        ({"gauge_reading": None}, "way"),
        ({"no_blockage": False}, "blockage"),
        ({"bonded": False}, "bonded"),
    ],
)
def test_an_earlier_list_that_proved_nothing_proves_nothing_now(
    said: dict[str, object], lacks: str
) -> None:
    assert lacks in _earlier(**said).lacking("air")
