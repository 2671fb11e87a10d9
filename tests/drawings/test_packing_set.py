"""A packing set drawn on its own: lips, pressure and height said in words too."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.drawings import packing_set
from wetend.pump.toml import DEMO_PUMPS, demo_pump


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("part", ["static-packings", "moving-packings"])
def test_the_drawing_says_which_way_the_lips_face(
    read_back: Callable[[str], Any], key: str, part: Any
) -> None:
    pump = demo_pump(key)
    noun = pump.moving_packings if part == "moving-packings" else pump.static_packings
    drawn = read_back(packing_set.section(pump, part))
    assert drawn.stays_inside()
    assert f"{noun.rings} V-rings" in " ".join(drawn.texts)
    assert "pressure" in drawn.texts
    way = "upwards" if noun.lips_face == "up" else "downwards"
    assert way in (drawn.root[0].text or "")


@costly(15)
@given(
    rings=st.integers(1, 20), height=st.floats(0.002, 0.3), bore=st.floats(0.006, 0.5),
    share=st.floats(0.1, 0.95), lips=st.sampled_from(["up", "down"]),
)  # fmt: skip
def test_any_set_stays_on_its_sheet(
    read_back: Callable[[str], Any], rings: int, height: float, bore: float, share: float, lips: Any
) -> None:
    pump = demo_pump("quay-air")
    packings = pump.moving_packings.model_copy(
        update={"rings": rings, "height": height, "lips_face": lips}
    )
    pump = pump.model_copy(
        update={
            "moving_packings": packings, "static_packings": packings,
            "cylinder": pump.cylinder.model_copy(update={"bore": bore}),
            "rod": pump.rod.model_copy(update={"diameter": bore * share}),
        }
    )  # fmt: skip
    for part in ("static-packings", "moving-packings"):
        assert read_back(packing_set.section(pump, part)).stays_inside()
