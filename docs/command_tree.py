"""Lists every command, for documentation, man page and tests."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import typer
from typer.core import TyperGroup

from wetend.cli.app import app


@dataclass(frozen=True)
class Node:
    """A command or a group of commands, and the words that lead to it after ``wetend``."""

    words: tuple[str, ...]
    command: Any

    @property
    def path(self) -> str:
        """As it is typed: ``wetend pump list``."""
        return " ".join(("wetend", *self.words))

    @property
    def context(self) -> typer.Context:
        """As the command is given, with nothing typed behind it."""
        return _context(self.command, self.words)

    @property
    def is_group(self) -> bool:
        """Whether commands stand under it."""
        return isinstance(self.command, TyperGroup)


def _context(command: Any, words: tuple[str, ...]) -> typer.Context:
    return typer.Context(command, info_name=" ".join(("wetend", *words)), resilient_parsing=True)


def under(node: Node) -> Iterator[Node]:
    """The commands right under a group."""
    if not node.is_group:
        return
    ctx = node.context
    for name in node.command.list_commands(ctx):
        _, command, _ = node.command.resolve_command(ctx, [name])
        yield Node((*node.words, name), command)


def root() -> Node:
    """``wetend`` itself."""
    return Node((), typer.main.get_command(app))


def every(node: Node | None = None) -> Iterator[Node]:
    """Every group and command below a group, in the order shown."""
    for each in under(node or root()):
        yield each
        yield from every(each)


def commands() -> Iterator[Node]:
    """Every command that does something."""
    return (node for node in every() if not node.is_group)
