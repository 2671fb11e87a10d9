"""Slips of a finger as a new user makes them: one clear sentence each, and nothing left behind.

Nearly right names of commands, options, parts and the like are in ``test_refusals.py``.
"""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from wetend.cli.app import run
from wetend.records.store import Depot

LIBRARY = (
    "Traceback", "Input should", "Invalid value", "validation", "pydantic", "sqlalchemy", "Errno",
    "openpyxl", "went wrong inside", "<class", "(at line", "codec",
)  # fmt: skip


@dataclass(frozen=True)
class Shop:
    """A demo depot and a folder of files that are not what they should be."""

    folder: Path
    depot: Path

    def left(self) -> tuple[int, list[str]]:
        """What a slip must leave as it is: how many entries there are, and which files."""
        with Depot.open(self.depot) as depot:
            entries = len(depot.entries())
        beside = {f"{self.depot.name}-wal", f"{self.depot.name}-shm"}
        return entries, sorted(p.name for p in self.folder.rglob("*") if p.name not in beside)


@pytest.fixture(scope="module")
def shop(
    tmp_path_factory: pytest.TempPathFactory, copy_demo: Callable[[Path], Path]
) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("shop") / "here"
    depot = copy_demo(folder / "depot.sqlite3")
    (folder / "folder").mkdir()
    (folder / "letter.txt").write_text("Dear Sam, the pump is slow again.\n")
    (folder / "empty.csv").write_text("")
    (folder / "song.mp3").write_bytes(b"ID3\x03\x00junk")
    (folder / "torn.wav").write_bytes(b"RIFF0000WAVEjunk")
    (folder / "old.xls").write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest")
    (folder / "photo.jpg").write_bytes(b"not a picture")
    with pytest.MonkeyPatch.context() as around:
        around.chdir(folder)
        around.setenv("WETEND_DEPOT", str(depot))
        around.setenv("WETEND_WHO", "A. Tester")
        around.setenv("COLUMNS", "100")
        around.delenv("WETEND_UNITS", raising=False)
        yield Shop(folder, depot)


SLIPS = {
    # a figure
    'checks last up_times="1.3 1.2 1.3"': "Up-stroke times: “1.2 1.3” follows the first figure",
    'checks last up_times="1,3 1,2"': "Up-stroke times: In “1,3 1,2” a comma could be decimal",
    'checks last spray_pressure="200 kg"': "Gauge while spraying: “kg” is not a unit of pressure",
    'checks last spray_pressure="-200 bar"': "Gauge while spraying is -200 bar; it must be from",
    'checks last spray_pressure="2OO bar"': "Gauge while spraying: there is a letter in the number",
    'checks last spray_pressure="200bar, 210bar"': "or give one, like 200 bar",
    "checks last spray_pressure=bar": "Gauge while spraying: “bar” is not a pressure",
    'checks last temperature="250 °C"': "Coating temperature is 250 °C; it must be from",
    'checks last cycle_rate="40 bar"': "Cycles a minute, spraying: “bar” is not a unit of rate",
    'calc cup-viscosity cup=ford-4 time="1:04"': "time: “:04” is not a unit of time",
    "calc gap-leak diameter=38 clearance=1um length=2mm pressure=2bar viscosity=1": "is 38,000 mm",
    'inspect last seat chip_depth="150 µm deep"': "“um deep” is not a unit of length",
    'handover last hose_lift="4 m" guns=two': "Guns at once is not a whole number",
    'incident pressure="a lot"': "At what pressure: “a lot” is not a pressure",
    # a field and its sign
    "checks last spray_pressure 200": "no space: spray_pressure=200",
    "checks last spray_pressure": "“spray_pressure” is not field=value",
    "handover last hose_lift=4 m": 'quotation marks: hose_lift="4 m"',
    "calc gap-leak diameter=38mm,clearance=60um": "Between diameter= and clearance= is a comma",
    'checks last up_times="1.3 s" up_times="1.4 s"': "“up_times” is given twice",
    "checks last note=": "“note=” has no value after the =",
    "make-safe last drive_off=": "“drive_off=” has no value after the =",
    "make-safe last drive_off=maybe": "Drive supply off: “maybe” is neither yes nor no",
    "site last emergency_phone=": "“emergency_phone=” has no value after the =",
    "sign-off last technician=": "“technician=” has no value after the =",
    "sign-off last": "technician=NAME",
    'inspect last chip_depth="150 um"': "“chip_depth=150 um” is not a part to measure; there "
    "are ball",
    'inspect last rod diameter="27,02 mm"': "did you mean diameters?",
    'checks last "spray pressure"=200bar': "did you mean spray_pressure",
    # a visit, a pump
    'checks lst up_times="1.3 s"': "did you mean last?",
    'checks up_times="1.3 s"': "“up_times=1.3 s” is in place of the visit",
    "visit show 12": "No visit matches “12”",
    "report 99999": "No visit matches “99999”",
    'visit start "North quay"': "did you mean north-quay?",
    "visit start north quay": "“quay” is one word too many",
    "visit start": "PUMP is missing",
    'visit note last ""': "The remark is required",
    "visit withdraw last abcdef": "No single entry matches “abcdef”",
    "pump toml nothing": "There is no pump “nothing”",
    # a day
    "life used north-quay first=2026-05-10 last=2026-05-01 pumped=100L": "lies before the first",
    "life used north-quay first=10.05.2026 last=2026-05-11 pumped=100L": "First day must be a date",
    'life used north-quay first=2026-05-10 last=2026-05-11 pumped="100 kg"': "Pumped: “kg” is not",
    "life show north-quay --today tomorrow": "--today: “tomorrow” is not a date",
    # the wrong file
    "visit photo last photo.jpg": "photo can't be saved",
    "visit photo last folder": "“folder” is a folder",
    "visit photo last nowhere.jpg": "There is no file “nowhere.jpg”",
    "pump describe letter.txt": "line 1, “Dear Sam, the pump is slow again.”",
    "pump describe folder": "“folder” is a folder",
    "import letter.txt": "no row below its head",
    "import empty.csv": "The file is empty",
    "import old.xls": "save it as .xlsx or CSV",
    "import letter.txt --days dd/mm/yyyy": "--days is ymd, dmy or mdy",
    "listen song.mp3": "This is MP3 sound; save the recording as WAV",
    "listen torn.wav": "no sound in the WAV file",
    "listen letter.txt": "No rows of figures were found",
    "listen": "FILE is missing (WAV recording",
    "restore letter.txt": "not a backup; nothing was done",
    "backup folder": "“folder” is a folder",
    "find-fault --pump quay-air --coating epoxy-tank --readings letter.txt": "not valid TOML",
    "report last --to": "--to needs a value",
    "stores order --to orders.docx": ".csv or .pdf",
    "--depot folder pump list": "is a folder; name the depot's file in it",
    "--depot letter.txt pump list": "is not a record of this program",
    "--depot depot.sqlit3 pump list": "There is no depot at",
    # a command
    "calc hose loss": "did you mean hose-loss?",
    "-depot x pump list": "did you mean --depot?",
    "visits list": "did you mean `wetend visit`?",
    "pump list --jsn": "did you mean --json?",
    "fleet simulate --months 1000": "--months can't be used as given; it must be a whole number "
    "from",
    "practice ABCD": "A practice code has nine or twelve letters and digits",
}
"""What is typed behind ``wetend``, and what its sentence says."""


def test_there_are_fifty() -> None:
    assert len(SLIPS) >= 50


@pytest.mark.parametrize("words", SLIPS)
def test_a_slip_gets_one_clear_sentence_and_leaves_nothing(
    shop: Shop, capsys: pytest.CaptureFixture[str], words: str
) -> None:
    before = shop.left()
    capsys.readouterr()
    code = run(shlex.split(words))
    out, err = capsys.readouterr()
    assert code in (1, 2)
    assert out == ""
    assert err.startswith("wetend: ")
    assert err.count("\n") == 1
    assert len(err) < 400
    assert SLIPS[words] in err
    assert not [word for word in LIBRARY if word in err]
    assert shop.left() == before


@pytest.mark.parametrize(
    ("words", "kind", "kept"),
    [
        ('checks last spray_pressure="200 bar."', "check-readings", '"spray_pressure":20000000.0'),
        ('checks last "spray_pressure = 201 bar"', "check-readings", '"spray_pressure":20100000.0'),
        ("checks last spray-pressure=202bar", "check-readings", '"spray_pressure":20200000.0'),
        ("inspect last seat chip_depth=150", "seat", '"chip_depth":0.00015'),
        ('complaint last said="  drops  "', "complaint", '"said":"drops"'),
    ],
)
def test_what_can_only_mean_one_thing_is_read_so(
    shop: Shop, capsys: pytest.CaptureFixture[str], words: str, kind: str, kept: str
) -> None:
    assert run(shlex.split(words)) == 0
    capsys.readouterr()
    with Depot.open(shop.depot) as depot:
        assert kept in depot.entries()[-1].payload
        assert depot.entries()[-1].kind == kind


def test_a_visit_begun_twice_is_told(shop: Shop, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["visit", "start", "north-quay"]) == 0
    first = capsys.readouterr().out
    assert run(["visit", "start", "north-quay"]) == 0
    second = capsys.readouterr().out
    assert first.split()[1][-6:] in second.partition("started")[2]
    assert "has an open visit already" in second
