"""From where a user enters the program, and what is reached from there."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from reach import Module, Walk, read_package, template_names

from wetend.advice.calculators.catalogue import FAMILIES
from wetend.cli.app import COMMANDS, _module

ROOT = Path(__file__).parents[2]
TEMPLATES = ROOT / "src" / "wetend" / "web" / "templates"
WRITTEN = {"commands.md", "evidence.md"}
"""Pages of docs that are written from the program or its tests, and name what they find there."""
CALLED_FROM_OUTSIDE = {
    "wetend.records.migrations.env": "Alembic runs it",
    **{
        f"wetend.records.migrations.versions.{version}.{step}": "Alembic calls it by this name"
        for version in ("entries_0001", "0002_acts", "0003_checksums")
        for step in ("upgrade", "downgrade")
    },
}
"""Definitions that a framework finds by name, each with its why."""


def documented() -> set[str]:
    """What README and the documents written by hand name in full, such as ``wetend.x.y``."""
    pages = [
        ROOT / "README.md",
        *(p for p in (ROOT / "docs").glob("*.md") if p.name not in WRITTEN),
    ]
    text = "\n".join(page.read_text("utf-8") for page in pages)
    return set(re.findall(r"\bwetend(?:\.\w+)+\b", text))


@cache
def sources() -> dict[str, Module]:
    """The package's sources, read once."""
    return read_package(ROOT / "src", "wetend")


def walk() -> Walk:
    """A walk that has reached nothing yet but what the templates ask of what they are given."""
    begun = Walk(sources())
    begun.attributes |= template_names(TEMPLATES)
    return begun


@cache
def reached_by_users() -> Walk:
    """Console script, every command, the pages, every calculator, what the documents name."""
    walked = walk()
    walked.reach("wetend.__main__.main")
    walked.reach("wetend.web.app.create_app")
    for name in COMMANDS:
        walked.reach(f"{_module(name)}.app")
    for family in FAMILIES:
        walked.reach(f"wetend.advice.calculators.{family}.CALCULATORS")
    for name in CALLED_FROM_OUTSIDE:
        walked.reach(name)
    for name in documented():
        if walked.exists(name):
            walked.reach(name)
    return walked
