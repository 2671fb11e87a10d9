"""Visits: started, gone on with, photos and remarks kept."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from wetend.workflows.desk import Desk


def picture(kind: str = "JPEG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (32, 24), "#884422").save(out, kind)
    return out.getvalue()


def test_a_visit_starts_at_the_complaint_and_goes_on_where_it_stopped(person, site):
    answer = person.send(f"/pumps/{site.pump}/visits", {"reason": "Crew idle", "site": "Berth 9"})
    assert answer.url.path.endswith("/complaint")
    assert "Berth 9" in answer.text
    visit = answer.url.path.split("/")[2]
    person.send(f"/visits/{visit}/complaint", {"said": "Drops fast"})
    assert person.get(f"/visits/{visit}").url.path.endswith("/checks")
    assert "Drops fast" in person.get("/").text


def test_a_photo_is_kept_and_shown_with_its_caption(person, site):
    path = f"/visits/{site.open_visit}"
    answer = person.send(
        f"{path}/photos", {"caption": 'Scar "deep" <2 mm>', "stage": "inspect"},
        files={"photo": picture()},
    )  # fmt: skip
    assert answer.url.path == f"{path}/inspect"
    assert "Photo kept" in answer.text
    photo = Desk(site.depot).visit(site.open_visit).photos[-1]
    assert photo.stage == "inspect"
    shown = person.get(f"/photos/{photo.sha256}")
    assert shown.headers["content-type"] == "image/jpeg"
    assert "sandbox" in shown.headers["content-security-policy"]
    assert shown.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("stage", ["nowhere", "", "../../x"])
def test_a_stage_that_is_none_leads_to_the_complaint(person, site, stage: str):
    answer = person.send(f"/visits/{site.open_visit}/notes", {"text": "Seen", "stage": stage})
    assert answer.url.path.endswith("/complaint")


def test_a_blank_remark_is_refused(person, site):
    answer = person.send(f"/visits/{site.open_visit}/notes", {"text": " "})
    assert answer.status_code == 422
    assert "is needed" in answer.text


def test_no_visit_starts_to_a_pump_not_there(person):
    assert person.send("/pumps/none-such/visits", {}).status_code == 404
