"""Help that a person can read: by stage, whole lines, fields with units, examples that hold."""

from __future__ import annotations

import shlex
from collections.abc import Callable

import pytest
import typer
from command_tree import Node, commands, every, root

from wetend.cli.app import COMMANDS, STAGES
from wetend.cli.arguments import pairs
from wetend.cli.field_rows import rows_of
from wetend.cli.help_format import Helped, paragraphs
from wetend.pump.proof_readings import ProofReadings
from wetend.units.declared import fields_of
from wetend.units.fields import read
from wetend.units.show import pretty

ALL = list(commands())
GROUPS = [node for node in every() if node.is_group]


def _id(node: Node) -> str:
    return node.path


def test_wetend_alone_prints_its_help_by_stage(say: Callable) -> None:
    said = say()
    assert (said.code, said.err) == (0, "")
    assert "\n\n".join(said.out.split("\n\n")) == said.out
    for stage, names in STAGES.items():
        block = said.out.partition(f"\n{stage}:\n")[2].partition("\n\n")[0]
        assert [line.split()[0] for line in block.splitlines()] == list(names)
    assert "..." not in said.out.replace("COMMAND ...", "")  # no line cut short


@pytest.mark.parametrize("group", GROUPS, ids=_id)
def test_a_group_alone_prints_its_help(say: Callable, group: Node) -> None:
    said = say(*group.words)
    assert (said.code, said.err) == (0, "")
    assert said.out == say(*group.words, "--help").out
    assert said.out.count("\n") > 8


@pytest.mark.parametrize("node", ALL, ids=_id)
def test_every_command_says_in_one_plain_line_what_it_does(node: Node) -> None:
    assert isinstance(node.command, Helped)
    first = paragraphs(node.command.help)[0]
    assert first.endswith(".")
    assert len(first) <= 90
    assert "=" not in first
    assert node.command.examples


@pytest.mark.parametrize("node", ALL, ids=_id)
def test_examples_can_be_typed_as_they_stand(node: Node) -> None:
    for example in node.command.examples:
        words = shlex.split(example.partition(" > ")[0])
        words = words[words.index("wetend") + 1 :]
        if words[0] == "--depot":
            words = words[2:]
        assert tuple(words[: len(node.words)]) == node.words
        context = node.command.make_context(node.path, list(words[len(node.words) :]))
        given = context.params.get("given") or []
        if not any("=" in word for word in given):
            continue
        made = [t.rows for t in node.command.tables]
        nouns = [rows.args[0] for rows in made if getattr(rows, "func", None) is rows_of]
        known = {f.name for noun in nouns for f in fields_of(noun)}
        named = {name.partition(".")[0] for name in pairs(given)}
        if len(nouns) == 1 and node.words != ("stores", "count"):
            read(nouns[0], pairs(given), system="metric")
        assert not nouns or named <= known, example


def test_prove_lists_every_field_with_its_unit(say: Callable) -> None:
    told = {
        line.split()[0]: line for line in say("prove", "--help").out.splitlines() if "= " in line
    }
    for field in fields_of(ProofReadings):
        line = told[f"{field.name}="]
        if field.unit is not None:
            assert f"[{pretty(field.unit.metric)}]" in line
    imperial = say("--units", "imperial", "prove", "--help").out
    assert "Stall hold: gauge [psi]" in imperial
    assert "[bar]" not in imperial


def test_help_fits_a_narrow_screen(say: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    for words in ((), ("pump",), ("prove",), ("make-safe",)):
        text = say(*words, "--help").out.partition("\nExample")[0]
        long = [line for line in text.splitlines() if len(line) > 40 and " " in line.strip()]
        assert long == []


def test_old_answers_are_not_offered_any_more(say: Callable) -> None:
    assert "fan tails or pulses" not in " ".join(say("complaint", "--help").out.split())
    assert "not asked" not in " ".join(say("prove", "--help").out.split())


def test_the_tree_is_whole() -> None:
    assert {node.words[0] for node in ALL} == set(COMMANDS)
    assert isinstance(root().command, typer.core.TyperGroup)
