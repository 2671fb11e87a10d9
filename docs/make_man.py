"""The man page and the table that shells complete by, written from the commands themselves."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from command_tree import Node, every, root, under
from typer.core import TyperArgument

from wetend import __version__
from wetend.advice.calculators.catalogue import FAMILIES
from wetend.cli.app import STAGES
from wetend.cli.field_rows import rows_of
from wetend.cli.help_format import paragraphs, params, usage
from wetend.units.declared import fields_of

ROOT = Path(__file__).parents[1]
CALCULATORS = [name for names in FAMILIES.values() for name in names]


def _roff(text: str) -> str:
    """Text as it stands: no word of it is an instruction."""
    text = text.replace("\\", "\\e").replace("-", "\\-")
    return re.sub(r"^(?=[.'])", r"\\&", text, flags=re.MULTILINE)


def _listed(rows: list[tuple[str, str]]) -> list[str]:
    lines = []
    for name, said in rows:
        lines += [".TP", f".B {_roff(name)}", _roff(said or " ")]
    return lines


def _command(node: Node) -> list[str]:
    command, ctx = node.command, node.context
    tail = "COMMAND ..." if node.is_group else ""
    lines = [
        f".SS {_roff(node.path)}",
        f".B {_roff(usage(command, ctx, tail=tail))}",
    ]
    for block in paragraphs(command.help or ""):
        lines += [".PP", _roff(block)]
    if node.is_group:
        return lines
    lines += _listed(params(command, ctx, words=True))
    for table in command.tables:
        lines += [".PP", _roff(f"{table.title}:"), *_listed(list(table.rows("metric")))]
    lines += _listed([row for row in params(command, ctx, words=False) if row[0] != "--help"])
    for example in command.examples:
        lines += [".PP", ".RS", ".nf", _roff(example), ".fi", ".RE"]
    return lines


def _settings() -> list[tuple[str, str]]:
    """The table of settings in the README."""
    text = re.sub(r"\[([^]]+)\]\([^)]+\)", r"\1", (ROOT / "README.md").read_text("utf-8"))  # links by their words
    found = re.findall(r"^\| ((?:`WETEND_[A-Z]+`(?:, )?)+) \| (.*) \|$", text, re.MULTILINE)
    return [(names.replace("`", ""), said.replace("`", "")) for names, said in found]


def man_page() -> str:
    """``wetend(1)``."""
    top = root()
    lines = [
        f'.TH WETEND 1 "" "wetend {__version__}" "User commands"', ".SH NAME",
        "wetend \\- fault finding, strip, rebuild and proof of high\\-pressure piston spray pumps",
        ".SH SYNOPSIS", ".B wetend", "[OPTIONS] COMMAND ...", ".SH DESCRIPTION",
    ]  # fmt: skip
    for block in paragraphs(top.command.help):
        lines += [".PP", _roff(block)]
    lines += [".SH OPTIONS", *_listed(params(top.command, top.context, words=False))]
    nodes = list(every())
    for stage, names in STAGES.items():
        lines.append(f".SH {_roff(stage.upper())}")
        for node in nodes:
            lines += _command(node) if node.words[0] in names else []
    lines += [
        ".SH ENVIRONMENT", *_listed(_settings()), ".SH EXIT STATUS",
        *_listed([("0", "Done."), ("1", "Not done: the sums have no answer, the disk or the depot failed."),
                  ("2", "Refused: what was typed can't be used, or a safety step stands before it."),
                  ("130", "Ended by Ctrl-C.")]),
        ".SH NOTES",
        _roff("The tool advises. The maker's manual, the safety data sheet, site permits, local codes and "
              "licensed practice come first."),
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


def _choices(param: Any) -> list[str]:
    if param.type_descriptor.is_choice:
        return [str(getattr(c, "value", c)) for c in param.type_descriptor.choices or ()]
    if param.metavar == "CALCULATOR":
        return CALCULATORS
    return str(param.help).split(" | ") if " | " in str(param.help) else []


def _fields(node: Node) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for table in getattr(node.command, "tables", ()):
        if getattr(table.rows, "func", None) is rows_of:
            hidden = {*table.rows.keywords["without"]}
            gone = {*table.rows.keywords["no_longer"]}
            for field in fields_of(table.rows.args[0]):
                yes_no = ["yes", "no"] if field.shape == "yes-no" else []
                choices = [c for c in field.choices if c not in gone] or yes_no
                if field.name not in hidden and field.shape != "map":
                    found.setdefault(field.name, choices)
        else:
            found |= {n.partition("=")[0]: [] for n, _ in table.rows("metric") if "=" in n}
    return found


def _entry(node: Node) -> dict[str, Any]:
    options = {
        name: None if getattr(p, "is_flag", False) else _choices(p)
        for p in node.command.get_params(node.context) for name in p.opts if name.startswith("--")
    }  # fmt: skip
    words = [(p.metavar or p.name.upper(), _choices(p))
             for p in node.command.params if isinstance(p, TyperArgument) and p.nargs == 1]  # fmt: skip
    return {"commands": [n.words[-1] for n in under(node)], "options": options, "words": words,
            "fields": {} if node.words[:1] == ("find-fault",) else _fields(node)}  # fmt: skip


def completions() -> str:
    """What may stand where, for every command, as JSON."""
    table = {" ".join(node.words): _entry(node) for node in (root(), *every())}
    return json.dumps(table, ensure_ascii=False, indent=1) + "\n"
