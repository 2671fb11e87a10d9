"""Every fault has a picture of what happens inside, and a sentence from the same state."""

from __future__ import annotations

import re

import pytest

from wetend.advice.faults.tables import FAULTS
from wetend.drawings.wet_end import inside as drawn
from wetend.errors import NotFound
from wetend.keeping import figures
from wetend.pump.readings import OLD_SIGHTS
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump
from wetend.workflows.fault_inside import InsideView, as_json, inside

COATING = demo_coatings()[0]
KEYS = [fault.id for fault in FAULTS]


def _seen(key: str, pump: str = "quay-air") -> InsideView:
    return inside(key, demo_pump(pump), COATING)


@pytest.mark.parametrize("pump", DEMO_PUMPS)
@pytest.mark.parametrize("key", KEYS)
def test_every_fault_shows_at_a_moment_of_its_own(key: str, pump: str) -> None:
    """At the moment pictured this pump is visibly not as the sound one: by a twentieth or more."""
    seen = _seen(key, pump)
    moment = seen.moment
    assert abs(moment.this - moment.sound) > 0.05 * max(abs(moment.this), abs(moment.sound))
    assert 0 < moment.this_time <= seen.this.length
    assert 0 < moment.sound_time <= seen.sound.length
    assert moment.this == seen.this.at(moment.this_time)[moment.key]
    assert moment.sound == seen.sound.at(moment.sound_time)[moment.key]
    svg = drawn.still(seen.pump, seen.this, seen.sound, moment, named=seen.fault.short)
    assert svg.count("data-column=") == 2
    assert seen.sentence in svg
    assert seen.fault.short in svg
    assert len(svg) < 45_000


@pytest.mark.parametrize("key", ["foot-valve", "air", "nozzle"])
def test_both_rods_stand_at_the_same_place_of_the_same_stroke(key: str) -> None:
    seen = _seen(key)
    svg = drawn.still(seen.pump, seen.this, seen.sound, seen.moment, named="x")
    heights = re.findall(r'transform="translate\(0 (-?[\d.]+)\)" data-move="piston"', svg)
    this, sound = (float(h) for h in heights)
    assert this == pytest.approx(sound, rel=0.03)  # reaches of the two differ by a hair


def test_what_shows_is_what_the_record_says_the_fault_does() -> None:
    """A foot valve that does not hold loses on the way down, a piston valve on the way up."""
    foot, piston = _seen("foot-valve").moment, _seen("piston-valve").moment
    assert not foot.up
    assert foot.this < 0 <= foot.sound + 1e-9  # back, against upwards
    assert piston.up
    assert piston.this < 0
    assert _seen("static-packings").moment.key == "rod_leak"
    assert _seen("outside").moment.key == "outside"
    for key in ("starved", "air", "foot-late"):
        moment = _seen(key).moment
        assert (moment.up, moment.key) == (False, "below")
        assert moment.this < 0.5 * moment.sound  # no pressure yet: the rod drops


def test_it_is_computed_once() -> None:
    first = _seen("filter")
    asked = next(f for f in figures() if f.name == "faults seen inside").hits
    assert _seen("filter") is first
    assert next(f for f in figures() if f.name == "faults seen inside").hits == asked + 1


def test_the_crew_is_told_by_sights_still_asked_for_and_warned_before_it_opens() -> None:
    for key in KEYS:
        seen = _seen(key)
        assert not {sight for sight, _ in seen.signs} & OLD_SIGHTS
        assert bool(seen.cautions) == seen.fault.inside
        assert as_json(seen)["sentence"] == seen.sentence


def test_a_fault_that_is_not_there_is_refused() -> None:
    with pytest.raises(NotFound, match="no fault “rust”"):
        _seen("rust")
