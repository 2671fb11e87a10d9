"""Where a photo was taken stays out of the depot and of all that leaves it, unless asked for."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from phone_photos import ON_ITS_SIDE, PHOTOS, PLACE
from PIL import Image

from wetend.records.backup import back_up
from wetend.workflows.desk import Desk
from wetend.workflows.exporting import write_export


def kept_last(site) -> bytes:
    photo = Desk(site.depot).visit(site.open_visit).photos[-1]
    return site.depot.photos.get(photo.sha256)[0]


@pytest.mark.parametrize("kind", PHOTOS)
def test_a_photo_sent_in_the_form_loses_its_place_and_not_its_turn(person, site, kind: str):
    page = person.get(f"/visits/{site.open_visit}/inspect").text
    asked = page.split('name="keep_location"')[1].split(">")[0]
    assert "checked" not in asked
    answer = person.send(f"/visits/{site.open_visit}/photos", {}, files={"photo": PHOTOS[kind]()})
    assert "Photo saved" in answer.text
    assert "Location not removed" not in answer.text
    assert PLACE not in kept_last(site)
    with Image.open(io.BytesIO(kept_last(site))) as picture:
        assert picture.getexif()[0x0112] == ON_ITS_SIDE


def test_who_asks_for_the_place_keeps_the_file_as_it_is(person, site):
    sent = PHOTOS["jpeg"]().replace(PLACE, PLACE[::-1])  # the next test looks for the other
    answer = person.send(
        f"/visits/{site.open_visit}/photos", {"keep_location": "yes"}, files={"photo": sent}
    )
    assert kept_last(site) == sent
    assert "Location not removed" in answer.text


def test_a_torn_photo_is_refused_in_one_sentence(person, site):
    for sent in (PHOTOS["jpeg"]()[:900], b"hello"):
        answer = person.send(f"/visits/{site.open_visit}/photos", {}, files={"photo": sent})
        assert answer.status_code == 422
        assert (
            "take or upload it again"
        ) in answer.text or "upload a JPEG, PNG or WebP" in answer.text


def test_backup_and_export_carry_no_place(person, site, tmp_path: Path):
    for make in PHOTOS.values():
        person.send(f"/visits/{site.open_visit}/photos", {}, files={"photo": make()})
    back_up(site.depot, tmp_path / "saved.zip")
    with (tmp_path / "all.zip").open("w+b") as file:
        write_export(Desk(site.depot), file)
    for name in ("saved.zip", "all.zip"):
        with zipfile.ZipFile(tmp_path / name) as archive:
            held = [archive.read(member) for member in archive.namelist()]
        assert len(held) > 3
        assert not any(PLACE in data for data in held)
