"""What is sent is told apart; what is kept leaves every other reading as it was."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from wetend.errors import BadInput, WetendError
from wetend.pump.readings import CheckReadings, VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.store import Depot
from wetend.workflows import checks, listening, pumps, visits
from wetend.workflows.desk import Desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        yield Desk(depot, who="A. Tester")


@pytest.fixture
def visit(desk: Desk) -> str:
    pump = pumps.describe(desk, demo_pump("quay-air"))
    return visits.start(desk, VisitStart(pump=pump.key))


def test_other_readings_stay(desk: Desk, visit: str) -> None:
    checks.save(desk, visit, CheckReadings(up_times=(9.0,), stall_pressure=2e7, note="cold"))
    kept = listening.save(desk, visit, [1.4, 1.41234], [1.0], spread=0.012).readings
    assert kept is not None
    assert (kept.up_times, kept.down_times) == ((1.4, 1.412), (1.0,))
    assert (kept.stall_pressure, kept.note, kept.tap_spread) == (2e7, "cold", 0.012)


def test_times_may_be_put_beside_those_there(desk: Desk, visit: str) -> None:
    checks.save(desk, visit, CheckReadings(up_times=(1.5,), tap_spread=0.1))
    kept = listening.save(desk, visit, [1.4], [1.0], spread=0.01, beside=True).readings
    assert kept is not None
    assert kept.up_times == (1.5, 1.4)
    assert kept.tap_spread == 0.1


@pytest.mark.parametrize(
    ("up", "down"), [([], []), ([1.0] * 201, []), ([0.0], [1.0]), ([1e9], []), ([-1.0], [])]
)
def test_what_can_not_be_kept_is_refused(
    desk: Desk, visit: str, up: list[float], down: list[float]
) -> None:
    with pytest.raises(BadInput):
        listening.save(desk, visit, up, down, spread=0.01)
    assert desk.visit(visit).readings is None


def test_an_empty_page_has_nothing_heard(desk: Desk, visit: str) -> None:
    seen = listening.view(desk, visit)
    assert seen.heard is None
    assert not seen.whole_cycles


@pytest.mark.parametrize(
    ("data", "told"),
    [(b"\0\0\0\x20ftypM4A ", "M4A"), (b"ID3\x04", "MP3"), (b"OggS", "Ogg"), (b"fLaC", "FLAC")],
)
def test_other_sound_files_are_named(data: bytes, told: str) -> None:
    with pytest.raises(BadInput, match=f"This is {told} sound; save the recording as WAV"):
        listening.analyse(data + bytes(100))


@pytest.mark.parametrize("data", [b"", b"\x89PNG\r\n", b"<html>", b"a,b\n1,2\n", b"RIFF0000WAVE"])
def test_anything_else_gets_a_sentence(data: bytes) -> None:
    with pytest.raises(WetendError, match=r"\."):
        listening.analyse(data)


def test_taps_are_read_from_text() -> None:
    assert listening.tap_times(b"\xef\xbb\xbf0.5\n1.9 2.9\n") == (0.5, 1.9, 2.9)
    for data in (b"one\n", b"\xff\xfe\x00"):
        with pytest.raises(BadInput, match="one per line"):
            listening.tap_times(data)


def test_strokes_as_long_as_a_cycle_are_suspected(desk: Desk, visit: str) -> None:
    coating = desk.coatings()[0]
    visits.choose_coating(desk, visit, coating)
    healthy = listening.view(desk, visit).healthy
    assert healthy is not None
    cycle = healthy.up_time + healthy.down_time
    heard = listening.from_taps([i * cycle for i in range(20)], "up")
    assert listening.view(desk, visit, heard).whole_cycles
    heard = listening.from_taps([i * cycle / 2 for i in range(20)], "up")
    assert not listening.view(desk, visit, heard).whole_cycles
