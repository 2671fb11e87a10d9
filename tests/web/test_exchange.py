"""Two depots over a network: what each lacks goes over, and nothing without a device's token."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from wetend.errors import Refused
from wetend.pump.readings import Note
from wetend.records.device_tokens import make_token, withdraw
from wetend.records.entries import Entry, new_entry
from wetend.records.exchange.network import NetworkSide
from wetend.records.exchange.sides import DepotSide
from wetend.records.exchange.union import Exchanged, exchange
from wetend.records.store import Depot


def note(said: str) -> Entry:
    return new_entry("note", Note(text=said), pump="p")


@pytest.fixture
def van(tmp_path: Path) -> Iterator[Depot]:
    with Depot.open(tmp_path / "van" / "depot.sqlite3") as opened:
        yield opened


@pytest.fixture
def lead(tmp_path: Path) -> Iterator[Depot]:
    with Depot.open(tmp_path / "lead" / "depot.sqlite3") as opened:
        yield opened


@pytest.fixture
def address(lead: Depot, serving: Callable[..., Any]) -> str:
    return str(serving(lead, passcode="ferry gate").address)


def united(van: Depot, address: str, token: str) -> Exchanged:
    with NetworkSide(address, token) as side:
        return exchange(DepotSide(van), side)


def picture(folder: Path) -> bytes:
    Image.new("RGB", (3, 3), "green").save(folder / "p.png")
    return (folder / "p.png").read_bytes()


def test_a_van_and_a_depot_end_up_the_same(
    van: Depot, lead: Depot, address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wetend.records.exchange.network._PIECE", 100_000)
    van.append(*(note("x" * 3900) for _ in range(300)))  # a batch takes ten messages
    lead.append(*(note(str(n)) for n in range(450)))
    photo = van.photos.put(picture(tmp_path))
    token = make_token(lead, "van 2")
    found = united(van, address, token)
    assert (found.received, found.sent, found.photos_sent) == (450, 300, 1)
    assert van.entries() == lead.entries()
    assert photo.sha256 in lead.photos
    van.photos.remove(photo.sha256)
    assert united(van, address, token) == Exchanged(photos_received=1)
    assert united(van, address, token) == Exchanged()


def test_nothing_goes_over_without_a_devices_token(van: Depot, lead: Depot, address: str) -> None:
    lead.append(note("the depot's own"))
    token = make_token(lead, "van 2")
    for wrong in ("x", token[:-1], token + "x", "ferry gate"):
        with pytest.raises(Refused, match="opens nothing"):
            united(van, address, wrong)
    withdraw(lead, "VAN 2")
    with pytest.raises(Refused, match="opens nothing"):
        united(van, address, token)
    assert van.entries() == []


@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "DELETE"])
@pytest.mark.parametrize(
    "what", ["about", "tallies", "keep", "photos", "photos/" + "0" * 64, "", ".."]
)
def test_every_address_asks_for_the_token(
    method: str, what: str, lead: Depot, address: str
) -> None:
    lead.append(note("the depot's own"))
    connection = HTTPConnection(address.removeprefix("http://"))
    connection.request(method, f"/exchange/{what}", b"{}" if method != "GET" else None)
    answer = connection.getresponse()
    said = answer.read()
    assert answer.status in (403, 404, 405)
    assert b"own" not in said
    connection.close()


def test_what_cannot_be_read_is_refused_in_a_sentence(lead: Depot, address: str) -> None:
    token = make_token(lead, "van 2")
    connection = HTTPConnection(address.removeprefix("http://"))
    for what in ("tallies", "listed", "entries", "keep", "photos"):
        for body in (
            b"",
            b"[]",
            b"\xff{",
            b'{"entries": 1}',
            json.dumps({"ids": ["z" * 99]}).encode(),
        ):
            connection.request(
                "POST", f"/exchange/{what}", body, {"Authorization": f"Bearer {token}"}
            )
            answer = connection.getresponse()
            fault = json.loads(answer.read())["fault"]
            assert answer.status == 422
            assert fault.endswith(".")
    assert lead.entries() == []
    assert list(lead.photos.hashes()) == []
    connection.close()
