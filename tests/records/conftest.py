"""What tests of the record share: a filled record, its backup, and a disk that takes no more."""

from __future__ import annotations

import io
import resource
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

import pytest
from PIL import Image

from wetend.pump.readings import Complaint, VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.backup import back_up
from wetend.records.entries import new_entry
from wetend.records.ids import new_id
from wetend.records.store import Depot


def _picture(colour: str) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (4, 4), colour).save(file, "PNG")
    return file.getvalue()


def _fill(depot: Depot) -> str:
    pump, visit = demo_pump("quay-air"), new_id()
    photos = [depot.photos.put(_picture(colour)) for colour in ("red", "blue")]
    depot.append(
        new_entry("pump-described", pump, pump=pump.key),
        new_entry("visit-started", VisitStart(pump=pump.key), pump=pump.key, visit=visit),
        new_entry(
            "complaint", Complaint(said="stößt, 漏れる\nيسرب 🛠 </script>"), pump=pump.key,
            visit=visit, who="Å",
        ),
        *(new_entry("photo", photo, pump=pump.key, visit=visit) for photo in photos),
    )  # fmt: skip
    return visit


@pytest.fixture
def picture() -> Callable[[str], bytes]:
    """Makes a small PNG of one colour."""
    return _picture


@pytest.fixture
def fill() -> Callable[[Depot], str]:
    """Keeps a pump, a visit with text in many scripts, and two photos; tells the visit's id."""
    return _fill


@pytest.fixture
def saved(tmp_path: Path) -> Path:
    """A backup of a small record that stands in ``old/depot.sqlite3`` beside it."""
    with Depot.open(tmp_path / "old" / "depot.sqlite3") as depot:
        _fill(depot)
        back_up(depot, tmp_path / "saved.zip")
    return tmp_path / "saved.zip"


@contextmanager
def _largest_file(size: int) -> Iterator[None]:
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@pytest.fixture
def largest_file() -> Callable[[int], AbstractContextManager[None]]:
    """Has the system refuse to write files longer than so many bytes, as a full disk would."""
    return _largest_file
