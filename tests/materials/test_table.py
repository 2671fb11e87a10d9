"""Tables read with their units, sources and editions; torn ones are refused."""

from __future__ import annotations

import pytest
from pydantic import Field

from wetend.errors import BadInput, UnknownName
from wetend.materials.ball_seat import ball_seat_materials
from wetend.materials.cups import cups
from wetend.materials.ring_sections import ring_sections
from wetend.materials.solvents import solvents
from wetend.materials.table import Row, Table, load, parse
from wetend.units.quantity import KgPerM3, M

TABLES = [solvents(), ball_seat_materials(), ring_sections(), cups()]


class Stone(Row):
    size: M = Field(gt=0)
    density: KgPerM3 | None = None


GOOD = """# title: stones
# edition: first
# note: none
key,size,density,source,status
,mm,g/cm3,,
flint,12,2.6,"found, weighed",seen
chalk,1/2 in,,found,seen
"""


def test_cells_are_read_in_the_unit_over_them_and_blanks_stay_blank() -> None:
    table = parse(GOOD.replace("1/2 in", "20"), Stone)
    assert table.title == "stones"
    assert table.find("flint").size == pytest.approx(0.012)
    assert table.find("flint").density == pytest.approx(2600)
    assert table.find("flint").source == "found, weighed"
    assert table.find("chalk").density is None
    assert len(table) == 2
    assert [row.key for row in table] == ["flint", "chalk"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("12,2.6", "twelve,2.6"),  # no number
        ("12,2.6", "-1,2.6"),  # out of range
        ("12,2.6", ",2.6"),  # needed, and blank
        ("size", "girth"),  # a column nobody asked for
        ('"found, weighed"', ""),  # no source
        (",seen\nchalk", ",heard\nchalk"),  # a status of its own
        (",mm,", ",furlongs,"),  # a unit not known
    ],
)
def test_torn_tables_are_refused(old: str, new: str) -> None:
    text = GOOD.replace("1/2 in", "20")
    assert old in text
    with pytest.raises(BadInput):
        parse(text.replace(old, new), Stone)


def test_two_rows_of_one_key_and_a_missing_edition_are_refused() -> None:
    text = GOOD.replace("1/2 in", "20")
    with pytest.raises(ValueError, match="flint"):
        parse(text.replace("chalk", "flint"), Stone)
    with pytest.raises(ValueError, match="edition"):
        parse(text.replace("# edition: first\n", ""), Stone)


def test_an_unknown_key_is_told_which_there_are() -> None:
    with pytest.raises(UnknownName, match=r"white-spirit.*xylene"):
        solvents().find("turps\n<b>")


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.title)
def test_every_row_of_every_table_says_where_it_comes_from(table: Table[Row]) -> None:
    assert table.edition
    assert table.note
    assert len(table) >= 5
    for key, row in table.rows.items():
        assert row.key == key
        assert len(row.source) > 10
        assert row.status != "seen" or not row.source.endswith("from memory"), key


def test_a_table_is_loaded_by_name() -> None:
    assert load("ring_sections", type(next(iter(ring_sections())))).title == "ring sections"
