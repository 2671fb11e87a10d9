"""``wetend injection``, ``incident``, ``site`` and ``mixed``: the pages' content by command."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from wetend.advice.safety.injection import STEPS

from .conftest import Said

Say = Callable[..., Said]


def _flat(text: str) -> str:
    return " ".join(text.split())


def test_injection_is_told_with_nothing_in_the_depot(say: Say) -> None:
    told = say("injection")
    assert told.code == 0
    out = _flat(told.out)
    places = [out.find(act) for act, _ in STEPS]
    assert places == sorted(places)
    assert min(places) > 0
    assert say("injection", "--json").json["steps"] == [list(step) for step in STEPS]


def test_a_near_miss_is_kept_without_a_visit_and_listed(say: Say) -> None:
    assert "No near miss" in say("incident").out
    assert say("incident", "kind=near miss").code == 2
    kept = say("incident", "kind=near miss", "said=Hose whipped", "pressure=180bar", "ago=30min")
    assert kept.code == 0
    assert "Hose whipped; 180 bar" in kept.out
    (told,) = say("incident", "--json").json
    assert told["visit"] is None
    assert told["pressure"] == 180e5
    assert say("incident", "said=x", "--pump", "nosuch").code != 0


def test_site_and_clock_are_kept_shown_and_stand_before_the_stage(say: Say, tmp_path: Path) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(say("pump", "example").out, "utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air", "--site", "Dry dock 7")
    facts = say("site", "last", "emergency_phone=01632 960 155", "confined_space=yes", "permit=7")
    assert "ring 01632 960 155" in facts.out
    assert say("mixed", "last", "--now").code == 2  # no coating yet
    say("coating", "last", "epoxy-tank")
    mixed = _flat(say("mixed", "last", "--ago", "100min").out)
    assert "flush first" in mixed
    out = _flat(say("checks", "last").out)
    for told in ("Confined space (permit 7)", "flush first", "its hardener burns"):
        assert -1 < out.find(told) < out.find("A sound pump")
    assert say("checks", "last", "--json").json["job"]["clock"]["state"] == "soon"
    assert "No pot-life clock is running" in say("mixed", "last", "--flushed").out
