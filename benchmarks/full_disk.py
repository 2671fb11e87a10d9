"""What each kind of write does on a full disk and on a read-only one.

    python benchmarks/full_disk.py [--most 400] [--step 4] [--only "a photo"]

A small disk of its own (tmpfs, in a namespace that needs no rights: Linux with `unshare`) is filled
until so many kilobytes are free, from none up in steps, so that each write of a command fails in
its turn; once more with room enough, when nothing may be refused; and once read-only. As it should
be, each try is done whole and reads back, or ends in one sentence with everything as it was before,
byte for byte (a depot: entry for entry, and sound), no half file left, and on a page what was typed
given back. Ends with 1 where that is not so.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import zipfile
from dataclasses import dataclass
from pathlib import Path

from alembic import command
from fastapi.testclient import TestClient
from PIL import Image
from tries import Tries, progress

from wetend.cli.app import run
from wetend.pump.readings import Note, VisitStart
from wetend.pump.toml import demo_pump, to_toml
from wetend.records.backup import back_up
from wetend.records.engine import locate, sqlite
from wetend.records.migrating import migrations
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

DISK = Path("/tmp/wetend-full-disk")
SIZE, PLENTY = 32_000_000, 8_000_000
"""Bytes of the disk, and free on it at the last try, when nothing may be refused."""
DEPOT, EARLIER, FILLER = "depot.sqlite3", "earlier.sqlite3", "filler"
REMARK = "a remark that stands on no other page"
TOKEN = re.compile(r'name="_token" value="([^"]+)"')


@dataclass(frozen=True)
class Disk:
    """The disk filled until so many bytes are free, or read-only where that is less than none."""

    room: int

    @property
    def read_only(self) -> bool:
        """Whether nothing at all may be written."""
        return self.room < 0

    def squeeze(self) -> None:
        """Leave no more room than that."""
        if self.read_only:
            self._remount("ro")
            return
        free = os.statvfs(DISK)
        with (DISK / FILLER).open("wb") as file:
            os.posix_fallocate(file.fileno(), 0, max(free.f_bavail * free.f_frsize - self.room, 1))

    def free(self) -> None:
        """Have it as it was."""
        if self.read_only:
            self._remount("rw")
        else:
            (DISK / FILLER).unlink(missing_ok=True)

    @staticmethod
    def _remount(how: str) -> None:
        subprocess.run(["mount", "-o", f"remount,{how}", DISK], check=True)


@dataclass(frozen=True)
class Said:
    """How a try ended."""

    done: bool
    sentence: str
    given_back: bool = True
    """Whether what was typed is there to be sent again."""


@dataclass(frozen=True)
class Kind:
    """A kind of write: a command, or a form."""

    words: tuple[str, ...] = ()
    depot: str = DEPOT
    makes: str = ""
    """The file that is there afterwards."""
    form: str = ""
    spoilt: bool = False
    """Whether an entry is damaged before."""


KINDS = {
    "an entry": Kind(("visit", "note", "last", "more")),
    "a photo": Kind(("visit", "photo", "last", "photo.jpg")),
    "a pump": Kind(("pump", "describe", "pump.toml")),
    "rows and their mapping": Kind(
        ("import", "history.csv", "--keep", "--mapping", "columns.json"), makes="columns.json"
    ),
    "a backup": Kind(("backup", "new.zip"), makes="new.zip"),
    "an export": Kind(("export", "all.zip"), makes="all.zip"),
    "a report over an earlier": Kind(("report", "last", "--to", "report.pdf"), makes="report.pdf"),
    "an order": Kind(("stores", "order", "--to", "order.csv"), makes="order.csv"),
    "a depot": Kind(("depot", "create"), "made.sqlite3", "made.sqlite3"),
    "a restore": Kind(("restore", "saved.zip", "--create"), "made.sqlite3", "made.sqlite3"),
    "an upgrade": Kind(("pump", "list"), EARLIER),
    "mending": Kind(("doctor", "--mend"), spoilt=True),
    "a remark, by form": Kind(form="notes"),
    "a photo, by form": Kind(form="photos"),
}


def _photo() -> bytes:
    """A photo of some 40 kB, another at each call."""
    file = io.BytesIO()
    Image.effect_noise((260, 200), 90).convert("RGB").save(file, "JPEG", quality=92)
    return file.getvalue()


def build(folder: Path) -> None:
    """All that the commands work on."""
    folder.mkdir()
    (folder / "photo.jpg").write_bytes(_photo())
    (folder / "history.csv").write_text("pump,day,litres\nquay-air,2021-05-04,120\n")
    (folder / "report.pdf").write_bytes(b"an earlier report")
    (folder / "pump.toml").write_text(to_toml(demo_pump("yard-hydraulic")), "utf-8")
    with Depot.open(folder / DEPOT) as depot:
        desk = Desk(depot)
        pumps.describe(desk, demo_pump("quay-air"))
        visit = visits.start(desk, VisitStart(pump="quay-air"))
        visits.add_note(desk, visit, Note(text="before"))
        visits.add_photo(desk, visit, _photo())
        back_up(depot, folder / "saved.zip")
    (folder / EARLIER).touch()
    old = sqlite(locate(folder / EARLIER))
    with old.execution_options(writes=True).begin() as connection:
        command.upgrade(migrations(connection), "0001")
    old.dispose()


def _command(folder: Path, kind: Kind, disk: Disk) -> Said:
    """Run a command as a person would, in that folder, on the disk once it is squeezed."""
    os.environ["WETEND_DEPOT"] = str(folder / kind.depot)
    disk.squeeze()
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(list(kind.words))
    told = [line for line in err.getvalue().splitlines() if not line.startswith("Made a depot")]
    notice = "wetend: The record" if disk.read_only and len(told) > 1 else "-"
    return Said(code == 0, "\n".join(line for line in told if not line.startswith(notice)))


def _sent(folder: Path, kind: Kind, disk: Disk) -> Said:
    """Send a form whose page was opened while there was still room.

    A disk turns read-only only while no file on it is open, so it does before the server starts.
    """
    photo = (folder / "photo.jpg").read_bytes()
    if disk.read_only:
        disk.squeeze()
    with Depot.open(folder / DEPOT) as depot:
        visit = visits.open_visits(Desk(depot))[0].id
        client = TestClient(create_app(depot), base_url="http://localhost")
        token = TOKEN.search(client.get("/preferences").text)
        assert token is not None
        fields = {"_token": token[1], "text": REMARK, "caption": REMARK, "stage": "checks"}
        if not disk.read_only:
            disk.squeeze()
        answer = client.post(
            f"/visits/{visit}/{kind.form}", data=fields, follow_redirects=False,
            files={"photo": ("x.jpg", photo)} if kind.form == "photos" else None,
        )  # fmt: skip
        if not disk.read_only:
            disk.free()
            if depot.closed_to_writing:
                return Said(False, f"closed for good: {depot.closed_to_writing}")
    told = re.search(r'class="lead">(.*?)</p>', answer.text, re.DOTALL)
    if answer.status_code == 303:
        return Said(True, "")
    return Said(False, f"wetend: {told[1] if told else answer.status_code}", REMARK in answer.text)


def _files(folder: Path) -> dict[str, bytes]:
    """Every file but what SQLite keeps of a depot, which is compared by its entries."""
    found = (p for p in folder.rglob("*") if p.is_file())
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in found
        if not p.name.startswith((DEPOT, EARLIER, "made.sqlite3-")) and p.name != FILLER
    }


def _entries(folder: Path) -> tuple[frozenset[str], tuple[str, ...]]:
    """A depot's entries and what is wrong with it."""
    with Depot.open(folder / DEPOT, create=False) as depot:
        return frozenset(e.model_dump_json() for e in depot.entries()), depot.notices


def _is_empty_depot(path: Path) -> bool:
    if not path.exists():
        return False
    with Depot.open(path, create=False) as depot:
        return not depot.notices and not depot.entries()


def _reads_back(path: Path) -> bool:
    if path.suffix == ".zip":
        with zipfile.ZipFile(path) as archive:
            return archive.testzip() is None
    if path.suffix == ".sqlite3":
        with Depot.open(path, create=False) as depot:
            return not depot.notices
    data = path.read_bytes()
    return data.startswith(b"%PDF") and b"%%EOF" in data[-20:] if path.suffix == ".pdf" else True


def attempt(folder: Path, kind: Kind, disk: Disk) -> str:
    """One try: what was wrong, or ``done`` or ``refused``."""
    if kind.spoilt:
        with contextlib.closing(sqlite3.connect(folder / DEPOT)) as raw, raw:
            raw.execute("update entries set who = 'x' where kind = 'note'")
    files, (entries, noticed) = _files(folder), _entries(folder)
    said = (_sent if kind.form else _command)(folder, kind, disk)
    disk.free()
    after, (left, notices) = _files(folder), _entries(folder)
    if not entries <= left:
        return f"{len(entries - left)} entries lost after: {said.sentence}"
    if said.done:
        if kind.makes and not _reads_back(folder / kind.makes):
            return f"{kind.makes} does not read back"
        if notices:
            return f"done, and left: {notices[0]}"
        return "done"
    if kind.words[:1] == ("restore",) and _is_empty_depot(folder / kind.makes):
        after.pop(kind.makes)  # made whole before, as asked for
    if after != files:
        changed = sorted(n for n in {*after, *files} if after.get(n) != files.get(n))
        return f"refused, and left changed: {', '.join(changed)}; {said.sentence}"
    if left != entries:
        return f"refused, and kept all the same: {said.sentence}"
    if notices != noticed:
        return f"refused, and left: {notices[0]}"
    return _sentence_judged(said, disk)


def _sentence_judged(said: Said, disk: Disk) -> str:
    if not re.fullmatch(r"wetend: [^\n]+\.", said.sentence):
        return f"no sentence: {said.sentence}"
    if ("read-only" if disk.read_only else "full") not in said.sentence:
        return f"another reason named: {said.sentence}"
    if disk.room >= PLENTY:
        return f"refused though there was room: {said.sentence}"
    return "refused" if said.given_back else f"not given back: {said.sentence}"


def _tried(master: Path, kind: Kind, disk: Disk) -> str:
    folder = DISK / "work"
    shutil.copytree(master, folder)
    os.chdir(folder)
    try:
        return attempt(folder, kind, disk)
    finally:
        os.chdir("/")
        shutil.rmtree(folder)


def sweep(given: argparse.Namespace, master: Path) -> Tries:
    """Try each kind of write at each room, and read-only."""
    tries = Tries()
    for what, kind in KINDS.items():
        if given.only in ("", what):
            rooms = [-1, *range(0, given.most * 1024 + 1, given.step * 1024), PLENTY]
            for turn in progress(len(rooms), what):
                disk = Disk(rooms[turn])
                came = _tried(master, kind, disk)
                tries.add(
                    what,
                    came,
                    "" if came in ("done", "refused") else f"{disk.room // 1024} kB: {came}",
                )
    return tries


def main() -> None:
    """Make the disk in a namespace of its own, and sweep."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--most", type=int, default=400, help="kilobytes free at the last try")
    asked.add_argument("--step", type=int, default=4)
    asked.add_argument("--only", default="", choices=("", *KINDS))
    asked.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    given = asked.parse_args()
    DISK.mkdir(exist_ok=True)
    if not given.inside:
        again = ["unshare", "-Urm", sys.executable, __file__, *sys.argv[1:], "--inside"]
        raise SystemExit(subprocess.run(again, check=False).returncode)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs", DISK], check=True)
    os.environ["WETEND_WHO"] = "A. Tester"
    build(DISK / "master")
    tries = sweep(given, DISK / "master")
    raise SystemExit(1 if tries.show("refused", "done") else 0)


if __name__ == "__main__":
    main()
