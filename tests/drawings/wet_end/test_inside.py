"""A still at the moment that shows a fault: either column at a time of its own."""

from __future__ import annotations

import re

import numpy as np

from wetend.advice.simulation.film import CHANNELS, Film
from wetend.advice.simulation.moment import Moment
from wetend.drawings.wet_end.inside import still
from wetend.pump.toml import demo_pump

PUMP = demo_pump("quay-air")


def _film(last: float) -> Film:
    rows = {key: np.array([0.0, 1e-3, 0.0]) for key in CHANNELS}
    place = np.array([0.0, PUMP.stroke, 0.0])
    return Film(np.array([0.0, 1.0, last]), rows | {"place": place})


def test_both_columns_stand_at_the_same_place_though_one_is_quicker() -> None:
    moment = Moment(False, 0.5, 1.25, 1.5, "gauge", 1e7, 2e7)
    svg = still(PUMP, _film(1.5), _film(2.0), moment, named="a fault")
    up = re.findall(r'transform="translate\(0 (-?[\d.]+)\)" data-move="piston"', svg)
    assert len(up) == 2
    assert up[0] == up[1]
    assert float(up[0]) < 0
    assert f"<title>{moment.sentence}</title>" in svg
    assert ">a fault<" in svg
    assert ">sound pump<" in svg
