"""Every measurement of the inspection has its picture: instrument, places, what not to touch."""

from __future__ import annotations

from html import unescape
from xml.etree import ElementTree

import pytest
from any_pump import accepted_pumps
from examples import costly
from hypothesis import given
from svg_points import off_sheet

from wetend.drawings.measuring.benches import BENCHES, measuring
from wetend.errors import NotFound
from wetend.pump.description import Pump
from wetend.pump.measurements import (
    BallMeasured,
    CylinderMeasured,
    PackingsMeasured,
    RodMeasured,
    SealLandMeasured,
    SeatMeasured,
    SolventTest,
    StackMeasured,
)
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.units.noun import Noun

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
QUAY = PUMPS["quay-air"]
_NOUNS: dict[str, type[Noun]] = {
    "foot-ball": BallMeasured, "piston-ball": BallMeasured, "foot-seat": SeatMeasured,
    "piston-seat": SeatMeasured, "foot-test": SolventTest, "piston-test": SolventTest,
    "rod": RodMeasured, "cylinder": CylinderMeasured, "seal-land": SealLandMeasured,
    "moving-packings": PackingsMeasured, "static-packings": PackingsMeasured,
    "stack": StackMeasured,
}  # fmt: skip
_NOT_MEASURED = {"end", "set", "note", "instrument", "depth_by", "target", "lever"}
"""Which part, with what, what is wanted: chosen, not measured on a part."""


@pytest.mark.parametrize("part", BENCHES)
def test_each_field_that_is_measured_is_shown_how(part: str) -> None:
    asked = set(_NOUNS[part].model_fields) - _NOT_MEASURED
    plates = BENCHES[part][1](QUAY)
    assert {name for plate in plates for name in plate.fields} == asked


@pytest.mark.parametrize("key", PUMPS)
@pytest.mark.parametrize("part", BENCHES)
def test_a_picture_is_light_legible_and_told_in_words(key: str, part: str) -> None:
    svg = measuring(PUMPS[key], part)
    root = ElementTree.fromstring(svg)
    assert len(svg) < 20_000
    assert "dw-small" not in svg
    assert off_sheet(svg) == []
    told = root[1].text or ""
    drawn = [t.text or "" for t in root.iter("{http://www.w3.org/2000/svg}text")]
    for text in drawn:  # a screen reader hears what is read, but for the numbers in rings
        assert text.isdigit() or text in told or text == "Ω", text


@pytest.mark.parametrize(
    ("part", "kept_off", "figure"),
    [("rod", "Nothing hard on the chrome", "27.00 mm"), ("cylinder", "No steel tip", "38.00 mm"),
     ("foot-seat", "No steel tip is drawn over the cone", "1.200 mm"),
     ("seal-land", "Nothing sharp on the land", "50.0 µm"),
     ("moving-packings", "steel cuts lips", "20.50 mm"), ("stack", "must not drop", "42.00 mm")],
)  # fmt: skip
def test_it_says_this_pumps_sizes_and_marks_what_not_to_touch(
    part: str, kept_off: str, figure: str
) -> None:
    svg = unescape(measuring(QUAY, part))
    assert kept_off in svg
    assert figure in svg
    assert "dw-tick" in svg  # by its pattern, not its colour


def test_a_rods_places_follow_its_packed_travel() -> None:
    moved = QUAY.model_copy(
        update={"rod": QUAY.rod.model_copy(update={"packed_from": 0.05, "packed_to": 0.1})}
    )
    assert measuring(moved, "rod") != measuring(QUAY, "rod")
    assert "50.00 mm to 100.0 mm from the lower end" in measuring(moved, "rod")


@costly(40)
@given(pump=accepted_pumps())
def test_whatever_a_form_accepts_is_drawn_on_its_sheet(pump: Pump) -> None:
    for part in BENCHES:
        svg = measuring(pump, part)
        assert len(svg) < 20_000
        assert off_sheet(svg) == [], part


def test_an_unknown_part_is_refused() -> None:
    with pytest.raises(NotFound):
        measuring(QUAY, "wheel")
