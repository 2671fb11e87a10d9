"""Entries: what may be kept, and what is said when it may not."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from wetend import __version__
from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.measurements import BallMeasured
from wetend.pump.readings import Complaint, Note, VisitStart
from wetend.records.entries import (
    PAYLOADS,
    Entry,
    Withdrawn,
    check,
    new_entry,
    payload_of,
    said_by,
)
from wetend.records.ids import new_id

VISIT = new_id()


def note(text: str = "hello", **other: str) -> Entry:
    return new_entry("note", Note(text=text), pump="quay-air", visit=VISIT, **other)


def test_an_entry_says_who_when_where_what_and_with_which_sums() -> None:
    before = datetime.now(UTC)
    entry = note(who="J", place="quay", device="phone")
    assert (entry.who, entry.place, entry.device) == ("J", "quay", "phone")
    assert before <= entry.at <= datetime.now(UTC)
    assert entry.version == __version__
    assert payload_of(entry) == Note(text="hello")


def test_every_kind_carries_what_its_noun_can_hold(demo_pumps: tuple[Pump, ...]) -> None:
    for pump in demo_pumps:
        entry = new_entry("pump-described", pump, pump=pump.key)
        assert payload_of(entry) == pump
    assert set(PAYLOADS) >= {"visit-started", "withdrawn"}


def test_times_are_kept_in_utc() -> None:
    there = datetime(2025, 7, 1, 9, 30, tzinfo=timezone(timedelta(hours=5, minutes=45)))
    entry = new_entry("note", Note(text="x"), pump="p", at=there)
    assert entry.at == there
    assert entry.at.utcoffset() == timedelta(0)
    assert entry.at.hour == 3


@pytest.mark.parametrize(
    "at",
    [datetime(2025, 7, 1), datetime(1969, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)],  # noqa: DTZ001
)
def test_a_time_without_zone_or_sense_is_refused(at: datetime) -> None:
    with pytest.raises(BadInput, match="at"):
        new_entry("note", Note(text="x"), pump="p", at=at)


def test_a_noun_must_belong_to_its_kind() -> None:
    with pytest.raises(BadInput, match="can't carry a Note"):
        new_entry("complaint", Note(text="x"), pump="p", visit=VISIT)


def test_a_description_is_kept_under_its_own_pump(demo_pumps: tuple[Pump, ...]) -> None:
    with pytest.raises(BadInput, match="refers to “quay-air”"):
        new_entry("pump-described", demo_pumps[0], pump="another")
    with pytest.raises(BadInput, match="refers to “quay-air”"):
        new_entry("visit-started", VisitStart(pump="quay-air"), pump="another", visit=VISIT)


def test_readings_belong_to_a_visit() -> None:
    with pytest.raises(BadInput, match="belongs to a visit"):
        new_entry("ball", BallMeasured(), pump="p")


def test_a_withdrawal_says_what_it_withdraws() -> None:
    with pytest.raises(BadInput, match="Name the entry"):
        new_entry("withdrawn", Withdrawn(), pump="p", visit=VISIT)


def test_a_correction_is_later_than_what_it_corrects() -> None:
    ahead = "02" + new_id()[2:]
    assert note(corrects=ahead).id > ahead
    with pytest.raises(ValidationError, match="corrects an earlier one"):
        Entry.model_validate({**note().model_dump(), "corrects": ahead})


def test_an_id_from_a_clock_gone_wild_is_refused() -> None:
    """It would stand after every entry made for centuries."""
    with pytest.raises(ValidationError, match="clock of the device"):
        Entry.model_validate({**note().model_dump(), "id": "f" + new_id()[1:]})


@pytest.mark.parametrize("bad", ["../up", "Pump 1", "", "a" * 64, "p\nq", "p\x00"])
def test_a_pump_is_named_by_a_slug(bad: str) -> None:
    with pytest.raises(BadInput, match="pump"):
        new_entry("note", Note(text="x"), pump=bad)


def test_an_entry_of_a_later_version_is_whole_but_not_read() -> None:
    later = note().model_copy(update={"kind": "hologram", "version": "9.1"})
    assert Entry.model_validate(later.model_dump()) == later
    assert said_by(later) is None
    with pytest.raises(BadInput, match=r"“hologram”.*made by version 9\.1"):
        payload_of(later)


def test_a_later_field_in_a_known_kind_is_not_read() -> None:
    later = note().model_copy(update={"payload": '{"text": "x", "smell": "sweet"}'})
    assert said_by(later) is None
    with pytest.raises(BadInput, match="smell"):
        check(later)


@pytest.mark.parametrize("payload", ["", "{", "[]", "null", '{"text": 3}', '{"text": "\\u0000"}'])
def test_a_torn_payload_is_refused_with_a_sentence(payload: str) -> None:
    with pytest.raises(BadInput, match="can't be read"):
        payload_of(note().model_copy(update={"payload": payload}))


@given(text=st.text(max_size=300))
def test_any_text_is_kept_or_refused_in_a_sentence(text: str) -> None:
    """Whatever people type comes back as typed (ends stripped), or is refused before it is kept."""
    try:
        entry = new_entry("complaint", Complaint(said=text), pump="p", visit=VISIT, who=text[:150])
    except (BadInput, ValidationError):
        assert any(
            ord(c) < 32 or 0xD800 <= ord(c) < 0xE000 or ord(c) in (0xFFFE, 0xFFFF) for c in text
        )
    else:
        said = payload_of(entry)
        assert isinstance(said, Complaint)
        assert said.said == text.strip()
