"""Ball and seat materials."""

from __future__ import annotations

import pytest

from wetend.errors import UnknownName
from wetend.materials.ball_seat import find_material
from wetend.pump.toml import demo_pump


def test_carbide_grades_follow_the_rule_of_mixtures() -> None:
    # densities of tungsten carbide 15.63 and cobalt 8.90 g/cm3: handbook values, from memory
    for key, cobalt in (("tungsten-carbide-6co", 0.06), ("tungsten-carbide-10co", 0.10)):
        mixed = 1 / ((1 - cobalt) / 15630 + cobalt / 8900)
        assert find_material(key).density == pytest.approx(mixed, rel=6e-3)


def test_ceramic_balls_are_light_and_carbide_is_stiff() -> None:
    # common knowledge of the trade: what makes a ceramic ball close sooner
    assert find_material("ceramic-silicon-nitride").density < 0.5 * 7650
    assert find_material("tungsten-carbide-6co").modulus > 3 * find_material("carbon-steel").modulus


def test_the_demo_pumps_name_materials_that_are_here() -> None:
    for pump in (demo_pump("quay-air"), demo_pump("yard-hydraulic")):
        for valve in (pump.foot_valve, pump.piston_valve):
            assert find_material(valve.ball_material)
            assert find_material(valve.seat_material)


def test_an_unknown_material_is_refused() -> None:
    with pytest.raises(UnknownName, match="stainless-316"):
        find_material("unobtainium")
