"""Where a photo was taken, by command."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from phone_photos import PHOTOS, PLACE

from wetend.pump.toml import demo_pump, to_toml


@pytest.mark.parametrize("asked", [(), ("--keep-location",)])
def test_the_place_is_taken_out_unless_asked_for(
    say: Callable, tmp_path: Path, asked: tuple[str, ...]
) -> None:
    (tmp_path / "pump.toml").write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(tmp_path / "pump.toml"))
    say("visit", "start", "quay-air")
    (tmp_path / "photo.jpg").write_bytes(PHOTOS["jpeg"]())
    said = say("visit", "photo", "last", str(tmp_path / "photo.jpg"), *asked, "--json")
    sha = said.json["sha256"]
    kept = (tmp_path / "depot.photos" / sha[:2] / f"{sha}.jpg").read_bytes()
    assert (PLACE in kept) is bool(asked)
    assert (kept == PHOTOS["jpeg"]()) is bool(asked)
    assert said.json["location_kept"] is bool(asked)
