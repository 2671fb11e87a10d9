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
    assert "Photo saved" in answer.text
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
    assert "is required" in answer.text


def test_no_visit_starts_to_a_pump_not_there(person):
    assert person.send("/pumps/none-such/visits", {}).status_code == 404


def test_a_caption_too_long_is_given_back_and_no_photo_kept(person, site):
    before = len(Desk(site.depot).visit(site.open_visit).photos)
    answer = person.send(
        f"/visits/{site.open_visit}/photos", {"caption": "c" * 201, "stage": "inspect"},
        files={"photo": picture()},
    )  # fmt: skip
    assert answer.status_code == 422
    assert "What it shows has 201 characters; at most 200" in answer.text
    assert "c" * 201 in answer.text
    assert len(Desk(site.depot).visit(site.open_visit).photos) == before


def test_a_remark_too_long_is_given_back_whole(person, site):
    answer = person.send(f"/visits/{site.open_visit}/notes", {"text": "n" * 4001})
    assert answer.status_code == 422
    assert "The remark has 4,001 characters; at most 4,000" in answer.text
    assert "n" * 4001 in answer.text


def test_a_reason_too_long_stands_beside_its_field_and_the_limit_is_told_before(person, site):
    path = f"/pumps/{site.pump}/visits"
    assert "Up to 200 characters" in person.get(path).text
    answer = person.send(path, {"reason": "r" * 250})
    assert answer.status_code == 422
    assert "has 250 characters; at most 200" in answer.text
    assert "r" * 250 in answer.text


def test_no_field_cuts_what_is_typed_into_it_without_a_word(person, site):
    """A browser cuts what is pasted into a field with maxlength; names and codes may be."""
    page = person.get(f"/visits/{site.open_visit}/complaint").text
    assert 'maxlength="4000"' not in page
    assert 'maxlength="200"' not in page
    assert "Up to 4,000 characters" in page
