"""Metric threads."""

from __future__ import annotations

import pytest

from wetend.errors import UnknownName
from wetend.materials.threads import find_thread, pitches_of, threads

# Coarse and fine pitch in mm: mlc.org.uk/guides/metric-thread-pitch-chart (ISO 261), read
# independently of the table
CHART = {
    20: (2.5, 2.0), 24: (3.0, 2.0), 30: (3.5, 2.0), 36: (4.0, 3.0), 42: (4.5, 3.0),
    48: (5.0, 3.0), 52: (5.0, 4.0), 56: (5.5, 4.0), 60: (5.5, 4.0), 64: (6.0, 4.0),
}  # fmt: skip


@pytest.mark.parametrize("diameter", CHART)
def test_against_a_second_chart(diameter: int) -> None:
    coarse, fine = CHART[diameter]
    assert find_thread(diameter / 1000, coarse / 1000).series == "coarse"
    assert find_thread(diameter / 1000, fine / 1000).series == "fine"
    assert pitches_of(diameter / 1000)[0] == pytest.approx(coarse / 1000)


def test_no_thread_is_listed_twice_and_no_pitch_is_over_a_sixth_of_its_diameter() -> None:
    sizes = [(thread.diameter, thread.pitch) for thread in threads()]
    assert len(set(sizes)) == len(sizes)
    assert all(pitch <= diameter / 6 for diameter, pitch in sizes)


def test_an_unlisted_pitch_is_told_those_that_are() -> None:
    with pytest.raises(UnknownName, match=r"4, 3, 2, 1\.5"):
        find_thread(0.036, 0.0035)
    with pytest.raises(UnknownName, match="none"):
        find_thread(0.0333, 0.001)
