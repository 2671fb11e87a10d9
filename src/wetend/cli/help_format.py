"""Command help: one plain line, fields with their units, an example.

Laid out here and not by the library below, which cuts lines short and counts on 80 columns.
"""

from __future__ import annotations

import re
import shutil
import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import typer
from typer.core import TyperArgument, TyperCommand, TyperGroup

from wetend.cli.session import Session
from wetend.units.kinds import System
from wetend.units.message import Message, joined

Rows = Sequence[tuple[str, str]]
_NARROWEST, _WIDEST = 30, 100
_KINDS = {"str": "TEXT", "path": "FILE", "file": "FILE", "int": "N", "int range": "N",
          "float": "NUMBER", "float range": "NUMBER", "bool": "", "list[str]": "TEXT"}  # fmt: skip
"""What stands for an option's value in its help, by the library's name of its kind."""


@dataclass(frozen=True)
class Table:
    """What may be given as ``field=value``: a title, and a row a field in a person's units."""

    title: str
    rows: Callable[[System], Rows]


def width() -> int:
    """How wide help is written: as the screen, where that can be read."""
    return max(_NARROWEST, min(shutil.get_terminal_size().columns - 1, _WIDEST))


def paragraphs(text: str) -> list[str]:
    """The paragraphs of a text, each in one line."""
    blocks = re.split(r"\n\s*\n", text.strip())
    return [joined(" ", block.split()) for block in blocks if block.strip()]


def _wrapped(text: str, before: str, wide: int) -> list[str]:
    wide, after = max(wide, len(before) + 12), " " * len(before)
    lines = textwrap.wrap(
        text, wide, initial_indent=before, subsequent_indent=after, break_on_hyphens=False
    )
    return lines or [before.rstrip()]


def _listed(rows: Rows, wide: int, column: int = 0) -> list[str]:
    """Rows of a name and what is said of it; what is said goes below where there is no room."""
    longest = max((len(name) for name, _ in rows), default=0)
    column = column or min(longest, max(wide // 3, 12))
    lines = []
    for name, said in rows:
        if len(name) <= column:
            lines += _wrapped(said, f"  {name:<{column}}  ", wide)
        else:
            lines.append(Message("  {name}", name=name))
            lines += _wrapped(said, " " * (column + 4), wide) if said else []
    return [line.rstrip() for line in lines]


def _section(title: str, rows: Rows, wide: int, column: int = 0) -> list[str]:
    return ["", *_wrapped(f"{title}:", "", wide), *_listed(rows, wide, column)] if rows else []


def _range(text: str) -> str:
    """A range as the library writes it, in words."""
    text = re.sub(r"([\d.]+)<=x<=([\d.]+)", r"from \1 to \2", text)
    return re.sub(r"x>=([\d.]+)", r"at least \1", text)


def _record(param: Any, ctx: typer.Context) -> tuple[str, str] | None:
    """An option's or a word's name and what is said of it."""
    record = param.get_help_record(ctx)
    if record is None:
        return None
    name, said = record
    if "--help" in param.opts:
        return "--help", Message("Show this help.")
    if isinstance(param, TyperArgument):
        return _word(param), re.sub(r"\s*\[required\]|(?<=\[)required; |; required(?=\])", "", said)
    kind = re.search(r"<(.*)>$", name)
    if kind:
        value = param.metavar or _KINDS.get(kind[1], kind[1])
        name = Message("{strip} {value}", strip=name[: kind.start()].strip(), value=value).strip()
    return name, _range(said)


def _word(param: Any) -> str:
    named = str(param.metavar or param.name.upper().replace("_", "-"))
    return f"{named}..." if param.nargs != 1 else named


def usage(command: Any, ctx: typer.Context, *, tail: str = "") -> str:
    """How a command is typed, in one line."""
    words = [_word(p) if p.required else f"[{_word(p)}]"
             for p in command.get_params(ctx) if isinstance(p, TyperArgument)]  # fmt: skip
    if tail:  # a group's options go before what it is asked to do
        return Message(
            "Usage: {command_path} [OPTIONS] {tail}", command_path=ctx.command_path, tail=tail
        )
    return joined(" ", ["Usage:", ctx.command_path, *words, "[OPTIONS]"])


def _head(command: Any, ctx: typer.Context, wide: int, *, tail: str = "") -> list[str]:
    lines = _wrapped(usage(command, ctx, tail=tail), "", wide)
    for block in paragraphs(command.help or ""):
        lines += ["", *_wrapped(block, "", wide)]
    return lines


def params(command: Any, ctx: typer.Context, *, words: bool) -> list[tuple[str, str]]:
    """A command's words, or its options: the name of each and what is said of it."""
    found = (_record(p, ctx) for p in command.get_params(ctx)
             if isinstance(p, TyperArgument) == words)  # fmt: skip
    return [record for record in found if record is not None]


def system_at(ctx: typer.Context) -> System:
    """The units of whoever asks for help."""
    session = ctx.find_root().obj
    return session.units.value if isinstance(session, Session) else "metric"


class Helped(TyperCommand):
    """A command whose help has its fields with units, and an example to copy."""

    tables: ClassVar[tuple[Table, ...]] = ()
    examples: ClassVar[tuple[str, ...]] = ()

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write what the command does, what it takes, and an example."""
        wide = width()
        lines = _head(self, ctx, wide)
        lines += _section("Words", params(self, ctx, words=True), wide)
        for table in self.tables:
            lines += _section(table.title, table.rows(system_at(ctx)), wide)
        lines += _section("Options", params(self, ctx, words=False), wide)
        if self.examples:
            lines += ["", "Example:" if len(self.examples) == 1 else "Examples:"]
            lines += [
                Message("  {example}", example=example) for example in self.examples
            ]  # to copy: never wrapped
        formatter.write("\n".join(lines) + "\n")


class Group(TyperGroup):
    """Commands under one name; alone it prints its help."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """The group's own options; without any word its help."""
        if not args and not ctx.resilient_parsing:
            typer.echo(ctx.get_help())
            raise typer.Exit
        return super().parse_args(ctx, args)

    def sections(self, ctx: Any) -> Mapping[str, Iterable[str]]:
        """Its commands by heading."""
        return {"Commands": self.list_commands(ctx)}

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write what the group is for and a whole line on each command."""
        wide = width()
        lines = _head(self, ctx, wide, tail="COMMAND ...")
        column = max(map(len, self.list_commands(ctx)), default=0)
        for title, names in self.sections(ctx).items():
            lines += _section(title, [(n, self._line(ctx, n)) for n in names], wide, column)
        lines += _section("Options", params(self, ctx, words=False), wide)
        lines += [
            "",
            *_wrapped(
                Message(
                    "`{command_path} COMMAND --help` explains one.", command_path=ctx.command_path
                ),
                "",
                wide,
            ),
        ]
        formatter.write("\n".join(lines) + "\n")

    def _line(self, ctx: Any, name: str) -> str:
        command = self.get_command(ctx, name)
        return paragraphs(command.help or "")[0] if command is not None and command.help else ""


def helped(*examples: str, tables: Sequence[Table] = ()) -> type[Helped]:
    """A class of command with these examples and these tables of fields in its help."""
    held = {"examples": examples, "tables": tuple(tables)}
    return type("Helped", (Helped,), held)


def command_app() -> typer.Typer:
    """One command by itself."""
    return typer.Typer(add_completion=False, rich_markup_mode=None)


def group_app(text: str) -> typer.Typer:
    """Commands under one name, with a line on what they are for."""
    return typer.Typer(add_completion=False, rich_markup_mode=None, cls=Group, help=text)
