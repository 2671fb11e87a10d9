"""An existing history brought in: any column names, torn, huge, mis-encoded and hostile files."""

import csv
import io
import zipfile
from collections.abc import Iterator
from datetime import date

import pytest
from examples import costly
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wetend.errors import BadInput, NotFound, TooLarge
from wetend.pump.usage import LIFE_PARTS, PART_WORDS, Usage
from wetend.records.store import Depot
from wetend.workflows import history_table, pumps
from wetend.workflows.demo.build import demo_fleet
from wetend.workflows.desk import Desk
from wetend.workflows.exporting import kind_table, safe_cell, write_export
from wetend.workflows.history_table import read_history
from wetend.workflows.history_words import read_day, suggest
from wetend.workflows.import_words import Guess, part_guess, why_guess
from wetend.workflows.importing import ImportPlan, keep, preview

GOOD = (
    "Machine;Datum;Spare fitted;Reason;Litres pumped;Remarks\r\n"
    "North quay;04.05.2025;Upper packings;found worn;;first\r\n"
    "north-quay;11.05.2025;;;1,250;no, a comma that may be either\r\n"
    "dry-dock;12.05.2025;;;850;\r\n"
    "Dry dock;13.05.2025;foot-valve ball;planned;;\r\n"
)


@pytest.fixture
def desk(tmp_path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot, who="A. Tester")
        for pump in demo_fleet():
            pumps.describe(desk, pump)
        yield desk


def plan_of(history, days="day first") -> ImportPlan:
    return ImportPlan(suggest(history.columns), days=days)


def test_columns_of_any_name_are_guessed() -> None:
    columns = read_history(GOOD.encode()).columns
    assert suggest(columns) == {
        "pump": "Machine", "day": "Datum", "part": "Spare fitted", "why": "Reason",
        "pumped": "Litres pumped", "note": "Remarks",
    }  # fmt: skip


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_the_same_table_in_every_common_encoding(encoding: str) -> None:
    history = read_history(GOOD.replace("first", "für die Größe").encode(encoding))
    assert history.rows[0][5] == "für die Größe"
    assert "semicolon" in history.read_as


def test_previewed_then_kept_whole(desk: Desk) -> None:
    history = read_history(GOOD.encode())
    before = desk.depot.entries()
    seen = preview(desk, history, plan_of(history))
    assert desk.depot.entries() == before
    assert [bad.number for bad in seen.bad] == [2]
    assert (len(seen.facts), seen.uses, seen.pumps) == (3, 1, ("dry-dock", "north-quay"))
    with pytest.raises(BadInput, match="skip them"):
        keep(desk, seen)
    assert desk.depot.entries() == before
    assert keep(desk, seen, leave_out=True) == 3
    fitted = desk.depot.entries(kinds=("part-fitted",))
    assert {e.at.date() for e in fitted} == {date(2025, 5, 4), date(2025, 5, 13)}
    again = preview(desk, history, plan_of(history))
    assert (len(again.facts), again.there) == (0, 3)
    assert keep(desk, again, leave_out=True) == 0


def test_a_failing_disk_keeps_nothing(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    history = read_history(GOOD.encode())
    seen = preview(desk, history, plan_of(history))
    before = desk.depot.entries()
    made = Desk.new
    calls = iter(range(100))

    def third_breaks(*args, **more):
        if next(calls) == 2:
            raise OSError("disk full")
        return made(*args, **more)

    monkeypatch.setattr(Desk, "new", third_breaks)
    with pytest.raises(OSError, match="disk full"):
        keep(desk, seen, leave_out=True)
    assert desk.depot.entries() == before


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("nobody,2025-05-04,rod", "no pump"),
        ("north-quay,2025-02-30,rod", "does not exist"),
        ("north-quay,soon,rod", "not a date"),
        ("north-quay,2999-01-01,rod", "years 1970 to 2199"),
        ("north-quay,2199-01-01,rod", "future"),
        ("north-quay,2025-05-04,flux", "not a part followed"),
        ("north-quay,2025-05-04,", "neither a part nor a use"),
        ("north-quay,2025-05-04,rod,1,2,3", "6 cells"),
    ],
)
def test_bad_rows_say_why(desk: Desk, row: str, told: str) -> None:
    history = read_history(f"pump,day,part\r\nnorth-quay,2025-05-01,rod\r\n{row}\r\n".encode())
    seen = preview(desk, history, ImportPlan(suggest(history.columns)))
    assert len(seen.facts) == 1
    assert told in seen.bad[0].sentence


def test_columns_that_say_nothing_are_refused(desk: Desk) -> None:
    history = read_history(b"a,b\r\n1,2\r\n")
    for columns in ({}, {"day": "a"}, {"day": "a", "pump": "b"}, {"flux": "a"}, {"day": "c"}):
        with pytest.raises(BadInput):
            preview(desk, history, ImportPlan(columns))


@pytest.mark.parametrize(
    "data",
    [
        b"", b"   \n", b"only a head\r\n", b"\x00\x01\x02" * 50, b"%PDF-1.7\n%\xe2\xe3\x00",
        b"a,b\r\n" + b"1,2\r\n" * 2000 + b"3,\x004\r\n", b'a,b\r\n"torn,1\r\n',
        b"PK\x03\x04torn spreadsheet", b"\xff\xfea\x00b",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest",
    ],
)  # fmt: skip
def test_what_is_no_table_says_so_in_one_sentence(data: bytes) -> None:
    with pytest.raises(BadInput) as told:
        read_history(data)
    assert 10 < len(str(told.value)) < 300
    assert "\n" not in str(told.value)


def test_huge_ones_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(history_table, "MOST_BYTES", 1000)
    with pytest.raises(TooLarge):
        read_history(b"a,b\n" + b"1,2\n" * 1000)
    monkeypatch.undo()
    monkeypatch.setattr(history_table, "MOST_ROWS", 10)
    with pytest.raises(TooLarge):
        read_history(b"a,b\n" + b"1,2\n" * 50)
    with pytest.raises(TooLarge):
        read_history((",".join("x" * 500) + "\n1\n").encode())
    with pytest.raises(TooLarge):
        read_history(b"a\n" + b"x" * 5000)


def _sheet(rows) -> bytes:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_a_spreadsheet_reads_as_its_csv(desk: Desk) -> None:
    data = _sheet([["pump", "day", "litres"], ["north-quay", date(2025, 5, 4), 1250],
                   ["dry-dock", "2025-05-05", 12.5]])  # fmt: skip
    history = read_history(data)
    assert history.rows == (
        ("north-quay", "2025-05-04", "1250"),
        ("dry-dock", "2025-05-05", "12.5"),
    )
    assert preview(desk, history, ImportPlan(suggest(history.columns))).uses == 2


def test_a_spreadsheet_that_unpacks_to_too_much_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(history_table, "MOST_UNPACKED", 1000)
    with pytest.raises(TooLarge, match="unpacks"):
        read_history(_sheet([["pump"], ["x" * 100]]))


def _packed(sheet: str) -> bytes:
    """A spreadsheet whose first sheet is this XML."""
    whole, out = _sheet([["pump", "day"], ["north-quay", "2025-05-04"]]), io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as old, zipfile.ZipFile(out, "w") as new:
        for item in old.infolist():
            own = item.filename == "xl/worksheets/sheet1.xml"
            new.writestr(item.filename, sheet.encode() if own else old.read(item))
    return out.getvalue()


@pytest.mark.timeout(60)  # swollen, the larger would take a thousand million letters
@pytest.mark.parametrize("depth", [3, 9])
def test_entities_that_swell_are_refused(depth: int) -> None:
    # each entity is ten of the one before: ten to the ninth letters from a few hundred bytes
    doubled = "".join(
        f'<!ENTITY a{n} "{f"&a{n - 1};" * 10 if n else "x" * 10}">' for n in range(depth)
    )
    xml = (f'<?xml version="1.0"?><!DOCTYPE w [{doubled}]><worksheet xmlns="http://schemas.'
           f'openxmlformats.org/spreadsheetml/2006/main"><sheetData><row><c t="inlineStr"><is><t>'
           f"&a{depth - 1};</t></is></c></row></sheetData></worksheet>")  # fmt: skip
    with pytest.raises(BadInput):
        read_history(_packed(xml))


def test_a_hundred_thousand_rows_are_kept_but_for_the_one_that_is_wrong(desk: Desk) -> None:
    rows = [f"north-quay,{2000 + n % 20}-05-04,{1 + n / 1000}" for n in range(100_000)]
    rows[777] = "north-quay,nonsense,1"
    history = read_history("\n".join(["pump,day,litres", *rows]).encode())
    seen = preview(desk, history, ImportPlan(suggest(history.columns)))
    assert len(seen.facts) == 99_999
    assert [bad.number for bad in seen.bad] == [778]
    before = desk.depot.entries()
    with pytest.raises(BadInput, match="1 of 100000 rows"):
        keep(desk, seen)
    assert desk.depot.entries() == before


def test_another_zip_is_no_spreadsheet() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("../../evil.txt", "x")
    with pytest.raises(BadInput, match="damaged or not a spreadsheet"):
        read_history(out.getvalue())


@settings(costly(37), suppress_health_check=list(HealthCheck))
@given(data=st.binary(max_size=400))
def test_no_bytes_do_harm(data: bytes) -> None:
    try:
        history = read_history(data)
    except BadInput:
        return
    assert history.columns
    assert history.rows


@settings(costly(15), suppress_health_check=list(HealthCheck))
@given(cells=st.lists(st.lists(st.text(max_size=30), min_size=3, max_size=3), min_size=1,
                      max_size=6))  # fmt: skip
def test_any_cells_are_read_or_listed(cells, desk: Desk) -> None:
    out = io.StringIO()
    csv.writer(out).writerows([["pump", "day", "part"], *cells])
    try:
        history = read_history(out.getvalue().encode("utf-8", "replace"))
        seen = preview(desk, history, ImportPlan({"pump": "pump", "day": "day", "part": "part"}))
    except BadInput:
        return
    assert seen.there == 0
    assert {f.row for f in seen.facts} | {b.number for b in seen.bad} == set(
        range(1, seen.rows + 1)
    )


def test_words_of_days_parts_and_reasons() -> None:
    assert read_day("5/4/2031", "month first") == date(2031, 5, 4)
    assert read_day("4-5-31", "day first") == date(2031, 5, 4)
    with pytest.raises(BadInput, match="choose the date order"):
        read_day("4.5.2031", "year first")
    for part in LIFE_PARTS:
        sure = Guess(part, sure=True)
        assert part_guess(part) == part_guess(PART_WORDS[part].upper()) == sure
    assert part_guess("Inlet ball, carbide") == Guess("foot-ball", sure=True)
    assert [why_guess(t) for t in ("breakdown", "annual service", "bent")] == [
        Guess(why, sure=True) for why in ("worn out", "planned", "damaged")
    ]


def test_everything_is_taken_out_as_tables(desk: Desk) -> None:
    history = read_history(GOOD.replace("first", "=cmd()").encode())
    keep(desk, preview(desk, history, plan_of(history)), leave_out=True)
    out = io.BytesIO()
    write_export(desk, out)
    with zipfile.ZipFile(out) as packed:
        names = set(packed.namelist())
        assert {"pump-described.csv", "usage.csv", "part-fitted.csv", "entries.csv",
                "remaining-life.csv", "visits.csv", "read-me.txt"} <= names  # fmt: skip
        rows = list(csv.DictReader(io.StringIO(packed.read("part-fitted.csv").decode())))
        every = list(csv.DictReader(io.StringIO(packed.read("entries.csv").decode())))
    assert {r["note"] for r in rows} >= {"'=cmd()"}
    assert len(every) == len(desk.depot.entries())


@pytest.mark.parametrize("text", ["=1", "+1", "-x", "@a", "\tx"])
def test_formulas_are_disarmed(text: str) -> None:
    # common practice against formula injection, from memory: OWASP, CSV Injection
    assert safe_cell(text).startswith("'")


def test_no_such_pump_for_all_rows(desk: Desk) -> None:
    history = read_history(b"day,part\n2025-01-01,rod\n")
    seen = preview(desk, history, ImportPlan(suggest(history.columns), pump="nobody"))
    assert len(seen.bad) == 1
    with pytest.raises(NotFound):
        desk.pump("nobody")


class Watched:
    """Progress that remembers how far the work got, and may end it."""

    def __init__(self, stop_at: int = 10**9) -> None:
        self.done, self.of, self.stop_at = 0, 0, stop_at

    def __call__(self, done: int, of: int) -> None:
        self.done, self.of = done, of
        if done >= self.stop_at:
            raise KeyboardInterrupt


def test_a_stray_cell_in_a_sheets_last_row_is_not_walked_to() -> None:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    for row in (["pump", "day", "litres"], ["north-quay", "2025-05-04", 1250]):
        book.active.append(row)
    book.active.cell(1_048_576, 16_384, "stray")
    out, watched = io.BytesIO(), Watched()
    book.save(out)
    history = read_history(out.getvalue(), progress=watched)
    assert history.rows == (("north-quay", "2025-05-04", "1250"),)
    assert "down to 1,000 blank rows" in history.read_as
    assert watched.done <= 2000


def test_a_file_of_blank_lines_is_not_walked_through() -> None:
    watched = Watched()
    history = read_history(b"pump,day\nnorth-quay,2025-05-04\n" + b"\n" * 300_000, progress=watched)
    assert len(history.rows) == 1
    assert watched.done <= 2000


def test_blank_rows_between_are_left_out_and_nothing_after_them_is_lost() -> None:
    history = read_history(b"pump,day\na,1\n" + b"\n" * 900 + b"b,2\n")
    assert history.rows == (("a", "1"), ("b", "2"))


def test_a_column_without_a_name_is_still_read() -> None:
    history = read_history(b"pump,day,\nnorth-quay,2025-05-04,rod\n")
    assert history.columns == ("pump", "day", "column 3")
    assert history.rows[0][2] == "rod"


@pytest.mark.parametrize("kind", ["csv", "sheet"])
def test_too_many_cells_are_refused(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(history_table, "MOST_CELLS", 1000)
    monkeypatch.setattr(history_table, "MOST_SHEET_CELLS", 1000)
    rows = [["a"] * 50] * 30
    data = _sheet(rows) if kind == "sheet" else "\n".join(map(",".join, rows)).encode()
    with pytest.raises(TooLarge, match="More than 1,000 cells"):
        read_history(data)


def test_a_row_many_columns_wide_holds_no_more_than_are_taken() -> None:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    for number in range(1, 4):
        book.active.cell(number, 1, "x")
        book.active.cell(number + 1, 16_384, "stray")
    out = io.BytesIO()
    book.save(out)
    assert all(len(row) <= history_table.MOST_COLUMNS + 1 for row in read_history(
        out.getvalue()).rows)  # fmt: skip


def test_reading_and_weighing_tell_how_far_they_are_and_can_be_ended(desk: Desk) -> None:
    rows = [f"north-quay,2025-05-04,{n + 1}" for n in range(5000)]
    data = "\n".join(["pump,day,litres", *rows]).encode()
    watched = Watched()
    history = read_history(data, progress=watched)
    assert (watched.done, watched.of) == (5000, 5000)
    with pytest.raises(KeyboardInterrupt):
        read_history(data, progress=Watched(stop_at=2000))
    before, plan = desk.depot.entries(), ImportPlan(suggest(history.columns))
    with pytest.raises(KeyboardInterrupt):
        preview(desk, history, plan, Watched(stop_at=2000))
    assert desk.depot.entries() == before
    preview(desk, history, plan, watched)
    assert (watched.done, watched.of) == (4800, 5000)


def test_a_remark_too_long_makes_a_bad_row_rather_than_a_cut_one(desk: Desk) -> None:
    row = f"north-quay,2025-05-01,rod,{'r' * 201}"
    history = read_history(f"pump,day,part,note\n{row}\n".encode())
    seen = preview(desk, history, ImportPlan(suggest(history.columns)))
    assert "note has 201 characters; at most 200" in seen.bad[0].sentence


def _pumped(desk: Desk, data: bytes, columns=None, system="metric") -> list[tuple[float, float]]:
    history = read_history(data)
    plan = ImportPlan(columns or suggest(history.columns), system=system)
    seen = preview(desk, history, plan)
    assert seen.bad == ()
    return [(fact.noun.pumped, fact.noun.at_work) for fact in seen.facts]


@pytest.mark.parametrize(
    ("head", "cubic_metres"),
    # a US gallon is 3.785411784 L by definition
    [("Litres pumped", 0.42), ("pumped [m^3]", 420.0), ("Volume (gal)", 1.58987294928),
     ("gallons", 1.58987294928), ("Pumped", 1.58987294928), ("volume m³", 420.0)],
)  # fmt: skip
def test_a_heading_that_names_a_unit_goes_before_a_persons_own(desk, head, cubic_metres) -> None:
    data = f"pump,day,{head}\nnorth-quay,2025-05-04,420\n".encode()
    ((pumped, _),) = _pumped(desk, data, system="imperial")
    assert pumped == pytest.approx(cubic_metres)


def test_a_table_taken_out_is_brought_in_again_as_it_was(desk: Desk, tmp_path) -> None:
    use = Usage(first=date(2025, 5, 4), last=date(2025, 5, 5), pumped=0.42, at_work=7200.0)
    entry = desk.keep("usage", use, pump="north-quay")
    table = kind_table([entry])
    assert "pumped [m^3]" in table
    assert "at_work [s]" in table
    with Depot.open(tmp_path / "other.sqlite3") as depot:
        other = Desk(depot)
        for pump in demo_fleet():
            pumps.describe(other, pump)
        for system in ("metric", "imperial"):
            assert _pumped(other, table.encode(), system=system) == [(0.42, 7200.0)]


OLD_EXPORT = (
    b"id,pump,visit,at,who,place,device,version,corrects,first,last,cycles,litres,hours,area,"
    b"coating,abrasiveness,pressure,note\r\n"
    b"019a,north-quay,,2025-06-01T12:00:00+00:00,Ann,,,0.1.0,,2025-05-04,2025-05-05,,0.42,7200.0,"
    b",,,,\r\n"
)


def test_a_table_taken_out_by_an_earlier_version_is_read_as_it_was_written(desk: Desk) -> None:
    """Its columns were called litres and hours and held cubic metres and seconds."""
    assert _pumped(desk, OLD_EXPORT) == [(0.42, 7200.0)]


def test_a_mapping_kept_earlier_is_understood(desk: Desk) -> None:
    data = b"pump,day,Volume,Clock\nnorth-quay,2025-05-04,420,2\n"
    old = {"pump": "pump", "day": "day", "litres": "Volume", "hours": "Clock"}
    ((pumped, at_work),) = _pumped(desk, data, old)
    assert (pumped, at_work) == (pytest.approx(0.42), 7200.0)


def test_an_entry_of_an_earlier_version_is_taken_out_under_the_names_of_today(desk: Desk) -> None:
    use = Usage(first=date(2025, 5, 4), last=date(2025, 5, 5), pumped=0.42)
    entry = desk.new("usage", use, pump="north-quay")
    old = entry.model_copy(update={"payload": entry.payload.replace('"pumped"', '"litres"')})
    rows = list(csv.DictReader(io.StringIO(kind_table([old]))))
    assert rows[0]["pumped [m^3]"] == "0.42"
    assert "litres" not in rows[0]
