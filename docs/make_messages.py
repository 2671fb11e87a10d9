"""Write the template that a translation begins from: every message of the program, as gettext reads it.

``python docs/make_messages.py FILE.pot`` collects the patterns in the code, the texts of the templates,
the labels of the forms' fields and the words of the codes that a record holds. See
docs/adding-a-language.md.
"""

from __future__ import annotations

import ast
import enum
import importlib
import pkgutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from babel.messages import pofile
from babel.messages.catalog import Catalog
from command_tree import every, root
from jinja2.ext import extract_from_ast

import wetend
from wetend.advice.practice.share_code import Size
from wetend.cli.app import STAGES
from wetend.cli.help_format import paragraphs
from wetend.materials.ball_seat import ball_seat_materials
from wetend.materials.cups import cups
from wetend.materials.ring_sections import ring_sections
from wetend.materials.solvents import solvents
from wetend.units.fields import fields_of
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.web.pages import templates

SOURCE = Path(wetend.__file__).parent
_CALLS = {"Message": 1, "plural": 2, "Plural": 2, "constant": 1, "kept": 1, "Keep": 1}
"""Functions that messages are given to, and those that name what is held in memory: how many."""

Found = tuple[str | tuple[str, str], str, int]
"""A pattern, or two for one and many; the file it stands in; its line."""


def _named(function: ast.expr) -> str:
    while isinstance(function, ast.Subscript):
        function = function.value
    return function.id if isinstance(function, ast.Name) else ""


def in_code() -> Iterator[Found]:
    """Patterns of the program's own calls."""
    for file in sorted(SOURCE.rglob("*.py")):
        named = str(file.relative_to(SOURCE.parent))
        for call in ast.walk(ast.parse(file.read_text("utf-8"))):
            if not isinstance(call, ast.Call) or _named(call.func) not in _CALLS:
                continue
            given = call.args[: _CALLS[_named(call.func)]]
            said = [a.value for a in given if isinstance(a, ast.Constant) and isinstance(a.value, str)]
            if len(said) == len(given) and said and said[0]:
                yield (said[0], said[1]) if len(said) == 2 else said[0], named, call.lineno


def in_templates() -> Iterator[Found]:
    """Texts of the pages."""
    made, folder = templates(), SOURCE / "web" / "templates"
    for file in sorted(folder.rglob("*.html")):
        parsed = made.parse(file.read_text("utf-8"))
        for line, call, said in extract_from_ast(parsed, ("gettext", "_", "plural")):
            first = said if isinstance(said, str) else said[0]
            if first and call == "plural":
                yield (first, said[1]), str(file.relative_to(SOURCE.parent)), line
            elif first:
                yield first, str(file.relative_to(SOURCE.parent)), line


def _literals(annotation: Any) -> Iterator[str]:
    if get_origin(annotation) is Literal:
        yield from (a for a in get_args(annotation) if isinstance(a, str))
    elif isinstance(annotation, type) and issubclass(annotation, enum.StrEnum):
        yield from (member.value for member in annotation)
    else:
        for each in get_args(annotation):
            yield from _literals(each)


def _below(kind: type) -> Iterator[type]:
    for each in kind.__subclasses__():
        yield each
        yield from _below(each)


def in_nouns() -> Iterator[Found]:
    """Labels of fields, and the codes that people choose among."""
    for module in pkgutil.walk_packages(wetend.__path__, "wetend."):
        if not module.name.endswith(("__main__", "env")) and ".migrations" not in module.name:
            importlib.import_module(module.name)
    for noun in _below(Noun):
        for field in fields_of(noun):
            for said in (field.label, field.hint):
                if isinstance(said, Message):
                    yield said.pattern, noun.__module__, 0
        for info in noun.model_fields.values():
            for code in _literals(info.annotation):
                yield code, noun.__module__, 0
    for code in get_args(Size):
        yield code, "wetend.advice.practice", 0
    for kind in _below(enum.StrEnum):
        if kind.__module__.startswith("wetend"):
            for member in kind:
                yield member.value, kind.__module__, 0


def in_tables() -> Iterator[Found]:
    """Titles of liquids, materials and cups in the tables that the program ships."""
    for table in (cups(), solvents(), ball_seat_materials(), ring_sections()):
        for row in table.rows.values():
            yield row.title, "wetend.materials", 0


def in_help() -> Iterator[Found]:
    """What `--help` says of the commands, of their words and options."""
    for title, lines in STAGES.items():
        yield title, "wetend/cli/app.py", 0
        for line in lines.values():
            yield line, "wetend/cli/app.py", 0
    for node in (root(), *every()):
        for said in paragraphs(node.command.help or ""):
            yield said, "wetend/cli", 0
        for param in node.command.params:
            if getattr(param, "help", ""):
                yield param.help, "wetend/cli", 0
        for table in getattr(node.command, "tables", ()):
            yield str(table.title), "wetend/cli", 0


_EVERYWHERE = (in_code, in_templates, in_nouns, in_tables, in_help)


def every_message() -> set[str | tuple[str, str]]:
    """All patterns; a pair where there is one for one thing and one for many."""
    return {
        said for found in _EVERYWHERE for said, _, _ in found()
    }


def catalogue() -> Catalog:
    """Every message once, with the places that say it."""
    made = Catalog(project="wetend", version=wetend.__version__, charset="utf-8")
    for found in _EVERYWHERE:
        for said, file, line in found():
            if said and (isinstance(said, tuple) or said.strip()):
                made.add(said, locations=[(file, line)] if line else [])
    return made


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.parent.mkdir(parents=True, exist_ok=True)
    with target.open("wb") as out:
        pofile.write_po(out, catalogue(), width=100, sort_output=True, omit_header=False)
