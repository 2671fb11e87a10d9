"""No sentence of a command escapes: in a language that only tests speak, no plain word."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from pseudo import PSEUDO, Pseudo, escaped

from wetend.background import BACKGROUND
from wetend.keeping import figures
from wetend.pump.toml import demo_coatings, demo_pump, to_toml
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
    ("injection",), ("memory",), ("questions",), ("doctor",),
    ("calc", "gap-leak", "diameter=38mm", "clearance=0.05mm", "length=30mm", "pressure=200bar",
     "viscosity=0.5Pa s"),
)  # fmt: skip

PUMP = demo_pump("quay-air")
COATING = next(c for c in demo_coatings() if c.key == "glass-flake-polyester")
OWN = sorted(
    {
        *(str(Path.cwd()), "A. Tester", PUMP.name, PUMP.build, PUMP.site, PUMP.key, COATING.name),
        *(operation.title for operation in PUMP.strip.operations),
        *(c.text for operation in PUMP.strip.operations for c in operation.cautions),
        *(part.title or part.name.replace("-", " ") for part in PUMP.stack.parts),
        *(part.name for part in PUMP.stack.parts),
        *("cycles/min", "mL/min", "ohm", "depot.sqlite3", "pytest"),
    },
    key=len,
    reverse=True,
)
"""What the pump's and the coating's descriptions say; signs of units; names of files."""
_AS_TYPED = re.compile(r"`[^`]*`|\b[a-z_]+=\S.*$|\S*/\S*depot\.sqlite3")
"""Commands and fields as they are typed, with the codes to choose among; places of files."""
_TYPED = re.compile(
    r"`[^`]*`|^ *Ûšàĝé: .*|^  (WETEND_\w+=\S+ )?wetend .*|^  [a-z][a-z_.-]*=?(?= |$)"
    r"|^  --?[a-z-]+(, -?-[a-z-]+)*"
    r"|^  [A-Z]+(\.{3})?(?= )|(?<= )[A-Z]{2,}(?= )|\bWETEND_[A-Z]+|\([^()]*\|[^()]*\)|“[^”]*”"
)
"""Commands, fields, options and codes as they are typed."""
_CITED = re.compile(r"\s*(Ƒöŕɱûļà|Šöûŕçé): ")
"""Formulas and titles of books, in the language that they were written in."""


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
    monkeypatch.setattr(BACKGROUND, "_faults", {})  # what jobs of other tests failed of
    monkeypatch.setenv(LANGUAGE_SETTING, PSEUDO)
    monkeypatch.setenv("COLUMNS", "2000")
    said = visited(*words)
    lines = (*said.out.splitlines(), *said.err.splitlines())
    own = [*OWN, *(memory.name for memory in figures())] if words == ("memory",) else OWN
    left = escaped(
        (_AS_TYPED.sub("", line) for line in lines if not _CITED.match(line)),
        own,
    )
    assert not left, "\n".join(left)
    assert pseudo.asked


HELP = ((), ("checks",), ("stores",), ("stores", "count"), ("serve",), ("calc",), ("visit",),
        ("pump", "draw"), ("sign-off",), ("life", "use"))  # fmt: skip


@pytest.mark.parametrize("words", HELP, ids=" ".join)
def test_no_sentence_of_the_help_escapes(
    words: tuple[str, ...], say: Callable, pseudo: Pseudo, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(LANGUAGE_SETTING, PSEUDO)
    monkeypatch.setenv("COLUMNS", "2000")
    lines = re.sub(r"\n {8,}", " ", say(*words, "--help").out).splitlines()
    left = escaped((_TYPED.sub("", line) for line in lines), ("metric", "imperial"))
    assert not left, "\n".join(left)
    assert pseudo.asked
