"""Tokens by which other depots may exchange with this one: only their hashes are kept.

A token is 256 random bits, so its plain SHA-256 can't be turned back (NIST SP 800-63B, 5.1.2.2
asks for salt and cost only below 112 bits).
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import UTC, datetime

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import delete, select

from wetend.errors import BadInput, NotFound
from wetend.records import settings
from wetend.records.engine import plainly
from wetend.records.store import Depot
from wetend.records.tables import about
from wetend.units.message import Message

_START = "device "
_LONGEST = 60


@dataclass(frozen=True)
class Device:
    """Who holds a token."""

    name: str
    made: datetime
    """UTC."""


_DEVICE = TypeAdapter(Device)


def _name_of(token: str) -> str:
    return _START + hashlib.sha256(token.encode()).hexdigest()[:32]


def make_token(depot: Depot, name: str) -> str:
    """A new token for a device; it is shown once and kept nowhere.

    Raises:
        BadInput: the name is blank, too long, or has a token already.
    """
    plain = " ".join(name.split())
    if not 0 < len(plain) <= _LONGEST:
        raise BadInput(
            Message("Name the device in at most {most} letters, such as van-2.", most=_LONGEST)
        )
    if plain.casefold() in {device.name.casefold() for device in devices(depot)}:
        raise BadInput(
            Message("“{name}” has a token already; withdraw it first, or take another name.",
                    name=plain)
        )  # fmt: skip
    token = secrets.token_urlsafe(32)
    made = Device(plain, datetime.now(UTC))
    with depot.writing() as connection:
        settings.put(connection, _name_of(token), _DEVICE.dump_json(made).decode())
    return token


def devices(depot: Depot) -> tuple[Device, ...]:
    """The devices that hold a token, by name."""
    names = select(about.c.name).where(about.c.name.like(f"{_START}%"))
    with plainly(depot.url), depot.connected() as connection:
        texts = [settings.value_of(connection, name) for name in connection.scalars(names).all()]
    found = (_read(text) for text in texts if text is not None)
    return tuple(sorted((d for d in found if d is not None), key=lambda d: d.name.casefold()))


def device_of(depot: Depot, token: str) -> Device | None:
    """Whose token this is; ``None`` where it is nobody's."""
    with plainly(depot.url), depot.connected() as connection:
        text = settings.value_of(connection, _name_of(token))
    return _read(text) if text is not None else None


def withdraw(depot: Depot, name: str) -> None:
    """Let a device's token open nothing any more.

    Raises:
        NotFound: no device of this name holds one.
    """
    wanted, gone = " ".join(name.split()).casefold(), 0
    names = select(about.c.name).where(about.c.name.like(f"{_START}%"))
    with depot.writing() as connection:
        for each in connection.scalars(names).all():
            device = _read(settings.value_of(connection, each) or "")
            if device is not None and device.name.casefold() == wanted:
                gone += connection.execute(delete(about).where(about.c.name == each)).rowcount
    if not gone:
        raise NotFound(Message("No device “{name}” holds a token.", name=name[:_LONGEST]))


def _read(text: str) -> Device | None:
    try:
        return _DEVICE.validate_json(text)
    except ValidationError:
        return None
