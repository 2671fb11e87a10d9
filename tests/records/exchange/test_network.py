"""Another depot behind an address: what can be none, and answers of what is no depot."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from wetend.errors import BadInput, StorageFailed
from wetend.records.exchange.network import NetworkSide
from wetend.records.exchange.sides import DepotSide
from wetend.records.exchange.union import Exchanged, exchange
from wetend.records.store import Depot


@pytest.fixture
def van(tmp_path: Path) -> Iterator[Depot]:
    with Depot.open(tmp_path / "van" / "depot.sqlite3") as opened:
        yield opened


def united(van: Depot, address: str, token: str) -> Exchanged:
    with NetworkSide(address, token) as side:
        return exchange(DepotSide(van), side)


@pytest.mark.parametrize(
    ("address", "token", "why"),
    [
        ("http://depot.example:8000", "t", "Over plain HTTP"),
        ("https://", "t", "is not an address"),
        ("https://depot.example:0", "t", "is not an address"),
        ("https://depot.example:99999", "t", "is not an address"),
        ("https://[::1", "t", "is not an address"),
        ("https://depot.example", "", "Give the token"),
        ("https://depot.example", "a\r\nX: 1", "Give the token"),
        ("https://depot.example", "é", "Give the token"),
    ],
)
def test_an_address_or_token_that_can_be_none(address: str, token: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        NetworkSide(address, token)


def test_a_file_that_holds_no_certificates(tmp_path: Path) -> None:
    (tmp_path / "ca.pem").write_text("nothing")
    with pytest.raises(BadInput, match=r"ca\.pem holds no certificates"):
        NetworkSide("https://depot.example", "t", authority=tmp_path / "ca.pem")


@pytest.mark.parametrize(
    "reply", [b"", b"SSH-2.0\r\n", b"HTTP/1.1 200 OK\r\nContent-Length: 2\r\n\r\nhi",
              b"HTTP/1.1 200 OK\r\nContent-Encoding: gzip\r\nContent-Length: 2\r\n\r\nhi",
              b"HTTP/1.1 302 Found\r\nLocation: /\r\nContent-Length: 0\r\n\r\n"],
)  # fmt: skip
def test_another_kind_of_server_is_a_sentence(van: Depot, reply: bytes) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        address = f"http://127.0.0.1:{listening.getsockname()[1]}"

        def talk() -> None:
            taken, _ = listening.accept()
            with taken:
                taken.recv(5000)
                taken.sendall(reply)

        thread = threading.Thread(target=talk)
        thread.start()
        with pytest.raises(StorageFailed):
            united(van, address, "t")
        thread.join()
    with pytest.raises(StorageFailed, match="does not answer"):
        united(van, address, "t")
