"""Completes a partial command line for shells.

Answered from a table of all commands that is written beforehand (``docs/make_pages.py``), so that
no command has to be read in; only pumps and visits come from the depot's file.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

import platformdirs

from wetend.records import completion_names
from wetend.units.message import Message

TABLE = "completions.json"
SHELLS = ("bash", "zsh", "fish")
_OF_OPTION = {"--pump": "PUMP", "--visit": "VISIT"}


def _table() -> Mapping[str, Any]:
    found: Mapping[str, Any] = json.loads(
        resources.files("wetend.cli").joinpath(TABLE).read_text("utf-8")
    )
    return found


def _joined(words: Sequence[str]) -> list[str]:
    """Words as typed: Bash takes ``name=value`` apart at its sign."""
    found: list[str] = []
    for word in words:
        if found and (word == "=" or found[-1].endswith("=")) and not found[-1].startswith("--"):
            found[-1] += word
        else:
            found.append(word)
    return found


def _depot(typed: str) -> Path | None:
    """The depot's file, where it is one."""
    where = typed or os.environ.get("WETEND_DEPOT", "")
    if "://" in where:
        return None
    return Path(where or Path(platformdirs.user_data_dir("wetend", appauthor=False))
                / "depot.sqlite3")  # fmt: skip


class Line:
    """A command line as far as it is typed."""

    def __init__(self, words: Sequence[str]) -> None:
        """Find the command that the words lead to, and how many words stand behind it."""
        *before, self.last = _joined(words) or [""]
        self.table, self.path, self.place = _table(), "", 0
        self.depot, self.open_option = "", ""
        for word in before:
            self._take(word)

    def _take(self, word: str) -> None:
        here = self.table[self.path]
        if self.open_option:
            if self.open_option == "--depot":
                self.depot = word
            self.open_option = ""
        elif word.startswith("--"):
            name, sign, value = word.partition("=")
            if name == "--depot":
                self.depot = value
            takes = here["options"].get(name)
            self.open_option = "" if sign or takes is None else name
        elif word in here["commands"]:
            self.path = Message("{path} {word}", path=self.path, word=word).strip()
        else:
            self.place += 1

    def next(self) -> list[str]:
        """What may stand in the place of the last word."""
        here = self.table[self.path]
        if self.open_option:
            return self._of(_OF_OPTION.get(self.open_option, ""), here["options"][self.open_option])
        if self.last.startswith("-"):
            return self._begin(here["options"])
        name, sign, value = self.last.partition("=")
        if sign:
            return [f"{name}={c}" for c in here["fields"].get(name, ()) if c.startswith(value)]
        words = here["words"]
        found = self._begin(here["commands"])
        if words and self.place < len(words):
            found += self._of(*words[self.place])
        if here["fields"] and self.place >= len(words):
            found += self._begin(f"{field}=" for field in here["fields"])
        return found

    def _of(self, kind: str, choices: Sequence[str] | None) -> list[str]:
        file = _depot(self.depot)
        if kind == "PUMP":
            return list(completion_names.pumps(file, self.last)) if file else []
        if kind == "VISIT":
            return self._begin(["last", *(completion_names.visits(file) if file else ())])
        return self._begin(choices or ())

    def _begin(self, known: Iterable[str]) -> list[str]:
        return [name for name in known if name.startswith(self.last)]


def complete(shell: str, words: Sequence[str]) -> list[str]:
    """What may stand in the place of the last of these words, as a shell takes it.

    Bash gets only what stands behind the ``=`` that it takes words apart at.
    """
    found = Line([word.replace("\\ ", " ") for word in words]).next()
    if shell == "bash":
        found = [f.partition("=")[2] if "=" in f[:-1] else f for f in found]
        found = [f.replace(" ", "\\ ") for f in found]
    return found
