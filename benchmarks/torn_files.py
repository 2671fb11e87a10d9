"""Tear, spoil and bloat every kind of file that is read; each ends in an answer or one sentence.

    python benchmarks/torn_files.py [--times 60] [--seed 1] [--only WAV]

Each kind is read by its command, whole once, then: cut off at so many places; with 16 bytes
overwritten, 200 left out, 200 told twice, as often; and bloated: zeros, blank lines, one endless
line, itself over and over, brackets a hundred thousand deep, a size that lies, an archive that
unfolds to more than it should, 600 MB of nothing. As it should be, a command answers, or refuses
in one sentence and keeps nothing; neither takes long nor much memory; a photo or backup that is
torn is never taken. Ends with 1 where that is not so.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import random
import resource
import struct
import tempfile
import time
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from openpyxl import Workbook
from PIL import Image
from pump_logs import as_csv, log_of
from pump_sounds import Pumping, as_wav, recording
from tries import Tries, progress

from wetend.cli.app import run
from wetend.pump.readings import Note, VisitStart
from wetend.pump.toml import demo_pump, to_toml
from wetend.records.backup import back_up
from wetend.records.store import Depot
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

HISTORY = "pump,day,litres,part,why,note\n" + "".join(
    f"quay-air,2021-{month:02d}-04,{100 + month},,,“ok”\n" for month in range(1, 13)
)
CATALOGUE = (
    "number,name,parts,pumps,supplier,price,pack,lead_days,shelf,van,note\n"
    "S-1,seat,foot-seat,quay-air,,42.50,1,5,2,0,\nB-7,ball,foot-ball,quay-air,,8,1,5,5,1,ok\n"
)
LONGEST = 20.0
"""Seconds that one file may take."""
MOST_MEMORY = 700
"""MB that reading all of them may add."""
MB = 1_000_000


@dataclass(frozen=True)
class Kind:
    """A kind of file, and the command that reads it."""

    name: str
    words: tuple[str, ...]
    whole: bool = False
    """Whether any change to it must be refused or do no harm: it carries its own checksums."""


KINDS = {
    "pump, TOML": Kind("pump.toml", ("pump", "describe", "pump.toml", "--replace")),
    "history, CSV": Kind("history.csv", ("import", "history.csv")),
    "history, XLSX": Kind("history.xlsx", ("import", "history.xlsx")),
    "mapping, JSON": Kind("map.json", ("import", "kept.csv", "--mapping", "map.json")),
    "catalogue, CSV": Kind("items.csv", ("stores", "items-in", "items.csv")),
    "catalogue, TOML": Kind("items.toml", ("stores", "items-in", "items.toml")),
    "catalogue, XLSX": Kind("items.xlsx", ("stores", "items-in", "items.xlsx")),
    "sound, WAV": Kind("run.wav", ("listen", "run.wav", "--first", "up")),
    "pressure log, CSV": Kind("log.csv", ("listen", "log.csv", "--first", "up")),
    "tap times": Kind("taps.txt", ("listen", "taps.txt", "--taps", "--first", "up")),
    "photo, JPEG": Kind("x.jpg", ("visit", "photo", "last", "x.jpg")),
    "photo, PNG": Kind("x.png", ("visit", "photo", "last", "x.png")),
    "photo, WebP": Kind("x.webp", ("visit", "photo", "last", "x.webp")),
    "backup": Kind("saved.zip", ("restore", "saved.zip"), whole=True),
}


def _sheet(text: str) -> bytes:
    book = Workbook()
    assert book.active is not None
    for line in text.splitlines():
        book.active.append(line.split(","))
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _picture(form: str) -> bytes:
    file = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.effect_noise((200, 150), 80).convert("RGB").save(file, form, exif=exif)
    return file.getvalue()


def build(folder: Path) -> None:
    """A depot and one sound file of each kind."""
    sound = recording(1, run=Pumping(seconds=20.0))
    taps = "\n".join(f"{n * 1.2:.2f}" for n in range(20))
    with Depot.open(folder / "depot.sqlite3") as depot:
        pumps.describe(Desk(depot), demo_pump("quay-air"))
        visit = visits.start(Desk(depot), VisitStart(pump="quay-air"))
        visits.add_note(Desk(depot), visit, Note(text="stößt, 漏れる"))
        visits.add_photo(Desk(depot), visit, _picture("JPEG"))
        back_up(depot, folder / "saved.zip")
    files = {
        "pump.toml": to_toml(demo_pump("quay-air")).encode(),
        "history.csv": HISTORY.encode(), "kept.csv": HISTORY.encode(),
        "history.xlsx": _sheet(HISTORY), "items.csv": CATALOGUE.encode(),
        "items.xlsx": _sheet(CATALOGUE), "run.wav": as_wav(sound),
        "log.csv": as_csv(log_of(1, run=Pumping(seconds=20.0))), "taps.txt": taps.encode(),
        "x.jpg": _picture("JPEG"), "x.png": _picture("PNG"), "x.webp": _picture("WEBP"),
    }  # fmt: skip
    for name, data in files.items():
        (folder / name).write_bytes(data)
    for words in (
        ("import", "kept.csv", "--keep", "--mapping", "map.json"),
        ("stores", "items-in", "items.csv"),
        ("stores", "items-out", "--to", "items.toml"),
    ):
        said = _run(words)
        if said.code:
            raise SystemExit(f"{words}: {said.err}")


@dataclass(frozen=True)
class Said:
    """How a command ended."""

    code: int
    out: str
    err: str
    seconds: float


def _run(words: tuple[str, ...]) -> Said:
    out, err = io.StringIO(), io.StringIO()
    start = time.perf_counter()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(list(words))
    return Said(code, out.getvalue(), err.getvalue(), time.perf_counter() - start)


def spoilt(data: bytes, times: int, rng: random.Random) -> Iterator[tuple[str, bytes]]:
    """A file torn and spoilt at many places."""
    for n in range(times):
        cut = len(data) * n // times
        yield "cut", data[:cut]
        at = rng.randrange(max(len(data) - 16, 1))
        yield "overwritten", data[:at] + rng.randbytes(16) + data[at + 16 :]
        yield "left out", data[:at] + data[at + 200 :]
        yield "told twice", data[: at + 200] + data[at:]


def bloated(data: bytes, name: str) -> Iterator[tuple[str, bytes]]:
    """A file blown up in every way that its kind allows."""
    middle = len(data) // 2
    yield "zeros", data + bytes(5 * MB)
    yield "blank lines", data + b"\n" * (5 * MB)
    yield "endless line", data[:middle] + b"x" * (5 * MB) + data[middle:]
    yield "over and over", data * min(20 * MB // len(data) + 1, 3000)
    for deep in (b"[", b"{", b'{"a":', b"a.", b'"', b"a = [", b"((", b"=1+"):
        yield "deep", deep * 100_000
    if name.endswith((".xlsx", ".zip")):
        yield from _unfolding(data)
    if name.endswith(".wav"):
        for at in (4, 16, 22, 24, 28, 32, 34, 40):
            yield "lying size", data[:at] + b"\xff\xff\xff\x7f" + data[at + 4 :]
    if name.endswith(".png"):
        head = struct.pack(">II", 60_000, 60_000) + data[24:29]
        summed = struct.pack(">I", zlib.crc32(b"IHDR" + head))
        yield "lying size", data[:16] + head + summed + data[33:]


def _unfolding(data: bytes) -> Iterator[tuple[str, bytes]]:
    """Each part of an archive in its turn made to unfold to 300 MB."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    for bomb in parts:
        file = io.BytesIO()
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, content in parts.items():
                if name != bomb:
                    archive.writestr(name, content)
                    continue
                with archive.open(name, "w", force_zip64=True) as part:
                    part.write(content[: len(content) // 2])
                    for _ in range(300):
                        part.write(b" " * MB)
                    part.write(content[len(content) // 2 :])
        yield "unfolding", file.getvalue()


def _entries(folder: Path) -> tuple[frozenset[str], tuple[str, ...]]:
    with Depot.open(folder / "depot.sqlite3", create=False) as depot:
        entries = frozenset(e.model_dump_json() for e in depot.each_entry())
        photos = [s for s in depot.photos.hashes() if not depot.photos.holds(s)]
        return entries, (*depot.notices, *photos)


def judged(folder: Path, kind: Kind, before: frozenset[str]) -> tuple[str, str]:
    """Read a file: what came of it, and what was wrong with that."""
    said = _run(kind.words)
    after, notices = _entries(folder)
    told = said.err.replace(str(folder), "")
    outcome = "refused" if said.code else "taken"
    wrong = ""
    if "something went wrong inside" in told or "Traceback" in told:
        wrong = told
    elif said.code and (told.count("\n") != 1 or not told.startswith("wetend: ")):
        wrong = f"no one sentence: {told[:300]!r}"
    elif len(told) > 1500:
        wrong = f"a sentence of {len(told)} letters: {told[:200]!r}"
    elif said.code and after != before:
        wrong = f"refused, and kept: {told}"
    elif notices or not before <= after:
        wrong = f"depot harmed: {notices}"
    elif kind.whole and after != before:
        wrong = "altered entries were taken"
    elif said.seconds > LONGEST:
        wrong = f"took {said.seconds:.0f} s"
    return outcome, wrong


def tear(given: argparse.Namespace, folder: Path) -> Tries:
    """Try everything on every kind."""
    rng, tries = random.Random(given.seed), Tries()
    for what, kind in KINDS.items():
        if given.only and given.only not in what:
            continue
        path = folder / kind.name
        data = path.read_bytes()
        if _run(kind.words).code:
            raise SystemExit(f"The sound {what} is not taken: {_run(kind.words).err}")
        all_of_it = list(spoilt(data, given.times, rng))
        cases = [*all_of_it, *bloated(data, kind.name)]
        for n in progress(len(cases) + 1, what):
            if n < len(cases):
                how, content = cases[n]
                path.write_bytes(content)
            else:
                how = "600 MB of nothing"
                os.truncate(path, 600 * MB)
            before, _ = _entries(folder)
            outcome, wrong = judged(folder, kind, before)
            tries.add(what, outcome, f"{how} (try {n}): {wrong}" if wrong else "")
        path.write_bytes(data)
    return tries


def _memory() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def main() -> None:
    """Tear, and write the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--times", type=int, default=60)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", default="")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory(prefix="wetend-torn-") as name:
        folder = Path(name)
        os.environ |= {"WETEND_DEPOT": str(folder / "depot.sqlite3"), "WETEND_WHO": "A. Tester"}
        os.chdir(folder)
        build(folder)
        before = _memory()
        tries = tear(given, folder)
        wrong = tries.show("refused", "taken")
        grown = _memory() - before
        print(f"memory at most {grown} MB more than before; {MOST_MEMORY} MB is let pass")
        os.chdir("/")
    raise SystemExit(1 if wrong or grown > MOST_MEMORY else 0)


if __name__ == "__main__":
    main()
