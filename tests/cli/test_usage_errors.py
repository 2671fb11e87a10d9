"""Whatever a command refuses, it says why in one line and leaves the depot byte for byte."""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from bad import bad_values
from untouched import Untouched, watching

from wetend.pump.catalogue import CatalogueItem, StockCounted
from wetend.pump.coating import Coating
from wetend.pump.make_safe import MakeSafe, PumpRan
from wetend.pump.measurements import ProofReadings, StackMeasured
from wetend.pump.readings import (
    CheckReadings,
    Complaint,
    SetUpRequest,
    SignOff,
    ToolBag,
    VisitStart,
)
from wetend.pump.site import Incident, SiteFacts
from wetend.pump.toml import demo_pump, to_toml
from wetend.pump.usage import NozzleMeasured, PartFitted, Usage
from wetend.records.entries import PAYLOADS
from wetend.records.store import Depot
from wetend.units.fields import fields_of
from wetend.units.noun import Noun
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk
from wetend.workflows.inspect import MEASURED_KINDS

PUMP = "quay-air"
NOUNS: dict[tuple[str, ...], type[Noun]] = {
    ("complaint", "last"): Complaint,
    ("site", "last"): SiteFacts,
    ("make-safe", "last"): MakeSafe,
    ("ran", "last"): PumpRan,
    ("coating", "last", "key=x", "name=x", "density=1.2 kg/L", "viscosity=0.3 Pa*s"): Coating,
    ("checks", "last"): CheckReadings,
    ("strip", "last"): ToolBag,
    ("rebuild", "last"): StackMeasured,
    ("prove", "last"): ProofReadings,
    ("handover", "last"): SetUpRequest,
    ("sign-off", "last", "technician=A. Tester"): SignOff,
    ("life", "used", PUMP, "first=2031-05-01", "last=2031-05-31", "cycles=12"): Usage,
    ("life", "fitted", PUMP, "part=rod"): PartFitted,
    ("life", "nozzle", PUMP, "fan=200 mm", "fan_new=250 mm"): NozzleMeasured,
    ("incident", "kind=near miss", "said=a hose burst"): Incident,
    ("stores", "item", "number=A", "name=Seat", "parts=foot-seat", f"pumps={PUMP}"): CatalogueItem,
    ("stores", "count", "A"): StockCounted,
    **{("inspect", "last", kind): PAYLOADS[kind] for kind in MEASURED_KINDS},
}
"""Every command that keeps fields of a noun, with what it needs besides the bad one."""
OTHERS: tuple[tuple[str, ...], ...] = (
    ("visit", "start", "no-such-pump"), ("visit", "start", PUMP, "--site", "a\x01b"),
    ("visit", "note", "last", "a\x01b"), ("visit", "note", "last", "x" * 5000),
    ("visit", "note", "nobody", "x"), ("visit", "photo", "last", "{bad}"),
    ("visit", "photo", "last", "{nowhere}"), ("visit", "withdraw", "last", "0000"),
    ("visit", "put-back", "last", "zzzz"), ("pump", "withdraw", PUMP, "0000"),
    ("pump", "put-back", PUMP, "0000"), ("pump", "describe", "{bad}"),
    ("pump", "describe", "{nowhere}"), ("pump", "describe", "{pump}"),
    ("coating", "last", "no-such-coating"), ("mixed", "last", "--ago", "soon"),
    ("mixed", "last", "--now"), ("fitted", "last", "rod=exploded"),
    ("fitted", "last", "no-such-part=new"), ("rebuild", "last", "heights.seat=1201mm"),
    ("rebuild", "last", "heights.no-such=3mm"), ("strip", "last", "tools=a-wand"),
    ("strip", "last", "--done", "no-such-step"), ("import", "{bad}", "--keep"),
    ("import", "{rows}", "--keep"), ("import", "{nowhere}", "--keep"),
    ("imports", "withdraw", "last"), ("imports", "put-back", "0000"),
    ("incident", "--withdraw", "0000"), ("incident", "kind=near miss"),
    ("stores", "read", "{bad}"), ("stores", "count", "no-such-number", "shelf=1"),
    ("restore", "{bad}"), ("restore", "{nowhere}"), ("sign-off", "last"),
    ("life", "used", "no-such-pump", "first=2031-05-01", "last=2031-05-31", "cycles=1"),
    ("listen", "{bad}", "--keep", "last"), ("no-such-command",), ("visit", "note", "last"),
)  # fmt: skip


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """A file of nonsense, a table with a bad row, a pump known already, and no file."""
    folder = tmp_path_factory.mktemp("files")
    bad, rows, pump = folder / "bad", folder / "rows.csv", folder / "pump.toml"
    bad.write_bytes(b"\x00\xff nothing of anything \x01")
    rows.write_text(f"pump,day,part\n{PUMP},2025-01-01,rod\n{PUMP},never,rod\n", "utf-8")
    pump.write_text(to_toml(demo_pump(PUMP)), "utf-8")
    return {"bad": str(bad), "rows": str(rows), "pump": str(pump), "nowhere": str(folder / "no")}


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A depot with a visit at which nothing but the coating is known yet."""
    place = tmp_path_factory.mktemp("begun") / "depot.sqlite3"
    with Depot.open(place) as made:
        desk = Desk(made, who="A. Tester")
        pumps.describe(desk, demo_pump(PUMP))
        visit = visits.start(desk, VisitStart(pump=PUMP))
        visits.choose_coating(desk, visit, desk.coating("alkyd-topcoat"))
    return place


@pytest.fixture
def depot(say: Callable, begun: Path, tmp_path: Path) -> Iterator[Untouched]:
    """A copy of it that commands work on, watched."""
    shutil.copyfile(begun, tmp_path / "depot.sqlite3")
    with watching(tmp_path / "depot.sqlite3") as watch:
        yield watch


def _refused(say: Callable, depot: Untouched, words: tuple[str, ...]) -> None:
    before = depot.state()
    said = say(*words)
    assert said.code not in (0, 1), (words, said)
    assert depot.state() == before, words
    told = said.err.strip()
    assert told.startswith("wetend: "), (words, told)
    assert "\n" not in told, (words, told)
    assert len(told) < 1500, words
    for inside in ("Traceback", "validation error", "Input should", "something went wrong inside"):
        assert inside not in told, (words, told)


@pytest.mark.parametrize("command", NOUNS, ids=lambda words: "-".join(words[:3])[:40])
def test_a_field_that_cannot_be_read_keeps_nothing(say, depot, command: tuple[str, ...]) -> None:
    """Of each field the bad values in turn, so that all kinds of mistake come to every command."""
    turn = itertools.count()
    given = {word.partition("=")[0] for word in command}
    for field in fields_of(NOUNS[command]):
        values = list(bad_values(field))
        if not values or field.name in ("number", "brought_in"):
            continue
        bad = values[next(turn) % len(values)]
        others = tuple(w for w in command if field.name not in given or
                       w.partition("=")[0] != field.name)  # fmt: skip
        _refused(say, depot, (*others, f"{field.name}={bad}"))
    _refused(say, depot, (*command, "no_such_field=1"))


@pytest.mark.parametrize("words", OTHERS, ids=lambda words: "-".join(words[:3])[:40])
def test_a_command_that_cannot_be_done_keeps_nothing(say, depot, files, words) -> None:
    before = depot.dump()
    _refused(say, depot, tuple(word.format(**files) for word in words))
    assert depot.dump() == before


def test_the_watch_sees_what_is_kept(say, depot) -> None:
    before = depot.state(), depot.dump()
    assert say("visit", "note", "last", "kept").code == 0
    assert depot.state() != before[0]
    assert depot.dump() != before[1]
