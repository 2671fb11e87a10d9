"""What coating, solvent, site and weight add, each only where it applies."""

from __future__ import annotations

import pytest

from wetend.advice.safety.site_hazards import (
    coating_cautions,
    exposure,
    pot_life_cautions,
    refuse_chlorinated,
    site_cautions,
    solvent_cautions,
)
from wetend.advice.safety.weight import lifting, weight_of
from wetend.errors import BadInput
from wetend.pump.coating import Coating
from wetend.pump.site import SiteFacts
from wetend.pump.toml import demo_coatings, demo_pump

EPOXY = next(c for c in demo_coatings() if c.key == "epoxy-tank")
ALKYD = next(c for c in demo_coatings() if c.key == "alkyd-topcoat")


def _with(coating: Coating, **said: object) -> Coating:
    return Coating.model_validate({**coating.model_dump(), **said})


@pytest.mark.parametrize(
    ("coating", "hazards"),
    [
        (ALKYD, set()),
        (EPOXY, {"hardener"}),
        (_with(EPOXY, isocyanate="yes"), {"isocyanate"}),
        (_with(ALKYD, isocyanate="yes"), {"isocyanate"}),  # one-pack, cured by moisture
        (_with(ALKYD, holds_lead="yes"), {"lead"}),
    ],
)
def test_a_coating_brings_its_own_cautions(coating: Coating, hazards: set[str]) -> None:
    assert {c.hazard for c in coating_cautions(coating)} == hazards
    guarded = {c.hazard for c in exposure(coating)}
    assert guarded & {"isocyanate", "hardener", "health"}
    assert "health" not in guarded or not guarded & {"isocyanate", "hardener"}


def test_whether_it_holds_isocyanate_is_asked_where_nobody_said() -> None:
    (told,) = coating_cautions(_with(EPOXY, isocyanate="not known"))
    assert "check first" in told.text


def test_a_two_pack_that_nobody_timed_is_told_to_be_timed() -> None:
    (told,) = pot_life_cautions(EPOXY, None)
    assert "2 h at 23 °C" in told.text
    assert not pot_life_cautions(ALKYD, None)
    with pytest.raises(ValueError, match="only a two-pack coating has a pot life"):
        _with(ALKYD, pot_life="2 h")


def test_a_confined_space_says_its_permit_and_asks_for_one() -> None:
    (without,) = site_cautions(SiteFacts(confined_space="yes"))
    assert "no permit is recorded" in without.text
    (with_one,) = site_cautions(SiteFacts(confined_space="yes", permit="CS 114"))
    assert "permit CS 114" in with_one.text
    assert not site_cautions(SiteFacts(confined_space="not known"))
    assert not site_cautions(None)
    assert {c.hazard for c in site_cautions(SiteFacts(old_lead_paint="yes"))} == {"lead"}


def test_a_chlorinated_solvent_is_refused_with_aluminium_and_warned_of_where_nobody_knows() -> None:
    pump = demo_pump("yard-hydraulic").model_copy(update={"aluminium": "yes"})
    with pytest.raises(BadInput, match="burst"):
        refuse_chlorinated(pump, "dichloromethane")
    refuse_chlorinated(pump, "xylene")
    refuse_chlorinated(pump, "a-solvent-of-their-own")
    assert not solvent_cautions("dichloromethane", "no")
    assert not solvent_cautions("xylene", "yes")
    for aluminium in ("yes", "not known"):
        (told,) = solvent_cautions("dichloromethane", aluminium)
        assert told.grade == "danger"


def test_the_weight_is_stated_against_the_limit_and_an_estimate_is_called_one() -> None:
    pump = demo_pump("quay-air")
    assert "14 kg" in lifting(pump).text
    assert "within" in lifting(pump).text
    guessed = pump.model_copy(update={"mass": None})
    weight = weight_of(guessed)
    assert weight.estimated
    assert weight.low < pump.mass < weight.high  # a demo figure of ours: the same order, no more
    assert "estimated from its sizes" in lifting(guessed).text
    low = lifting(pump, SiteFacts(lifting_limit=10.0))
    assert "the site's limit of 10" in low.text
    assert "two persons" in low.text
    assert weight_of(demo_pump("yard-hydraulic")).high > weight.high  # the larger pump weighs more
