"""Times go in and come out in UTC, whatever the database keeps."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.dialects import postgresql, sqlite

from wetend.records.tables import UtcDateTime

_ZONES = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))


@given(at=st.datetimes(datetime(1970, 1, 2), datetime(2199, 12, 30), timezones=_ZONES))  # noqa: DTZ001
def test_a_time_is_the_same_moment_in_utc(at: datetime) -> None:
    for dialect in (sqlite.dialect(), postgresql.dialect()):
        kept = UtcDateTime().process_bind_param(at, dialect)
        assert kept == at
        assert kept.utcoffset() == timedelta(0)
        for read in (kept, kept.replace(tzinfo=None), kept.astimezone(at.tzinfo)):
            back = UtcDateTime().process_result_value(read, dialect)
            assert back == at
            assert back.tzinfo is UTC


def test_no_time_stays_no_time() -> None:
    assert UtcDateTime().process_bind_param(None, sqlite.dialect()) is None
    assert UtcDateTime().process_result_value(None, sqlite.dialect()) is None
