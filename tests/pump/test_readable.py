"""A description to edit: figures with units, what each field means, and nothing lost on the way."""

from __future__ import annotations

import re
import tomllib

import pytest

from wetend.pump.parts import Cylinder, Valve
from wetend.pump.proportion import KnownSizes, in_proportion
from wetend.pump.readable import readable
from wetend.pump.toml import DEMO_PUMPS, demo_pump, pump_from_toml
from wetend.units.fields import fields_of
from wetend.units.noun import alike

SIZES = KnownSizes(
    like="quay-air", bore=0.0453, rod=0.0317, stroke=0.10161, supply_rated=7e5, outlet_pressure=3e7,
    hose_rated=3.5e7, filter_rated=3.5e7, nozzle_rated=4e7,
)  # fmt: skip


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_it_reads_back_as_the_same_pump(key: str) -> None:
    for pump in (demo_pump(key), in_proportion(demo_pump(key), SIZES)):
        assert pump_from_toml(readable(pump)) == pump


def test_figures_carry_units_and_fields_say_what_they_mean() -> None:
    text = readable(demo_pump("quay-air"))
    assert re.search(r'^bore = "38 mm" +# Inside diameter when new$', text, re.MULTILINE)
    assert 'wear_limit = "150 um"' in text
    assert 'orifice = "0.5334 mm"' in text
    for noun in (Cylinder, Valve):
        for field in fields_of(noun):
            assert re.search(rf"^(# )?{field.name} = ", text, re.MULTILINE), field.name
    assert not re.search(r"\de-\d", text)  # no exponents to puzzle over
    assert all(len(line) <= 100 or re.search("(needs|cautions|how) = ", line)
               for line in text.splitlines())  # fmt: skip


def test_a_field_left_out_is_given_by_taking_its_mark_away() -> None:
    _, _, text = readable(demo_pump("quay-air")).partition("\n\n")  # the head is no field
    freed = re.sub(r'^# (\w+ = (?!"\? |"" )\S.*)$', r"\1", text, flags=re.MULTILINE)
    assert freed.count("\n# ") < text.count("\n# ") - 15
    assert alike(pump_from_toml(freed).model_dump(), demo_pump("quay-air").model_dump())
    assert tomllib.loads(freed)["cylinder"]["limits_from"] == "common practice"
