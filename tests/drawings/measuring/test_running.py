"""Every running check and every act of the proof has its picture: where it is read, and by what."""

from __future__ import annotations

from html import unescape
from xml.etree import ElementTree

import pytest
from any_pump import accepted_pumps
from examples import costly
from hypothesis import given
from svg_points import off_sheet

from wetend.advice.diagnosis.checks import CHECKS
from wetend.advice.prove.acts import ACTS
from wetend.drawings.measuring.running import CHECKED, PROVED, check, proof
from wetend.drawings.measuring.scheme import STOCK, stock
from wetend.errors import NotFound
from wetend.pump.description import Pump
from wetend.pump.toml import demo_pump

QUAY = demo_pump("quay-air")


def test_no_check_and_no_proof_lacks_its_picture() -> None:
    assert CHECKED.keys() == {c.key for c in CHECKS}
    assert PROVED.keys() == ACTS.keys()


@pytest.mark.parametrize("key", CHECKED)
def test_a_check_is_light_on_its_sheet_and_told(key: str) -> None:
    svg = check(QUAY, key)
    root = ElementTree.fromstring(svg)
    assert len(svg) < 20_000
    assert off_sheet(svg) == []
    assert root[0].text == next(c.title for c in CHECKS if c.key == key)
    for _, note in CHECKED[key].where:
        assert note in (root[1].text or "")


@pytest.mark.parametrize("key", PROVED)
def test_a_proof_is_light_on_its_sheet_and_told(key: str) -> None:
    svg = proof(QUAY, key)
    assert len(svg) < 20_000
    assert off_sheet(svg) == []
    assert svg.count("dw-accent-thick") >= len(PROVED[key].where)


@pytest.mark.parametrize(
    ("svg", "shown"),
    [(check(QUAY, "creep"), "Rule beside the rod"), (proof(QUAY, "stall"), "Rule beside the rod"),
     (check(QUAY, "gauge-stall"), "Never above 320 bar"), (check(QUAY, "bucket"), "Pail and watch"),
     (proof(QUAY, "bucket"), "Pail and watch"), (proof(QUAY, "bonding"), "metal to metal"),
     (proof(QUAY, "gauge-zero"), "rests on its stop"), (check(QUAY, "supply"), "Drive rated 7")],
)  # fmt: skip
def test_the_instrument_is_drawn_close_up(svg: str, shown: str) -> None:
    assert shown in unescape(svg)


def test_it_sprays_only_where_the_check_has_it_spray() -> None:
    """The fan is five thin lines; with the gun shut there is none."""
    fan = "M295 60l12 -14"
    assert fan in check(QUAY, "gauge-spray")
    assert fan not in check(QUAY, "gauge-stall")
    assert fan not in proof(QUAY, "trigger-lock")
    assert fan not in proof(QUAY, "bonding")


def test_on_a_page_the_scheme_stands_once_and_pictures_point_to_it() -> None:
    assert f'id="{STOCK}"' in stock()
    small = check(QUAY, "creep", alone=False)
    assert f'href="#{STOCK}"' in small
    assert len(small) < len(check(QUAY, "creep")) - 2000
    assert "href" not in check(QUAY, "creep")


@costly(15)
@given(pump=accepted_pumps())
def test_any_pump_has_them_on_their_sheets(pump: Pump) -> None:
    for key in CHECKED:
        assert off_sheet(check(pump, key)) == [], key
    for key in PROVED:
        assert off_sheet(proof(pump, key)) == [], key


def test_what_is_no_check_is_refused() -> None:
    with pytest.raises(NotFound):
        check(QUAY, "guess")
    with pytest.raises(NotFound):
        proof(QUAY, "guess")
