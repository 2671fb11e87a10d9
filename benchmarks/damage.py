"""How often damaged bytes in a depot go unnoticed, and what of the rest can still be read.

    python benchmarks/damage.py [--tries 400] [--bytes 64] [--seed 1] [--only entries]

Each try copies a sound depot, writes random bytes over a random place of one of its files, opens
it, reads everything as pages and commands do, and then looks it through as `wetend doctor` does.
Unnoticed is a try after which something reads otherwise than it was written, or is not there, and
nothing says so. A try that changes nothing anybody reads (free space, an index that SQLite mends)
counts as harmless where nothing is said.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sqlite3
import tempfile
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path

from PIL import Image
from tries import progress

from wetend.errors import WetendError
from wetend.pump.readings import Note
from wetend.records.backup import back_up, restore_into
from wetend.records.entries import PAYLOADS, Entry, new_entry
from wetend.records.health_check import examine
from wetend.records.repair import mend
from wetend.records.store import Depot
from wetend.workflows import pumps, visits
from wetend.workflows.demo.build import build_demo, demo_fleet
from wetend.workflows.desk import Desk

DEPOT, ARCHIVE = "depot.sqlite3", "saved.zip"
FLEET = tuple(pump.key for pump in demo_fleet())
LATE = 40
"""Entries that stand in the log alone, as after a kill."""


@dataclass(frozen=True)
class Content:
    """All that can be read of a depot."""

    entries: frozenset[Entry]
    photos: frozenset[tuple[str, int]]


@dataclass
class Row:
    """What came of the tries on one kind of place."""

    outcomes: Counter[str] = field(default_factory=Counter)
    lost: list[int] = field(default_factory=list)
    """Entries that could not be read, by try."""
    after: list[int] = field(default_factory=list)
    """The same once mended without a backup."""


def _photo(rng: random.Random) -> bytes:
    file = BytesIO()
    Image.frombytes("RGB", (64, 48), rng.randbytes(64 * 48 * 3)).save(file, "JPEG")
    return file.getvalue()


def build(folder: Path, rng: random.Random) -> None:
    """A demo depot with photos, a backup of it, and further entries that only its log holds."""
    place = folder / DEPOT
    with Depot.open(place) as depot:
        build_demo(depot)
        visit = visits.open_visits(Desk(depot))[0].id
        for _ in range(12):
            visits.add_photo(Desk(depot), visit, _photo(rng))
        back_up(depot, folder / ARCHIVE)
    shutil.copytree(folder, folder.with_name("with-log"))
    late = folder.with_name("with-log") / DEPOT
    with Depot.open(late) as depot:
        for n in range(LATE):
            depot.append(new_entry("note", Note(text=f"late {n} " * 20), pump="north-quay"))
        for kept in (late, late.with_name(f"{late.name}-wal")):  # as a kill would leave them
            shutil.copy(kept, kept.with_name(f"{kept.name}.kept"))
    for kept in late.parent.glob("*.kept"):
        kept.replace(kept.with_name(kept.name.removesuffix(".kept")))


def read(depot: Depot) -> Content:
    """All entries by every way they are asked for, and all photos."""
    pumps.list_pumps(Desk(depot))
    entries = set(depot.each_entry())
    by_pump = {e for key in FLEET for e in depot.entries(pump=key)}
    by_kind = {e for kind in PAYLOADS for e in depot.entries(kinds=(kind,))}
    entries &= by_pump & by_kind  # what one way of asking misses counts as missed
    photos = ((s, depot.photos.get(s)[0]) for s in depot.photos.hashes() if depot.photos.holds(s))
    return Content(frozenset(entries), frozenset((sha, len(data)) for sha, data in photos))


def _places(folder: Path, what: str) -> Path:
    if what == "photo":
        return sorted((folder / "depot.photos").glob("??/*"))[0]
    return folder / {"log": f"{DEPOT}-wal", "archive": ARCHIVE}.get(what, DEPOT)


def _spoil(path: Path, what: str, length: int, rng: random.Random) -> None:
    data = bytearray(path.read_bytes())
    at = _in_an_entry(data, path, rng) if what == "entries" else rng.randrange(len(data) - length)
    data[at : at + length] = rng.randbytes(length)
    path.write_bytes(data)


def _in_an_entry(data: bytes | bytearray, path: Path, rng: random.Random) -> int:
    """A place within an entry's own text."""
    with closing(sqlite3.connect(path)) as connection:
        texts = [row[0] for row in connection.execute("SELECT payload FROM entries")]
    while True:
        found = data.find(rng.choice(texts).encode()[:200])
        if found > 0:
            return found + rng.randrange(-80, 200)


def attempt(
    folder: Path, what: str, length: int, whole: Content, rng: random.Random
) -> tuple[str, int]:
    """Spoil one place and see who notices: the outcome, and how many entries are lost."""
    _spoil(_places(folder, what), what, length, rng)
    if what == "archive":
        return _restored(folder, whole), 0
    try:
        with Depot.open(folder / DEPOT, create=False) as depot:
            opening = bool(depot.notices)
            content = read(depot)
            reading = bool(depot.notices) or content.photos != whole.photos
            found = not examine(depot).whole
    except WetendError:
        return "nothing could be read, and that was said", len(whole.entries)
    lost = len(whole.entries - content.entries)
    altered = content.entries - whole.entries or content.photos - whole.photos
    if altered:
        return "ALTERED AND SHOWN", lost
    if opening or reading or found:
        said = "opening" if opening else "reading" if reading else "the doctor only"
        return f"noticed by {said}", lost
    return ("UNNOTICED" if lost or content != whole else "harmless"), lost


def _lost_once_mended(folder: Path, whole: Content) -> int:
    try:
        after = mend(folder / DEPOT).after
        with Depot.open(folder / DEPOT, create=False) as depot:
            lost = len(whole.entries - read(depot).entries)
    except WetendError:
        return len(whole.entries)
    if not after.whole and not after.missing_photos:
        raise SystemExit(f"mended, and still not whole: {after}")
    return lost


def _restored(folder: Path, whole: Content) -> str:
    try:
        restore_into(lambda: Depot.open(folder / "new.sqlite3"), folder / ARCHIVE)
    except WetendError:
        return "noticed by reading"
    with Depot.open(folder / "new.sqlite3") as depot:
        return "harmless" if read(depot) == whole else "UNNOTICED"


def main() -> None:
    """Run the tries and print the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--tries", type=int, default=400)
    asked.add_argument("--bytes", type=int, default=64)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", default="")
    given = asked.parse_args()
    rng = random.Random(given.seed)
    with tempfile.TemporaryDirectory(prefix="wetend-damage-") as folder:
        sound = Path(folder) / "sound"
        sound.mkdir()
        build(sound, rng)
        kinds = ("file", "entries", "log", "photo", "archive")
        for what in [k for k in kinds if given.only in ("", k)]:
            source = sound.with_name("with-log") if what == "log" else sound
            copy = Path(folder) / "copy"
            shutil.copytree(source, copy)
            with Depot.open(copy / DEPOT) as depot:
                whole = read(depot)
            row = Row()
            for _ in progress(given.tries, what):
                shutil.rmtree(copy)
                shutil.copytree(source, copy)
                outcome, lost = attempt(copy, what, given.bytes, whole, rng)
                row.outcomes[outcome] += 1
                row.lost.append(lost)
                row.after.append(_lost_once_mended(copy, whole) if what != "archive" else 0)
            print(
                f"{what}: {len(whole.entries)} entries, {given.tries} tries of {given.bytes} bytes"
            )
            for outcome, times in row.outcomes.most_common():
                print(f"  {times:5d}  {outcome}")
            for when, gone in (("", row.lost), (" once mended without a backup", row.after)):
                mean = sum(gone) / len(gone)
                print(f"  entries not read{when}: {mean:.2f} a try, {max(gone)} at most")
            shutil.rmtree(copy)


if __name__ == "__main__":
    main()
