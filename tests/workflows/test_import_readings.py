"""Badly kept tables, invented with traps: what is doubtful is asked, and never read silently."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from wetend.errors import BadInput
from wetend.pump.usage import PartFitted, Usage
from wetend.records.store import Depot
from wetend.workflows import imports, pumps, record
from wetend.workflows.demo.build import demo_fleet
from wetend.workflows.desk import Desk
from wetend.workflows.history_table import History, read_history
from wetend.workflows.history_words import doubtful_columns, suggest
from wetend.workflows.import_words import hours_of_people, part_guess, why_guess
from wetend.workflows.importing import ImportPlan, Preview, accepted, keep, preview, remembered

LOG = (
    "Depot log 2025 - please keep tidy!;;;;;;\r\n"
    ";;;;;;\r\n"
    "Machine;Datum;Spare;Cause;Labour hrs;Pumped;Remarks\r\n"
    "north-quay;04.05.2025;lower pkg;unplanned stop;2,5;1.250;\r\n"
    "north-quay;05.05.2025;cylinder o-ring;no failure - PM;1;80,5;\r\n"
    "quay 2;31.05.2025;tip;;0,5;12,5;crew's words\r\n"
    "Dry dock;06.05.2025;foot valve ball;breakdown;1;;\r\n"
    "Dry dock;06.05.2025;foot valve ball;breakdown;1;;\r\n"
    "TOTAL;;;;6;1.343;\r\n"
)
"""Titles above the header, decimal commas, thousands by points, a total, a row twice."""
GALLONS = (
    "pump,date,USG,hour meter\n"
    "north-quay,03/25/2025,120,1000\n"
    "north-quay,04/05/2025,80,1010\n"
    "north-quay,25/04/2025,60,1021\n"
)
"""Gallons by a heading that is no unit known, an hour meter that runs on, dates of mixed order."""


def merged() -> bytes:
    """A sheet whose header is merged over two rows, with a date kept as a date."""
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    for row in (
        ["Pump", "Date", "Use", None, "Parts", None],
        [None, None, "Litres", "Hours", "Part", "Reason"],
        ["north-quay", date(2025, 5, 4), 1250, 12.5, "Foot seat, turned", "planned"],
        ["north-quay", "5 May 2025", 90, 2, "upper + lower packings", "worn"],
    ):
        book.active.append(row)
    for cells in ("A1:A2", "B1:B2", "C1:D1", "E1:F1"):
        book.active.merge_cells(cells)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot, who="A. Tester")
        for pump in demo_fleet():
            pumps.describe(desk, pump)
        yield desk


def plan_of(history: History, days: str = "day first") -> ImportPlan:
    columns = suggest(history.columns)
    return ImportPlan(columns, days=days, guessed=doubtful_columns(columns))


def read(seen: Preview) -> dict[tuple[str, str], tuple[str, bool]]:
    return {(r.field, r.text): (r.value, r.sure) for r in seen.readings}


def test_a_log_is_read_below_its_title_and_its_traps_are_asked(desk: Desk) -> None:
    history = read_history(LOG.encode(), "log.csv")
    plan = plan_of(history)
    assert "at_work" not in plan.columns  # labour is no hour of the pump
    seen = preview(desk, history, plan)
    said = read(seen)
    for text in (("part", "lower pkg"), ("part", "cylinder o-ring"), ("pump", "quay 2"),
                 ("why", "unplanned stop"), ("why", "no failure - PM")):  # fmt: skip
        assert said[text] == ("", False), text
    assert said["why", ""] == ("found worn", False)
    assert said["part", "foot valve ball"] == ("foot-ball", True)
    assert said["numbers.pumped", "Pumped"] == ("comma", True)  # 80,5 and 12,5 show it
    assert said["unit.pumped", "Pumped"] == ("L", False)
    assert {b.number for b in seen.bad} == {1, 2, 3, 6}
    assert "looks like a total" in seen.bad[-1].sentence
    assert seen.twice == ((5, 4),)
    answers = {("part", "lower pkg"): "moving-packings", ("part", "cylinder o-ring"): "leave out",
               ("pump", "quay 2"): "north-quay", ("why", "unplanned stop"): "worn out",
               ("why", "no failure - pm"): "planned"}  # fmt: skip
    plan = replace(plan, readings=answers)
    asked = preview(desk, history, plan)
    assert {r.key for r in asked.doubts} == {("why", ""), ("unit.pumped", "pumped")}
    before = desk.depot.entries()
    with pytest.raises(BadInput, match="Doubtful"):
        keep(desk, asked, leave_out=True)
    assert desk.depot.entries() == before
    final = preview(desk, history, accepted(plan, asked))
    assert (final.doubts, [b.number for b in final.bad]) == ((), [6])
    uses = [f.noun.pumped for f in final.facts if isinstance(f.noun, Usage)]
    assert uses == pytest.approx([1.25, 0.0805, 0.0125])  # m3: 1.250 is 1,250 L here
    parts = [(f.noun.part, f.noun.why) for f in final.facts if isinstance(f.noun, PartFitted)]
    assert parts == [("moving-packings", "worn out"), ("nozzle", "found worn"),
                     ("foot-ball", "worn out")]  # fmt: skip
    keep(desk, final, leave_out=True)
    shown = record.of_pump(desk, "north-quay")
    assert sum(line.entry.kind == "part-fitted" for line in shown.lines) == 2


def test_what_was_confirmed_is_kept_for_the_next_table_until_its_import_is_withdrawn(
    desk: Desk,
) -> None:
    data = b"pump,day,part,why\nnorth-quay,2025-05-04,lower pkg,gone\n"
    history = read_history(data, "a.csv")
    said = {("part", "lower pkg"): "moving-packings", ("why", "gone"): "worn out"}
    keep(desk, preview(desk, history, ImportPlan(suggest(history.columns), readings=said)))
    again = read_history(data.replace(b"04", b"05"), "b.csv")
    plan = ImportPlan(suggest(again.columns), readings=remembered(desk))
    assert [f.noun.part for f in preview(desk, again, plan).facts] == ["moving-packings"]
    imports.withdraw(desk, imports.find(desk, "last").entry.id)
    assert remembered(desk) == {}


def test_gallons_hour_meters_and_mixed_dates_are_asked(desk: Desk) -> None:
    history = read_history(GALLONS.encode())
    columns = {"pump": "pump", "day": "date", "pumped": "USG", "at_work": "hour meter"}
    plan = ImportPlan(columns, days="month first")
    said = read(preview(desk, history, plan))
    assert said["unit.pumped", "USG"] == ("L", False)  # proposed, and asked
    assert said["counter.at_work", "hour meter"] == ("", False)
    mixed = next(text for field, text in said if field == "days")
    assert "1 dates fit only another order" in mixed
    answers = {("unit.pumped", "usg"): "US gal", ("counter.at_work", "hour meter"): "leave out",
               ("days", mixed.lower()): "leave out"}  # fmt: skip
    seen = preview(desk, history, replace(plan, readings=answers))
    assert [b.number for b in seen.bad] == [2, 3]
    # a US gallon is 3.785411784 L by definition
    assert [(f.noun.pumped, f.noun.at_work) for f in seen.facts] == [
        (pytest.approx(0.120 * 3.785411784), None)
    ]


def test_headers_merged_over_two_rows_are_one(desk: Desk) -> None:
    history = read_history(merged())
    assert history.columns == ("Pump", "Date", "Use Litres", "Use Hours", "Parts Part",
                               "Parts Reason")  # fmt: skip
    seen = preview(desk, history, plan_of(history))
    said = read(seen)
    assert said["part", "Foot seat, turned"] == ("foot-seat turned", True)
    assert said["part", "upper + lower packings"] == ("", False)
    plan = replace(plan_of(history), readings={
        ("part", "upper + lower packings"): "static-packings+moving-packings",
        ("why", "worn"): "found worn"})  # fmt: skip
    facts = preview(desk, history, accepted(plan, seen)).facts
    assert [f.day for f in facts if f.kind == "usage"] == [date(2025, 5, 4), date(2025, 5, 5)]
    assert [(f.noun.part, f.noun.done) for f in facts if f.kind == "part-fitted"] == [
        ("foot-seat", "turned"), ("static-packings", "new"), ("moving-packings", "new"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    ["cylinder o-ring", "nozzle guard", "rod end", "filter housing", "ball", "packings",
     "upper and lower packings", "rod turned", "foot-valve housing", "kit"],
)  # fmt: skip
def test_words_of_another_part_are_no_part(text: str) -> None:
    assert part_guess(text).sure is False
    assert part_guess(text).value == ""


@pytest.mark.parametrize(
    "text", ["unplanned stop", "no failure - PM", "not worn", "worn?", "failed and dropped", "x"]
)
def test_words_that_deny_or_contradict_are_no_reason(text: str) -> None:
    assert why_guess(text).value == ""


@pytest.mark.parametrize("heading", ["Labour hrs", "Man hours", "Travel time", "hours down"])
def test_hours_of_people_are_not_the_pumps(heading: str) -> None:
    assert hours_of_people(heading)
    assert "at_work" not in suggest(["pump", "day", heading])
