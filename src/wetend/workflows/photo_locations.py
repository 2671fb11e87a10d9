"""Remove the location from photos saved with it: the picture stays byte for byte.

A photo is named by the hash of its file, and entries never change; so a photo changed is a new file
and a new entry that corrects the earlier one. The old file goes once nothing speaks of it.
"""

from __future__ import annotations

from dataclasses import dataclass

from wetend.errors import BadInput, NotFound, StorageFailed
from wetend.pump.readings import Photo
from wetend.records.corrections import standing, taken_back
from wetend.records.entries import Entry, said_by
from wetend.records.photo_keeping import with_entries
from wetend.records.photo_notes import without_location
from wetend.workflows.desk import KEEPING, Desk


@dataclass(frozen=True)
class LocationsView:
    """Photos of a depot, and those whose files hold what a phone wrote into them."""

    photos: int
    with_location: int
    """Of these, those that may still say where they were taken."""
    asked_for: int
    """Of these, those whose location was kept on purpose."""
    withdrawn: int
    """Withdrawn photos that may still say so; they are left as they are."""
    removed: int = 0
    """Photos whose location was removed now."""


@dataclass(frozen=True)
class _Found:
    entry: Entry
    photo: Photo
    withdrawn: bool
    stripped: bytes
    """The file without its location; blank where it holds none, or can't be read."""


def view(desk: Desk) -> LocationsView:
    """How many photos may still say where they were taken.

    Raises:
        StorageFailed: the record can't be read.
    """
    return _counted(_photos(desk))


def _counted(found: list[_Found], removed: int = 0) -> LocationsView:
    shown = [each for each in found if not each.withdrawn]
    located = [each for each in shown if each.stripped]
    return LocationsView(
        photos=len(shown), with_location=len(located),
        asked_for=sum(each.photo.location_kept for each in located),
        withdrawn=sum(each.withdrawn and bool(each.stripped) for each in found), removed=removed,
    )  # fmt: skip


def remove(desk: Desk, *, asked_for_too: bool = False) -> LocationsView:
    """Remove the location from every photo shown; twice is once, and half is gone on with.

    Args:
        desk: where a person works from.
        asked_for_too: also where it was kept on purpose.

    Raises:
        StorageFailed: the disk failed; photos done before that stay done.
    """
    removed = 0
    with KEEPING:
        for each in _photos(desk):
            wanted = asked_for_too or not each.photo.location_kept
            if each.stripped and wanted and not each.withdrawn:
                _replace(desk, each)
                removed += 1
        _clear_away(desk)
    return _counted(_photos(desk), removed)


def _photos(desk: Desk) -> list[_Found]:
    """Every photo that stands or is withdrawn, but for those that another took the place of."""
    entries = desk.depot.entries(kinds=("photo", "withdrawn"))
    stands, gone = {said.entry.id for said in standing(entries)}, taken_back(entries)
    found = []
    for entry in entries:
        photo = said_by(entry)
        if isinstance(photo, Photo) and (entry.id in stands or entry.id in gone):
            stripped = _stripped(desk, photo.sha256)
            found.append(_Found(entry, photo, entry.id in gone, stripped))
    return found


def _stripped(desk: Desk, sha: str) -> bytes:
    try:
        data, _ = desk.depot.photos.get(sha)
        stripped = without_location(data)
    except (NotFound, StorageFailed, BadInput):  # `wetend doctor` names a damaged one
        return b""
    return stripped if stripped != data else b""


def _replace(desk: Desk, each: _Found) -> None:
    with desk.depot.photos.staged() as stage, with_entries(desk.depot, stage):
        shelved = stage.put(each.stripped)
        photo = each.photo.model_copy(
            update={
                "sha256": shelved.sha256, "location_kept": False,
                "in_place_of": each.photo.sha256,
            }
        )  # fmt: skip
        desk.keep(
            "photo", photo, pump=each.entry.pump, visit=each.entry.visit, corrects=each.entry.id,
            last=stage.keep,
        )  # fmt: skip


def _clear_away(desk: Desk) -> None:
    """Delete the files that others took the place of, unless something still speaks of them."""
    found = _photos(desk)
    needed = {each.photo.sha256 for each in found}
    for sha in {each.photo.in_place_of for each in found} - needed - {""}:
        if sha in desk.depot.photos:
            desk.depot.photos.remove(sha)
