"""The documentation says what is true now."""

import os
import re
from pathlib import Path
from types import ModuleType

import pytest
from loaded import loaded

ROOT = Path(__file__).parents[1]


def make_pages() -> ModuleType:
    return loaded(ROOT / "docs" / "make_pages.py")


@pytest.mark.parametrize(
    "name",
    [
        "commands.md",
        "evidence.md",
        "theory/materials.md",
        "wetend.1",
        "../src/wetend/cli/completions.json",
    ],
)
def test_written_pages_are_fresh(name: str) -> None:
    stale = f"docs/{name} is stale: run python docs/make_pages.py"
    assert (ROOT / "docs" / name).read_text("utf-8") == make_pages().PAGES[name](), stale


def test_every_setting_is_in_the_readme() -> None:
    code = "\n".join(p.read_text("utf-8") for p in (ROOT / "src").rglob("*.py"))
    settings = set(re.findall(r"WETEND_[A-Z]+(?:_[A-Z]+)*", code))
    readme = (ROOT / "README.md").read_text("utf-8")
    assert settings - set(re.findall(r"WETEND_[A-Z]+(?:_[A-Z]+)*", readme)) == set()


PROSE = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *sorted((ROOT / "docs").rglob("*.md"))]


@pytest.mark.parametrize("page", PROSE, ids=lambda p: p.name)
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\((?!https?:)([^)#]+)", page.read_text("utf-8")):
        assert (page.parent / target).exists(), (
            f"{page.name} links to {target}, which does not exist"
        )


def test_the_licence_is_there() -> None:
    assert "Apache License" in (ROOT / "LICENSE").read_text("utf-8")
    assert os.access(ROOT / ".ci" / "run", os.X_OK)
