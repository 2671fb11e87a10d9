"""Another depot behind a network address."""

from __future__ import annotations

import gzip
import ssl
from collections.abc import Iterator, Sequence
from functools import cached_property
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from io import BytesIO
from ipaddress import ip_address
from pathlib import Path
from types import TracebackType
from typing import Self, TypeVar
from urllib.parse import urlsplit

from pydantic import ValidationError

from wetend.errors import BadInput, Refused, StorageFailed, why_not
from wetend.records.checksums import Tally
from wetend.records.entries import Entry
from wetend.records.exchange import wire
from wetend.records.exchange.keys import Keyed, Span
from wetend.records.exchange.sides import SetName
from wetend.units.message import Message
from wetend.units.noun import Noun

_WAIT = 60.0
_PIECE = 2_000_000
"""Bytes of entries sent at once, unless one alone is longer."""
NounT = TypeVar("NounT", bound=Noun)


def is_address(place: str) -> bool:
    """Whether this names a server."""
    return place.lower().startswith(("http://", "https://"))


def _loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


class NetworkSide:
    """A depot served at an address, asked with a device's token."""

    def __init__(self, address: str, token: str, *, authority: Path | None = None) -> None:
        """Nothing is sent yet.

        Args:
            address: ``https://HOST[:PORT]``; plain HTTP only on this machine.
            token: as that depot made it for this device.
            authority: certificates to trust beside the system's, a PEM file.

        Raises:
            BadInput: it is no address, would send the token in the clear, or the file is none.
        """
        try:
            parts = urlsplit(address)
            host, port = parts.hostname or "", parts.port
        except ValueError:
            host, port = "", 0
        if not host or port == 0 or not is_address(address):
            raise BadInput(
                Message("“{address}” is not an address; write https://HOST:PORT.",
                        address=address[:80])
            )  # fmt: skip
        secure = parts.scheme.lower() == "https"
        if not secure and not _loopback(host):
            raise BadInput(
                Message("Over plain HTTP anybody could read the token. Use an https:// address.")
            )
        if not token.isascii() or not token.isprintable() or not token.strip():
            raise BadInput(
                Message("Give the token that the other depot made for this device (--token).")
            )
        self._token, self.address = token.strip(), f"{parts.scheme.lower()}://{parts.netloc}"
        self._base = parts.path.rstrip("/") + wire.PATH
        self._connection: HTTPConnection = (
            HTTPSConnection(host, port, timeout=_WAIT, context=_trusting(authority))
            if secure
            else HTTPConnection(host, port, timeout=_WAIT)
        )

    def close(self) -> None:
        """Close the connection."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _sent(self, method: str, what: str, body: bytes = b"", media: str = "") -> bytes:
        headers = {"Authorization": f"Bearer {self._token}", "Accept-Encoding": "gzip"}
        if media:
            headers["Content-Type"] = media
        try:
            self._connection.request(method, f"{self._base}/{what}", body or None, headers)
            answer = self._connection.getresponse()
            data = answer.read(wire.MOST_BYTES + 1)
        except (OSError, HTTPException) as error:
            self._connection.close()
            why = why_not(error) if isinstance(error, OSError) else type(error).__name__
            raise StorageFailed(
                Message("{address} does not answer: {why}.", address=self.address, why=why)
            ) from error
        if answer.getheader("Content-Encoding") == "gzip":
            data = _unpacked(data)
        if len(data) > wire.MOST_BYTES:
            self._connection.close()
            raise StorageFailed(self._strange())
        if answer.status != 200:
            raise self._fault(answer.status, data)
        return data

    def _strange(self) -> str:
        return Message("What answers at {address} is not a wetend server of this version.",
                       address=self.address)  # fmt: skip

    def _fault(self, status: int, data: bytes) -> BadInput | Refused | StorageFailed:
        try:
            fault = wire.Fault.model_validate_json(data).fault
        except ValidationError:
            return StorageFailed(self._strange())
        said = Message("{address} says: {fault}", address=self.address, fault=fault)
        if status == Refused.status:
            return Refused(said)
        return BadInput(said) if status < 500 else StorageFailed(said)

    def _asked(self, what: str, asked: Noun, answer: type[NounT]) -> NounT:
        body = asked.model_dump_json().encode()
        return self._read(self._sent("POST", what, body, "application/json"), answer)

    def _read(self, data: bytes, answer: type[NounT]) -> NounT:
        try:
            return answer.model_validate_json(data)
        except ValidationError as error:
            raise StorageFailed(self._strange()) from error

    @cached_property
    def _about(self) -> wire.About:
        return self._read(self._sent("GET", "about"), wire.About)

    @property
    def purpose(self) -> str:
        """What it is for."""
        return self._about.purpose

    def replaced(self) -> frozenset[str]:
        """Photos that another was put in place of there."""
        return frozenset(self._about.replaced)

    def tallies(self, name: SetName, spans: Sequence[Span]) -> list[Tally]:
        """Count and mixed checksums of spans of its entries or photos."""
        found = self._asked(
            "tallies", wire.AskTallies(name=name, spans=tuple(spans)), wire.Tallies
        ).read()
        if len(found) != len(spans):
            raise StorageFailed(self._strange())
        return found

    def listed(self, name: SetName, span: Span) -> list[Keyed]:
        """First keys of a span."""
        return list(self._asked("listed", wire.AskList(name=name, span=span), wire.Listed).keyed)

    def entries(self, ids: Sequence[str]) -> list[Entry]:
        """Some entries, in the order of their ids; those damaged there are left out."""
        return list(self._asked("entries", wire.AskEntries(ids=tuple(ids)), wire.Some).entries)

    def keep(self, entries: Sequence[Entry]) -> tuple[int, tuple[str, ...]]:
        """Have entries kept there; how many were new, and ids of those refused."""
        new = 0
        refused: tuple[str, ...] = ()
        for piece in _pieces(entries):
            kept = self._asked("keep", wire.Some(entries=tuple(piece)), wire.Kept)
            new, refused = new + kept.new, (*refused, *kept.refused)
        return new, refused

    def photo(self, sha: str) -> bytes | None:
        """A photo's bytes; ``None`` where it is not there or damaged."""
        return self._sent("GET", f"photos/{sha}") or None

    def keep_photo(self, data: bytes) -> None:
        """Have a photo kept there."""
        self._sent("POST", "photos", data, "application/octet-stream")


def _pieces(entries: Sequence[Entry]) -> Iterator[list[Entry]]:
    piece: list[Entry] = []
    size = 0
    for entry in entries:
        own = len(entry.payload.encode()) + 1000
        if piece and size + own > _PIECE:
            yield piece
            piece, size = [], 0
        piece.append(entry)
        size += own
    if piece:
        yield piece


def _unpacked(data: bytes) -> bytes:
    try:
        with gzip.GzipFile(fileobj=BytesIO(data)) as file:
            return file.read(wire.MOST_BYTES + 1)
    except (OSError, EOFError):
        return b""


def _trusting(authority: Path | None) -> ssl.SSLContext:
    context = ssl.create_default_context()
    if authority is not None:
        try:
            context.load_verify_locations(authority)
        except (OSError, ssl.SSLError) as error:
            raise BadInput(
                Message("{name} holds no certificates to trust.", name=authority.name)
            ) from error
    return context
