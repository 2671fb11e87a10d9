"""The record: every entry seen, taken back and put back, on pages and by commands."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from wetend.errors import BadInput
from wetend.pump.measurements import StackMeasured
from wetend.pump.readings import CheckReadings, Note, SetUpRequest, SignOff, VisitStart
from wetend.pump.site import Incident
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.pump.usage import NozzleMeasured, PartFitted, Usage
from wetend.records.corrections import standing
from wetend.records.entries import Withdrawn, new_entry, said_by
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import imports, incidents, life, pumps, record, visits
from wetend.workflows.desk import Desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        desk = Desk(depot, who="Ann")
        pumps.describe(desk, demo_pump("quay-air"))
        yield desk


@pytest.fixture
def visit(desk: Desk) -> str:
    started = visits.start(desk, VisitStart(pump="quay-air"))
    visits.choose_coating(desk, started, demo_coatings()[0])
    return started


@pytest.fixture
def client(desk: Desk) -> TestClient:
    return TestClient(create_app(desk.depot), base_url="http://localhost")


def send(client: TestClient, path: str, **fields: str):
    page = client.get(path).text
    token = page.split('name="_token" value="')[1].split('"')[0]
    return client.post(path, data={"_token": token, **fields})


def test_a_reading_taken_back_counts_no_more_and_can_be_put_back(desk, visit, client):
    seen = desk.keep_in_visit("check-readings", CheckReadings(stall_pressure=2.7e7), visit)
    slip = seen.entries[-1].id
    page = send(client, f"/visits/{visit}/record", entry=slip, reason="wrong pump")
    assert "Withdrawn" in page.text
    assert "wrong pump" in page.text
    assert desk.visit(visit).readings is None
    send(client, f"/visits/{visit}/record", entry=slip, do="put back")
    assert desk.visit(visit).readings is not None


def test_a_box_left_blank_was_not_emptied_and_one_emptied_was(desk, visit, client):
    life.save_usage(
        desk, "quay-air", Usage(first=date(2026, 5, 1), last=date(2026, 5, 2), cycles=5)
    )
    assert "emptied" not in client.get("/pumps/quay-air/record").text
    for volume in (0.9, None):
        desk.keep_in_visit("set-up", SetUpRequest(pumped_since_repack=volume), visit)
    assert client.get(f"/visits/{visit}/record").text.count("emptied") == 1


def test_taken_back_twice_is_once(desk, visit):
    slip = desk.keep_in_visit("note", Note(text="x"), visit).entries[-1].id
    record.withdraw(desk, slip)
    count = len(desk.depot.entries())
    record.withdraw(desk, slip)
    assert len(desk.depot.entries()) == count


def test_a_visit_begun_by_mistake_goes_and_comes_back(desk, visit, client):
    start = desk.visit(visit).entries[0].id
    page = send(client, f"/visits/{visit}/record", entry=start)
    assert page.url.path == "/pumps/quay-air/record"
    assert visits.open_visits(desk) == ()
    send(client, "/pumps/quay-air/record", entry=start, do="put back")
    assert [v.id for v in visits.open_visits(desk)] == [visit]


def test_a_use_typed_ten_times_too_large_is_taken_back(desk, client):
    use = Usage(first=date(2025, 5, 1), last=date(2025, 5, 31), pumped=9.0)
    wrong = life.save_usage(desk, "quay-air", use)
    fitted = life.save_fitted(desk, "quay-air", PartFitted(part="foot-ball"))
    page = client.get("/pumps/quay-air/record").text
    assert "9000 L" in page.replace(" ", " ") or "9,000 L" in page or "9 000 L" in page
    send(client, "/pumps/quay-air/record", entry=wrong.id)
    left = {x.entry.id for x in record.of_pump(desk, "quay-air").lines if not x.withdrawn}
    assert fitted.id in left
    assert wrong.id not in left


def test_entries_after_the_sign_off_are_marked(desk, visit, client):
    desk.keep_in_visit("sign-off", SignOff(technician="Ann"), visit)
    desk.keep_in_visit("note", Note(text="came back for the hose"), visit)
    lines = record.of_visit(desk, visit).lines
    assert [x.after_sign_off for x in lines[:2]] == [True, False]
    assert "After the sign-off" in client.get(f"/visits/{visit}/record").text


def test_what_cannot_be_of_this_pump_is_not_put_back(desk, visit):
    bad = new_entry("stack", StackMeasured(heights={"seat": 1.2}), pump="quay-air", visit=visit)
    desk.depot.append(bad)
    record.withdraw(desk, bad.id)
    with pytest.raises(BadInput, match="200 mm"):
        record.put_back(desk, bad.id)


def uses(desk: Desk) -> int:
    return sum(not x.withdrawn for x in record.of_pump(desk, "quay-air").lines
               if x.entry.kind == "usage")  # fmt: skip


def bring_in(client: TestClient, rows: int) -> str:
    """Bring a table in as a person does; where its page sends back to."""
    lines = [f"quay-air,2025-{1 + n // 28:02d}-{1 + n % 28:02d},{n + 1}" for n in range(rows)]
    data = "\n".join(["pump,day,cycles", *lines]).encode()
    page = client.get("/import").text
    token = page.split('name="_token" value="')[1].split('"')[0]
    seen = client.post("/import", data={"_token": token}, files={"table": ("uses.csv", data)})
    columns = {"col.pump": "pump", "col.day": "day", "col.cycles": "cycles"}
    return str(send(client, seen.url.path, **columns).url)


def test_an_import_is_taken_back_and_put_back_on_its_page(desk, client):
    assert bring_in(client, 50).endswith("/import?saved=1#brought")
    whole = imports.listed(desk)[0].entry.id
    assert "uses.csv" in client.get("/import").text
    assert uses(desk) == 50
    hidden = {"import": whole, "do": "take back", "reason": "another depot's"}
    token = client.get("/import").text.split('name="_token" value="')[1].split('"')[0]
    page = client.post("/imports", data={"_token": token, **hidden})
    assert "Withdrawn." in page.text
    assert uses(desk) == 0
    hidden["do"] = "put back"
    client.post("/imports", data={"_token": token, **hidden})
    assert uses(desk) == 50
    answer = client.post("/imports", data={"_token": token, "import": "no-such", "do": "take back"})
    assert answer.status_code == 404
    assert "No single import" in answer.text


def test_a_long_record_is_shown_page_by_page_and_every_row_can_be_taken_back(desk, client):
    bring_in(client, 130)
    first = client.get("/pumps/quay-air/record").text
    assert "Page 1 of 4" in first
    assert len(first.encode()) < 60_000
    assert 'href="/pumps/quay-air/record?page=2"' in first
    assert ">imported</a>" in first
    oldest = record.of_pump(desk, "quay-air").lines[-2].entry
    assert oldest.id not in first
    send(client, "/pumps/quay-air/record", entry=oldest.id)
    back = client.get(f"/pumps/quay-air/record?at={oldest.id[-8:]}").text
    assert f'id="e-{oldest.id[-8:]}"' in back
    assert "Page 4 of 4" in back
    for odd in ("0", "-1", "9" * 9, "x", "٣"):
        assert client.get("/pumps/quay-air/record", params={"page": odd}).status_code == 200
    assert uses(desk) == 129


def test_an_incident_under_no_pump_is_taken_back_and_put_back(desk, client):
    slip = incidents.record(desk, Incident(kind="near miss", said="hose burst"))
    assert "hose burst" in client.get("/incidents").text
    token = client.get("/incidents").text.split('name="_token" value="')[1].split('"')[0]
    sent = {"_token": token, "entry": slip.id}
    page = client.post("/incidents/record", data={**sent, "do": "take back", "reason": "a drill"})
    assert "Withdrawn: 1" in page.text
    assert incidents.listed(desk) == ()
    client.post("/incidents/record", data={**sent, "do": "put back"})
    assert [r.entry.id for r in incidents.listed(desk)] == [slip.id]


def test_a_nozzle_reading_and_a_photo_are_taken_back_on_pages(desk, visit, client):
    life.save_nozzle(desk, "quay-air", NozzleMeasured(fan=(0.2,), fan_new=0.25))
    nozzle = record.of_pump(desk, "quay-air").lines[0].entry
    assert nozzle.kind == "nozzle"
    send(client, "/pumps/quay-air/record", entry=nozzle.id)
    assert record.of_pump(desk, "quay-air").lines[0].withdrawn
    dot = bytes.fromhex(
        "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cfc0000003010100c9fe92ef0000000049454e44ae426082"
    )
    visits.add_photo(desk, visit, dot, caption="of another pump")
    photo = desk.visit(visit).entries[-1]
    assert photo.kind == "photo"
    send(client, f"/visits/{visit}/record", entry=photo.id)
    assert desk.visit(visit).photos == ()


def test_taken_back_by_two_at_once_it_is_put_back_by_one(desk, visit):
    slip = desk.keep_in_visit("note", Note(text="x"), visit).entries[-1]
    for who in ("Ann", "Ben"):
        desk.depot.append(new_entry("withdrawn", Withdrawn(), pump="quay-air", visit=visit,
                                    corrects=slip.id, who=who))  # fmt: skip
    record.put_back(desk, slip.id)
    assert [n.text for n in desk.visit(visit).notes] == ["x"]


def test_a_reason_that_cannot_be_kept_is_refused_with_a_sentence(desk, visit, client):
    slip = desk.keep_in_visit("note", Note(text="x"), visit).entries[-1]
    before = desk.depot.entries()
    answer = send(client, f"/visits/{visit}/record", entry=slip.id, reason="a\x01b")
    assert answer.status_code == 422
    assert "U+0001" in answer.text
    assert desk.depot.entries() == before


def test_the_newest_correction_wins_and_an_emptied_box_stays_empty(desk, visit):
    """9,000 L typed for 900 stayed for ever, though 'Saved'."""
    for volume in (9.0, 0.9, None):
        desk.keep_in_visit("set-up", SetUpRequest(pumped_since_repack=volume), visit)
        set_up = desk.visit(visit).set_up
        assert set_up is not None
        assert set_up.pumped_since_repack == volume
    desk.keep_in_visit("set-up", SetUpRequest(pumped_since_repack=0.8), visit)
    assert desk.visit(visit).set_up.pumped_since_repack == 0.8


def correct(client: TestClient, entry, box: str, **typed: str):
    """Correct an entry of the pump the way a person does, from its line in the record."""
    key = "quay-air"
    record_page = client.get(f"/pumps/{key}/record?at={entry.id[-8:]}").text
    link = f"/pumps/{key}/life?correct={entry.id}"
    assert link in record_page
    page = client.get(link).text
    action = f"/pumps/{key}/life/{box}?correct={entry.id}"
    form = page.split(f'action="{action}"')[1].split("</form>")[0]
    token = form.split('name="_token" value="')[1].split('"')[0]
    return client.post(action, data={"_token": token, **typed}), form


def test_a_use_is_corrected_on_its_page_and_the_newest_correction_wins(desk, client):
    """9,000 L typed for 900 stayed for ever, though 'Saved'."""
    days = {"first": "2026-05-01", "last": "2026-05-31"}
    wrong = life.save_usage(desk, "quay-air", Usage(**days, pumped=9.0))
    done, form = correct(client, wrong, "use", **days, pumped="900")
    assert done.status_code == 200
    assert 'value="9000"' in form  # filled with what is being corrected
    assert "Corrected: a later entry" in done.text
    lines = [x for x in record.of_pump(desk, "quay-air").lines if x.entry.kind == "usage"]
    assert [(x.corrected, x.withdrawn) for x in lines] == [(False, False), (True, False)]
    correct(client, lines[0].entry, "use", **days, pumped="850")
    last = [x.entry for x in record.of_pump(desk, "quay-air").lines
                if x.entry.kind == "usage" and not x.corrected]  # fmt: skip
    assert [said_by(e).pumped for e in last] == [pytest.approx(0.85)]


def test_a_correction_that_is_refused_is_still_one_when_mended(desk, client):
    days = {"first": "2026-05-01", "last": "2026-05-31"}
    wrong = life.save_usage(desk, "quay-air", Usage(**days, pumped=9.0))
    refused, _ = correct(client, wrong, "use", **days, pumped="lots")
    assert refused.status_code == 422
    action = f"/pumps/quay-air/life/use?correct={wrong.id}"
    assert action in refused.text
    token = refused.text.split('name="_token" value="')[1].split('"')[0]
    client.post(action, data={"_token": token, **days, "pumped": "900"})
    assert sum(not x.corrected for x in record.of_pump(desk, "quay-air").lines
               if x.entry.kind == "usage") == 1  # fmt: skip


def test_a_part_and_a_nozzle_are_corrected_too(desk, client):
    part = life.save_fitted(desk, "quay-air", PartFitted(part="rod"))
    correct(client, part, "fitted", part="cylinder", why="planned", done="new")
    nozzle = life.save_nozzle(desk, "quay-air", NozzleMeasured(fan=(0.2,), fan_new=0.25))
    correct(client, nozzle, "nozzle", fan="210", fan_new="250")
    lines = record.of_pump(desk, "quay-air").lines
    stands = {x.entry.kind: said_by(x.entry) for x in lines if not x.corrected}
    assert stands["part-fitted"].part == "cylinder"
    assert stands["nozzle"].fan == pytest.approx((0.21,))
    assert sum(x.corrected for x in lines) == 2


def test_nothing_of_another_kind_is_corrected(desk, client):
    part = life.save_fitted(desk, "quay-air", PartFitted(part="rod"))
    with pytest.raises(BadInput, match="same kind"):
        life.save_usage(desk, "quay-air", Usage(first=date(2026, 5, 1), last=date(2026, 5, 2),
                                                pumped=1.0), corrects=part.id)  # fmt: skip
    described = record.of_pump(desk, "quay-air").lines[-1].entry
    assert described.kind == "pump-described"
    assert client.get(f"/pumps/quay-air/life?correct={described.id}").status_code == 404
    assert client.get("/pumps/quay-air/life?correct=zzzz").status_code == 404


def test_a_row_of_an_import_corrected_goes_with_the_import(desk, client):
    bring_in(client, 3)
    whole = imports.listed(desk)[0].entry.id
    row = next(x.entry for x in record.of_pump(desk, "quay-air").lines if x.entry.kind == "usage")
    correct(client, row, "use", first="2025-01-03", last="2025-01-03", cycles="7")
    imports.withdraw(desk, whole)
    assert not [s for s in standing(desk.depot.entries(pump="quay-air")) if s.entry.kind == "usage"]
    imports.put_back(desk, whole)
    counts = [s.noun.cycles for s in standing(desk.depot.entries(pump="quay-air"))
              if s.entry.kind == "usage"]  # fmt: skip
    assert sorted(counts) == [1, 2, 7]
