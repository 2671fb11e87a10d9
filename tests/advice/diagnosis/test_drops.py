"""How far a rod drops by what is wrong with its suction, spraying and at a slow pace."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.advice.diagnosis.drops import SLOW_PACE, Drops, drops
from wetend.advice.faults.tables import CAUSE, DROPS
from wetend.advice.pump_physics import liquid_of
from wetend.pump.toml import demo_coatings, demo_pump

LATE, STARVED = CAUSE["late"], CAUSE["starved"]
Z = np.array([-1.0, 0.0, 1.0])
LEVEL = np.zeros(3)


def flat(cause, share: float) -> dict:
    return {cause: np.full(len(DROPS[cause].sizes), share)}


def test_between_the_sizes_played_a_drop_lies_between_theirs() -> None:
    sizes = DROPS[STARVED].sizes
    played = {STARVED: np.linspace(0.0, 0.6, len(sizes))}
    found = Drops(played, played)
    assert found.spraying(STARVED, np.array(sizes)) == pytest.approx(played[STARVED])
    between = found.spraying(STARVED, np.linspace(sizes[0], sizes[-1], 50))
    assert (np.diff(between) > 0).all()


@pytest.mark.parametrize(("slow", "left"), [(0.2, 0.5), (0.0, 0.03), (0.4, 0.97)])
def test_what_a_slow_pace_leaves_of_a_late_valves_drop_is_never_sure(slow, left) -> None:
    """Half stays half; what the model lets go or stay whole does so to 97 % (our own choice)."""
    found = Drops(flat(LATE, 0.4), flat(LATE, slow))
    assert found.slowly(LATE, Z, LEVEL) / 0.4 == pytest.approx(left)
    more, less = (found.slowly(LATE, Z, LEVEL + way) for way in (1.0, -1.0))
    assert (more > less).all()


def test_a_starved_cylinder_drops_at_a_slow_pace_what_was_played_there() -> None:
    found = Drops(flat(STARVED, 0.4), flat(STARVED, 0.1))
    assert found.slowly(STARVED, Z, LEVEL) == pytest.approx(0.1)
    assert (found.slowly(STARVED, Z, LEVEL + 1.0) > 0.15).all()  # nobody slows it to just a third
    assert (found.slowly(STARVED, Z, LEVEL - 1.0) < 0.05).all()


def test_a_ball_held_by_what_dried_on_it_drops_the_rod_in_any_liquid() -> None:
    """Common practice, no source: sticking is no matter of the coating's thickness."""
    found = Drops(flat(LATE, 0.0), flat(LATE, 0.0))
    assert found.spraying(LATE, Z) == pytest.approx(0.0, abs=1e-3)
    held = found.spraying(LATE, Z, np.array([True] * 3))
    assert (np.diff(held) > 0).all()
    assert 0.03 < held[0] < 0.1 < held[2] < 0.3
    assert found.slowly(LATE, Z, LEVEL, True) == pytest.approx(0.5 * held)


def test_each_pace_is_played_by_its_own_number_of_cycles(monkeypatch) -> None:
    """Slowly, a pump that starves little fills anyway: such sizes are taken as sound, unplayed."""
    pump, liquid = demo_pump("quay-air"), liquid_of(demo_coatings()[0])
    played: list[tuple[bool, int]] = []

    def count(_pump, _liquid, motion, cycles: int) -> float:
        slowly = float(np.asarray(motion.steady.nozzle)) < 2 * SLOW_PACE
        played.append((slowly, cycles))
        return 0.1

    monkeypatch.setattr("wetend.advice.diagnosis.drops._played", count)
    drops.__wrapped__(pump, liquid)
    for slowly in (False, True):
        told = [c for each in DROPS.values() for c in (each.slow_cycles if slowly else each.cycles)]
        wanted = sorted([1, *(c for c in told if c)])  # and the sound pump
        assert sorted(c for s, c in played if s is slowly) == wanted
