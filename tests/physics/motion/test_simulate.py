"""How long a run may take, and what is refused before it begins."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wetend.errors import BadInput
from wetend.physics.motion import simulate as module
from wetend.physics.motion.simulate import simulate


@pytest.mark.parametrize(
    ("free_speed", "cycles", "seconds"),
    [(0.2, 1, 60.0), (0.2, 3, 180.0), (0.02, 1, 40 * (8.0 + 0.1)), (0.02, 2, 80 * (8.0 + 0.1))],
)
def test_a_pump_that_does_not_come_round_is_given_a_minute_or_forty_free_cycles(
    pump, monkeypatch, free_speed: float, cycles: int, seconds: float
):
    """A free cycle: twice 80 mm of stroke at the free speed, and two turns of 0.05 s."""
    given = {}
    monkeypatch.setattr(module, "_finish", lambda _, **said: given.update(said))
    drive = replace(pump().drive, free_speed=free_speed)
    simulate(replace(pump(), drive=drive), cycles=cycles)
    assert given["t_end"] == pytest.approx(seconds)
    simulate(replace(pump(), drive=drive), cycles=cycles, t_end=0.5)
    assert given["t_end"] == 0.5


@pytest.mark.parametrize("said", [{"rtol": 0.2}, {"rtol": 1e-13}, {"cycles": 0}, {"cycles": 1001}])
def test_what_is_out_of_range_is_refused(pump, said):
    with pytest.raises(BadInput):
        simulate(pump(), **said)
