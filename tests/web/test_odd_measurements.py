"""Measurements that fit no part are judged or refused on the page, and never break it."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    "sent",
    [
        {"band_width": "0.156 mm", "chip_width": "50 mm"},
        {"band_width": "0.156 mm", "chip_width": "50 mm", "chip_depth": "0.1 um"},
        {"band_width": "0", "chip_width": "0", "chip_depth": "5 mm"},
    ],
)
def test_a_chip_wider_than_the_seat_is_judged(person, site, sent):
    answer = person.send(f"/visits/{site.open_visit}/inspect/foot-seat", {"end": "foot", **sent})
    assert answer.status_code == 200
    assert person.get(f"/visits/{site.open_visit}/inspect").status_code == 200


def test_a_slip_is_refused_beside_its_field_with_the_range(person, site):
    before = len(site.depot.entries(visit=site.open_visit))
    answer = person.send(
        f"/visits/{site.open_visit}/inspect/cylinder", {"diameters": "38.02, 3802 mm"}
    )
    assert answer.status_code == 422
    said = "number 2 is 3,802 mm; each must be from 0.1 mm to 1,000 mm."
    assert said in answer.text
    assert "38.02, 3802 mm" in answer.text  # what was typed is still there
    assert len(site.depot.entries(visit=site.open_visit)) == before
