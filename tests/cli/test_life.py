"""Life, stores, fleet, import and export by command."""

import csv
import io
import json
import zipfile

import pytest


@pytest.fixture
def demo(say, tmp_path, copy_demo):
    copy_demo(tmp_path / "depot.sqlite3")
    return say


def test_life_in_json_and_words(demo) -> None:
    told = demo("life", "show", "north-quay", "--json").json
    assert len(told["parts"]) == 10
    assert all(p["time"]["low"] <= p["time"]["high"] for p in told["parts"])
    words = demo("life", "show", "north-quay", "crew_hour=250")
    assert "Next repack" in words.out
    assert demo("life", "show", "nobody").code == 2
    assert demo("life", "show", "north-quay", "--today", "soon").code == 2


def test_use_and_part_by_command(demo) -> None:
    assert demo("life", "used", "dry-dock", "first=2026-01-01", "last=2026-01-09",
                "litres=300L").code == 0  # fmt: skip
    assert demo("life", "fitted", "dry-dock", "part=rod", "why=planned").code == 0
    bad = demo("life", "fitted", "dry-dock", "part=flux")
    assert bad.code == 2
    assert bad.err.count("\n") == 1


def test_stores_by_command(demo, tmp_path) -> None:
    plan = demo("stores", "list", "--json", "--lead", "60d").json
    assert plan["lines"]
    rows = list(csv.DictReader(io.StringIO(demo("stores", "order", "--to", "-").out)))
    assert rows
    assert {row["number"] for row in rows} > {"no number yet"}
    assert demo("stores", "order", "--to", str(tmp_path / "o.pdf")).code == 0
    assert (tmp_path / "o.pdf").read_bytes().startswith(b"%PDF-")
    assert demo("stores", "order", "--to", "o.doc").code == 2
    box = demo("stores", "box", "last", "--room", "0.5L", "--json").json
    assert box["box"]["chance"] > box["box"]["empty_chance"]
    assert demo("stores", "list", "--have", "odd").code == 2


def test_fleet_by_command(demo) -> None:
    lines = demo("fleet", "month", "--json").json
    assert len(lines) == 6
    assert demo("fleet", "month", "--csv").out.count("\r\n") == 7
    a = demo("fleet", "simulate", "--months", "6", "--repeats", "8", "--json").json
    b = demo("fleet", "simulate", "--months", "6", "--repeats", "8", "--json",
             "--executor", "processes:2").json  # fmt: skip
    assert a == b
    assert demo("fleet", "simulate", "--executor", "magic").code == 2


def test_import_and_export_by_command(demo, tmp_path) -> None:
    table = tmp_path / "old.csv"
    table.write_text("Rig,When,Component,Cause\nnorth-quay,2025-03-04,rod,bent\nx,y,z,\n")
    first = demo("import", str(table), "--json").json
    assert (first["new"], first["kept"], first["bad_count"]) == (1, 0, 1)
    assert demo("import", str(table), "--keep").code == 2
    mapping = tmp_path / "map.json"
    done = demo("import", str(table), "--keep", "--leave-out", "--mapping", str(mapping), "--json")
    assert done.json["kept"] == 1
    assert json.loads(mapping.read_text())["part"] == "Component"
    assert demo("import", str(tmp_path / "none.csv")).code == 2
    assert demo("import", str(table), "--map", "part=Nothing").code == 2
    assert demo("import", str(table), "--days", "odd").code == 2
    out = tmp_path / "all.zip"
    assert demo("export", str(out)).code == 0
    assert demo("export", str(out)).code == 2
    assert "entries.csv" in zipfile.ZipFile(out).namelist()


def test_a_use_is_corrected_by_command(demo) -> None:
    days = ("first=2026-05-01", "last=2026-05-31")
    assert demo("life", "used", "north-quay", *days, "pumped=9000").code == 0
    wrong = demo("pump", "record", "north-quay", "--json").json[0]["entry"]["id"]
    right = demo("life", "used", "north-quay", *days, "pumped=900", "--corrects", wrong[-6:])
    assert right.code == 0
    newest, before = demo("pump", "record", "north-quay", "--json").json[:2]
    assert (newest["corrected"], before["corrected"]) == (False, True)
    assert demo("life", "used", "north-quay", *days, "pumped=9", "--corrects", "zzzz").code == 2
