"""Photos saved with their location lose it: the picture stays, and nothing else changes."""

from __future__ import annotations

import json
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from phone_photos import PHOTOS, PLACE
from PIL import Image

from wetend.cli.app import run
from wetend.pump.readings import Photo, VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.backup import back_up
from wetend.records.health_check import examine
from wetend.records.photo_notes import without_location
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import photo_locations, pumps, record, visits
from wetend.workflows.desk import Desk


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return tmp_path / "depot.sqlite3"


@pytest.fixture
def desk(place: Path) -> Iterator[Desk]:
    with Depot.open(place) as depot:
        desk = Desk(depot, who="Ann")
        pumps.describe(desk, demo_pump("quay-air"))
        yield desk


@pytest.fixture
def visit(desk: Desk) -> str:
    return visits.start(desk, VisitStart(pump="quay-air"))


def saved_before(desk: Desk, visit: str, kind: str = "jpeg", **said: object) -> Photo:
    """A photo as it was saved before its location was removed at once."""
    shelved = desk.depot.photos.put(PHOTOS[kind]())
    photo = shelved.model_copy(update={"caption": f"the {kind} one", **said})
    desk.keep("photo", photo, pump="quay-air", visit=visit)
    return photo


def shown(desk: Desk, visit: str) -> list[Photo]:
    return list(desk.visit(visit).photos)


def files(desk: Desk) -> list[bytes]:
    return [desk.depot.photos.get(sha)[0] for sha in desk.depot.photos.hashes()]


@pytest.mark.parametrize("kind", PHOTOS)
def test_the_location_goes_and_the_picture_stays(desk: Desk, visit: str, kind: str) -> None:
    before = saved_before(desk, visit, kind)
    pixels = Image.open(BytesIO(PHOTOS[kind]())).tobytes()
    assert photo_locations.view(desk).with_location == 1
    found = photo_locations.remove(desk)
    assert (found.removed, found.with_location, found.photos) == (1, 0, 1)
    (after,) = shown(desk, visit)
    assert (after.caption, after.in_place_of) == (before.caption, before.sha256)
    (kept,) = files(desk)
    assert PLACE not in kept
    assert kept == without_location(PHOTOS[kind]())
    assert Image.open(BytesIO(kept)).tobytes() == pixels
    assert before.sha256 not in desk.depot.photos


def test_twice_is_once(desk: Desk, visit: str) -> None:
    saved_before(desk, visit)
    photo_locations.remove(desk)
    count = len(desk.depot.entries())
    assert photo_locations.remove(desk).removed == 0
    assert len(desk.depot.entries()) == count


def test_those_saved_without_are_left(desk: Desk, visit: str) -> None:
    visits.add_photo(desk, visit, PHOTOS["png"]())
    count = len(desk.depot.entries())
    assert photo_locations.view(desk).with_location == 0
    assert photo_locations.remove(desk).removed == 0
    assert len(desk.depot.entries()) == count


def test_one_saved_so_on_purpose_is_left_unless_asked_for(desk: Desk, visit: str) -> None:
    visits.add_photo(desk, visit, PHOTOS["jpeg"](), keep_location=True)
    found = photo_locations.remove(desk)
    assert (found.removed, found.with_location, found.asked_for) == (0, 1, 1)
    found = photo_locations.remove(desk, asked_for_too=True)
    assert (found.removed, found.with_location) == (1, 0)
    assert shown(desk, visit)[0].location_kept is False


def test_one_file_in_two_visits_goes_when_both_let_it_go(desk: Desk, visit: str) -> None:
    other = visits.start(desk, VisitStart(pump="quay-air"))
    first = saved_before(desk, visit)
    saved_before(desk, other, location_kept=True)
    photo_locations.remove(desk)
    assert first.sha256 in desk.depot.photos, "the other visit keeps it on purpose"
    photo_locations.remove(desk, asked_for_too=True)
    assert first.sha256 not in desk.depot.photos
    assert len(files(desk)) == 1


def test_nothing_is_missed_by_doctor_or_backup(desk: Desk, visit: str, tmp_path: Path) -> None:
    """The earlier entry stays on record, and nobody looks for its file any more."""
    saved_before(desk, visit)
    photo_locations.remove(desk)
    found = examine(desk.depot)
    assert found.whole, found
    assert found.missing_photos == ()
    assert back_up(desk.depot, tmp_path / "b.zip").missing == ()


def test_interrupted_before_the_old_file_went_it_goes_next_time(
    desk: Desk, visit: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = saved_before(desk, visit)
    with monkeypatch.context() as stopped:
        stopped.setattr(photo_locations, "_clear_away", lambda desk: None)
        photo_locations.remove(desk)
    assert before.sha256 in desk.depot.photos
    photo_locations.remove(desk)
    assert before.sha256 not in desk.depot.photos


def test_withdrawn_afterwards_it_is_gone_and_comes_back_without(desk: Desk, visit: str) -> None:
    saved_before(desk, visit)
    photo_locations.remove(desk)
    entry = next(e for e in reversed(desk.depot.entries()) if e.kind == "photo")
    record.withdraw(desk, entry.id)
    assert shown(desk, visit) == [], "nor does the earlier one show, whose file is gone"
    record.put_back(desk, entry.id)
    assert [PLACE in desk.depot.photos.get(p.sha256)[0] for p in shown(desk, visit)] == [False]


def test_a_withdrawn_one_is_left_and_told(desk: Desk, visit: str) -> None:
    before = saved_before(desk, visit)
    record.withdraw(desk, desk.depot.entries()[-1].id)
    found = photo_locations.remove(desk)
    assert (found.removed, found.withdrawn) == (0, 1)
    assert before.sha256 in desk.depot.photos
    assert shown(desk, visit) == []


def test_a_damaged_one_is_left_to_doctor(desk: Desk, visit: str) -> None:
    before = saved_before(desk, visit)
    desk.depot.photos.path_of(before.sha256, before.media).write_bytes(b"spoilt")
    assert photo_locations.remove(desk).removed == 0
    assert examine(desk.depot).damaged_photos == (before.sha256,)


def test_the_page_shows_the_picture_as_before(desk: Desk, visit: str) -> None:
    before = saved_before(desk, visit)
    photo_locations.remove(desk)
    client = TestClient(create_app(desk.depot), base_url="http://localhost")
    (after,) = shown(desk, visit)
    page = client.get(f"/visits/{visit}/complaint").text
    assert f"/photos/{after.sha256}" in page
    assert "damaged or missing" not in page
    assert PLACE not in client.get(f"/photos/{after.sha256}").content
    assert client.get(f"/photos/{before.sha256}").status_code == 404


def test_the_command_counts_and_removes(
    desk: Desk, visit: str, place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    saved_before(desk, visit)
    saved_before(desk, visit, "png", location_kept=True)
    visits.add_photo(desk, visit, PHOTOS["webp"]())

    def said(*words: str, code: int = 0) -> str:
        assert run(["--depot", str(place), "depot", "photos", *words]) == code
        return " ".join("".join(capsys.readouterr()).split())

    told = said()
    assert "3 photos; 1 may still say where they were taken." in told
    assert "Saved so on purpose: 1 more." in told
    assert "wetend depot photos --remove-location" in told
    assert "goes with --remove-location" in said("--asked-for-too", code=2)
    told = said("--remove-location")
    assert "Location removed from 1 photo; the pictures are unchanged." in told
    assert "Backups made before still hold the earlier files." in told
    assert json.loads(said("--json"))["with_location"] == 1
    assert json.loads(said("--remove-location", "--asked-for-too", "--json"))["removed"] == 1
    assert [PLACE in data for data in files(desk)] == [False] * 3
