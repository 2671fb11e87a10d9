"""The weakest part governs."""

from __future__ import annotations

import pytest

from wetend.advice.ratings import ratings, weakest
from wetend.pump.toml import demo_pump


def test_every_part_is_named_once() -> None:
    names = [name for _, name in ratings(demo_pump("quay-air"))]
    assert names == ["wet end", "outlet filter", "hose 1", "hose 2", "nozzle and its holder"]


@pytest.mark.parametrize("part", ["filter", "nozzle"])
def test_the_lowest_governs(part: str) -> None:
    # Common practice, no source.
    pump = demo_pump("quay-air")
    weak = getattr(pump, part).model_copy(update={"rated_pressure": 1e7})
    rating, name = weakest(pump.model_copy(update={part: weak}))
    assert rating == 1e7
    assert part in name


@pytest.mark.parametrize("weak", [0, 1])
def test_of_several_hoses_the_weaker_governs(weak: int) -> None:
    # Common practice, no source.
    pump = demo_pump("quay-air")
    hoses = tuple(
        hose.model_copy(update={"rated_pressure": 1e7 if number == weak else 9e7})
        for number, hose in enumerate(pump.hose)
    )
    assert weakest(pump.model_copy(update={"hose": hoses})) == (1e7, f"hose {weak + 1}")
