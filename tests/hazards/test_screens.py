"""Every page, command and paper: each hazard's caution once a screen, and before the act.

The words of rules.py alone say which hazard an instruction brings and what has to warn of it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import pytest

from wetend.advice.safety.hazards import DEFERS
from wetend.advice.safety.injection import ON_PAPER
from wetend.cli.app import run
from wetend.pump.readings import VisitStart
from wetend.pump.toml import DEMO_PUMPS
from wetend.workflows import visits

from .conftest import Dangerous
from .instructions import Instruction, every
from .rules import SAID_ONCE, lacking
from .screens import Block, before, blocks_of

STAGES = ("complaint", "checks", "listen", "strip", "strip/steps", "inspect", "rebuild",
          "rebuild/steps", "prove", "handover", "coating", "site")  # fmt: skip
PARTS = ("foot-ball", "foot-test", "rod", "cylinder", "piston-test", "seal-land")
SITE = {"confined space": r"Confined space \(", "lead": r"(contains|holds) lead"}
TOLD = {
    "checks": ("isocyanate", "pot life", "chlorinated"),
    "listen": ("isocyanate", "pot life"),
    "strip": ("pot life",),
    "strip/steps": ("isocyanate", "pot life"),
    "rebuild/steps": ("isocyanate", "rags"),
    "inspect": ("isocyanate", "rags"),
    "prove": ("isocyanate", "pot life"),
    "handover": ("isocyanate", "pot life", "rags"),
}
"""What a coating's flags and the stage bring to a page, beside its instructions."""


def _plain(text: str) -> str:
    return " ".join(text.split())


@cache
def _known(key: str) -> dict[str, Instruction]:
    """By its words, each instruction that a visit to this pump with every tool can give."""
    bench = f"{key}, every tool, whole:"
    told = (i for i in every() if i.kind not in ("strip", "rebuild") or bench in i.where)
    return {_plain(i.how): i for i in told if len(i.how) > 25}


def _found(text: str, key: str) -> list[Instruction]:
    """The instructions that a text tells, each once."""
    return [i for how, i in _known(key).items() if how in text]


def _paths(visit: str) -> list[tuple[str, str]]:
    stages = [(stage, f"/visits/{visit}/{stage}") for stage in STAGES]
    stages += [("inspect", f"/visits/{visit}/inspect?part={part}") for part in PARTS]
    stages += [("strip", f"/visits/{visit}/strip?step={number}") for number in range(1, 19)]
    return stages


def _faults(where: str, blocks: Sequence[Block], key: str) -> list[str]:
    """Cautions missing, after the act, or doubled on one screen."""
    found = []
    for place, block in enumerate(blocks):
        if block.caution:
            continue
        for told in _found(block.text, key):
            lost = lacking(told.text, told.kind, before(list(blocks), place))
            found += [f"{where}: {told.where} lacks {', '.join(lost)}"] if lost else []
    for screen in {b.screen for b in blocks}:
        if screen.startswith("details") and "care" in where:
            continue
        texts = [b.text for b in blocks if b.caution and b.screen == screen and b.tag != "strong"]
        for name, words in SAID_ONCE.items():
            said = [t for t in texts if re.search(words, t)]
            found += [f"{where}, {screen or 'page'}: {name} {said}"] if len(said) > 1 else []
    return found


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_on_no_page_is_a_caution_missing_late_or_doubled(dangerous: Dangerous, key: str) -> None:
    faults, instructions = [], 0
    for stage, path in _paths(dangerous.visits[key]):
        blocks = blocks_of(dangerous.page(path))
        instructions += sum(len(_found(b.text, key)) for b in blocks if not b.caution)
        faults += _faults(path.partition(dangerous.visits[key])[2] or path, blocks, key)
        told = " ".join(b.text for b in blocks if b.caution)
        wanted = {name: SAID_ONCE[name] for name in TOLD.get(stage, ())}
        at_head = {} if stage == "coating" else SITE  # a data sheet is typed there, nothing done
        faults += [
            f"{stage}: {name} is not told" for name, words in (wanted | at_head).items()
            if not re.search(words, told)
        ]  # fmt: skip
    assert not faults
    assert instructions > 60  # a page's own words are found, or this guards nothing


def test_before_any_reading_every_check_is_told_with_its_cautions(dangerous: Dangerous) -> None:
    """A visit just begun, at a site of which nothing is known."""
    key = "quay-air"
    visit = visits.start(dangerous.desk, VisitStart(pump=key))
    blocks = blocks_of(dangerous.page(f"/visits/{visit}/checks"))
    found = {i.where for b in blocks if not b.caution for i in _found(b.text, key)}
    assert len([w for w in found if w.startswith("check")]) > 18
    assert not _faults("checks", blocks, key)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("bucket-test", r"nozzle out"), ("displacement", r"nozzle out"),
        ("pressure-hold", r"never feel|Never feel"), ("wrench-extension", r"slips"),
        ("solvent-test", r"burns"), ("nozzle-wear", r"\bzero\b"),
        ("stack-clock", r"top of the cage"),
    ],
)  # fmt: skip
def test_a_calculator_of_an_act_warns_before_its_numbers(
    dangerous: Dangerous, name: str, words: str
) -> None:
    blocks = blocks_of(dangerous.page(f"/calculators/{name}"))
    numbers = next(i for i, b in enumerate(blocks) if b.text == "Inputs")
    assert any(re.search(words, c) for c in before(blocks, numbers))


@pytest.mark.parametrize("path", ["/simulate?pump=quay-air", "/practice", "/calculators/hose-loss"])
def test_a_picture_of_a_calculation_warns_of_nothing_to_do(dangerous: Dangerous, path: str) -> None:
    told = [b.text for b in blocks_of(dangerous.page(path)) if b.caution]
    assert not [t for t in told if not re.search(r"weakest rating", t)]


def _lines(out: str) -> list[tuple[bool, str]]:
    """Lines of a command's answer: whether each is a caution, and its words."""
    return [(line.startswith("! "), _plain(line)) for line in out.splitlines() if line.strip()]


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize(
    "words",
    [("complaint",), ("checks",), ("checks", "--how", "all"), ("strip",), ("rebuild",),
     ("prove",), ("handover",), ("care",), ("inspect",), ("mixed",)],
    ids=" ".join,
)  # fmt: skip
def test_by_command_every_caution_is_printed_before_what_is_to_be_done(
    dangerous: Dangerous, key: str, words: tuple[str, ...],
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setenv("COLUMNS", "4000")
    monkeypatch.setenv("WETEND_WHO", "R. Okafor")
    command, *more = words
    assert run(["--depot", str(dangerous.path), command, dangerous.visits[key], *more]) == 0
    lines = _lines(capsys.readouterr().out)
    faults, said = [], []
    for is_caution, line in lines:
        if is_caution:
            again = line in said and "as at step" not in line and "--how" not in words
            faults += [f"twice: {line}"] if again else []
            said.append(line)
            continue
        faults += [
            f"{told.where} lacks {', '.join(lost)}" for told in _found(line, key)
            if (lost := lacking(told.text, told.kind, tuple(said)))
        ]  # fmt: skip
    assert not [f for f in faults if not (command == "care" and f.startswith("twice"))]
    assert said
    assert sum(DEFERS in line for _, line in lines) >= 1
    if command != "mixed" and "--how" not in words:
        assert re.search(SITE["confined space"], lines[2][1] + lines[1][1] + lines[3][1])


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("paper", ["strip-card", "rebuild-card", "set-up", "report"])
def test_on_paper_every_caution_stands_before_its_step(
    dangerous: Dangerous, tmp_path: Path, key: str, paper: str
) -> None:
    text = dangerous.paper(f"/visits/{dangerous.visits[key]}/{paper}.pdf", tmp_path)
    assert re.search(SAID_ONCE["isocyanate"] if paper != "report" else r".", text)
    assert _plain(ON_PAPER)[:60] in text
    if paper != "set-up":
        assert re.search(SITE["confined space"], text)
        assert re.search(SAID_ONCE["pot life"], text)
    faults = []
    for told in _found(text, key):
        start = text.index(_plain(told.how))
        lost = lacking(told.text, told.kind, (text[:start],))
        faults += [f"{told.where} lacks {', '.join(lost)}"] if lost else []
    assert not faults
    if paper.endswith("card"):
        assert len(_found(text, key)) > 12
