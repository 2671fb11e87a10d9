"""Tokens of devices: shown once, only their hashes kept, one a name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from wetend.errors import BadInput, NotFound
from wetend.records.device_tokens import devices, make_token, withdraw
from wetend.records.store import Depot


@pytest.fixture
def lead(tmp_path: Path) -> Iterator[Depot]:
    with Depot.open(tmp_path / "depot.sqlite3") as opened:
        yield opened


def test_a_token_is_shown_once_and_only_its_hash_is_kept(lead: Depot) -> None:
    token = make_token(lead, "  van   2 ")
    assert [device.name for device in devices(lead)] == ["van 2"]
    assert lead.file is not None
    written = b"".join(p.read_bytes() for p in lead.file.parent.glob("depot.sqlite3*"))
    assert token.encode() not in written
    with pytest.raises(BadInput, match="already"):
        make_token(lead, "Van 2")
    for name in ("", " ", "x" * 61):
        with pytest.raises(BadInput, match="Name the device"):
            make_token(lead, name)
    with pytest.raises(NotFound, match="No device"):
        withdraw(lead, "van 3")
