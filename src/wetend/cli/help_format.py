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
from wetend.telling.languages import spoken
from wetend.telling.reader import Reader
from wetend.units.kinds import System
from wetend.units.message import Message, as_message, plural

Rows = Sequence[tuple[str, str]]
_NARROWEST, _WIDEST = 30, 100
_KINDS = {"str": "TEXT", "path": "FILE", "file": "FILE", "int": "N", "int range": "N",
          "float": "NUMBER", "float range": "NUMBER", "bool": "", "list[str]": "TEXT"}  # fmt: skip
"""What stands for an option's value in its help, by the library's name of its kind."""


_WORDS, _OPTIONS = Message("Words:"), Message("Options:")


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
    return [" ".join(block.split()) for block in blocks if block.strip()]


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
            lines.append(f"  {name}")
            lines += _wrapped(said, " " * (column + 4), wide) if said else []
    return [line.rstrip() for line in lines]


def _section(title: str, rows: Rows, wide: int, column: int = 0) -> list[str]:
    return ["", *_wrapped(title, "", wide), *_listed(rows, wide, column)] if rows else []


def _added(said: str, reader: Reader) -> str:
    """What the library adds to a help text, default and range, in words."""

    def between(found: re.Match[str]) -> str:
        return reader.tell(Message("from {least} to {most}", least=found[1], most=found[2]))

    def at_least(found: re.Match[str]) -> str:
        return reader.tell(Message("at least {least}", least=found[1]))

    for own in (Message("default: "), Message("env var: ")):
        said = said.replace(own, reader.tell(own))
    said = re.sub(r"([\d.]+)<=x<=([\d.]+)", between, said)
    return re.sub(r"x>=([\d.]+)", at_least, said)


def _record(param: Any, ctx: typer.Context) -> tuple[str, str] | None:
    """An option's or a word's name and what is said of it."""
    record = param.get_help_record(ctx)
    if record is None:
        return None
    reader = reader_at(ctx)
    name, said = record
    if "--help" in param.opts:
        return "--help", reader.tell(Message("Show this help."))
    plain = param.help or ""
    said = reader.gettext(plain) + _added(said.removeprefix(plain), reader)
    if isinstance(param, TyperArgument):
        return _word(param), re.sub(r"\s*\[required\]|(?<=\[)required; |; required(?=\])", "", said)
    kind = re.search(r"<(.*)>$", name)
    if kind:
        value = param.metavar or _KINDS.get(kind[1], kind[1])
        name = f"{name[: kind.start()].strip()} {value}".strip()
    return name, said


def _word(param: Any) -> str:
    named = str(param.metavar or param.name.upper().replace("_", "-"))
    return f"{named}..." if param.nargs != 1 else named


def usage(command: Any, ctx: typer.Context, *, tail: str = "") -> str:
    """How a command is typed, in one line."""
    words = [_word(p) if p.required else f"[{_word(p)}]"
             for p in command.get_params(ctx) if isinstance(p, TyperArgument)]  # fmt: skip
    # a group's options go before what it is asked to do
    typed = ("[OPTIONS]", tail) if tail else (*words, "[OPTIONS]")
    return " ".join((ctx.command_path, *typed))


def _head(command: Any, ctx: typer.Context, wide: int, *, tail: str = "") -> list[str]:
    reader, typed = reader_at(ctx), usage(command, ctx, tail=tail)
    lines = _wrapped(reader.tell(Message("Usage: {typed}", typed=typed)), "", wide)
    for block in paragraphs(command.help or ""):
        lines += ["", *_wrapped(reader.gettext(block), "", wide)]
    return lines


def params(command: Any, ctx: typer.Context, *, words: bool) -> list[tuple[str, str]]:
    """A command's words, or its options: the name of each and what is said of it."""
    found = (_record(p, ctx) for p in command.get_params(ctx)
             if isinstance(p, TyperArgument) == words)  # fmt: skip
    return [record for record in found if record is not None]


def reader_at(ctx: typer.Context) -> Reader:
    """Who asks for help."""
    session = ctx.find_root().obj
    return Reader(session.units.value if isinstance(session, Session) else "metric", spoken())


class Helped(TyperCommand):
    """A command whose help has its fields with units, and an example to copy."""

    tables: ClassVar[tuple[Table, ...]] = ()
    examples: ClassVar[tuple[str, ...]] = ()

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write what the command does, what it takes, and an example."""
        wide, reader = width(), reader_at(ctx)
        lines = _head(self, ctx, wide)
        lines += _section(reader.tell(_WORDS), params(self, ctx, words=True), wide)
        for table in self.tables:
            title = reader.tell(Message("{title}:", title=as_message(table.title)))
            rows = [(name, reader.tell(said)) for name, said in table.rows(reader.system)]
            lines += _section(title, rows, wide)
        lines += _section(reader.tell(_OPTIONS), params(self, ctx, words=False), wide)
        if self.examples:
            lines += ["", reader.tell(plural("Example:", "Examples:", len(self.examples)))]
            lines += [f"  {example}" for example in self.examples]  # to copy: never wrapped
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
        return {Message("Commands"): self.list_commands(ctx)}

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write what the group is for and a whole line on each command."""
        wide, reader = width(), reader_at(ctx)
        lines = _head(self, ctx, wide, tail="COMMAND ...")
        column = max(map(len, self.list_commands(ctx)), default=0)
        for title, names in self.sections(ctx).items():
            rows = [(n, reader.gettext(self._line(ctx, n))) for n in names]
            headed = reader.tell(Message("{title}:", title=as_message(title)))
            lines += _section(headed, rows, wide, column)
        lines += _section(reader.tell(_OPTIONS), params(self, ctx, words=False), wide)
        more = Message("`{command} COMMAND --help` explains one.", command=ctx.command_path)
        lines += ["", *_wrapped(reader.tell(more), "", wide)]
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
