"""No sentence of a command escapes: in a language that only tests speak, no plain word."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pseudo import PSEUDO, Pseudo, escaped

from wetend.pump.toml import demo_pump, to_toml
from wetend.telling.languages import LANGUAGE_SETTING

TOOLS = (
    "tools=c-spanner,pipe-wrench,tube,adjustable,second-adjustable,socket-set,soft-drift,hammer,"
    "open-spanners,strap-wrench,timber-block"
)
COMMANDS = (
    ("visit", "list"), ("make-safe", "last"), ("complaint", "last"), ("checks", "last"),
    ("strip", "last", TOOLS, "vice=yes"),
    ("inspect", "last", "cylinder", "diameters=38.06, 38.05, 38.02, 38.02 mm"), ("prove", "last"),
    ("rebuild", "last", "tin=2x0.5mm,0.25mm", "lever=0.5m"),
    ("prove", "last", "stall_pressure=240bar", "stall_time=60s", "stall_creep_up=1mm"),
    ("handover", "last"), ("life", "show", "quay-air"), ("fleet", "month"), ("stores", "list"),
    ("injection",), ("memory",), ("doctor",),
    ("calc", "gap-leak", "diameter=38mm", "clearance=0.05mm", "length=30mm", "pressure=200bar",
     "viscosity=0.5Pa s"),
)  # fmt: skip


@pytest.fixture
def visited(say: Callable, tmp_path: Path) -> Callable:
    """A pump with a visit begun."""
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air")
    say("coating", "last", "glass-flake-polyester")
    return say


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_no_sentence_escapes(
    words: tuple[str, ...], visited: Callable, pseudo: Pseudo, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(LANGUAGE_SETTING, PSEUDO)
    said = visited(*words)
    pump = demo_pump("quay-air")
    lines = (*said.out.splitlines(), *said.err.splitlines())
    left = escaped(
        lines, [str(Path.cwd()), "A. Tester", pump.name, pump.build, pump.site, "quay-air"]
    )
    assert not left, "\n".join(left)
    assert pseudo.asked
