"""The reference has a page for each module, and figures that are checked while they are drawn.

The pages themselves are built by ``make docs``, which ``.ci/run`` runs: there a figure that is not
drawn, a formula that can't be shown or a name that leads nowhere stops the build.
"""

import ast
import re
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

import pytest
from loaded import loaded

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
SOURCE = ROOT / "src" / "wetend"


def _modules(*packages: str) -> set[str]:
    found = (p for package in packages for p in (SOURCE / package).rglob("*.py"))
    return {".".join(p.relative_to(SOURCE.parent).with_suffix("").parts)
            for p in found if p.stem != "__init__"}  # fmt: skip


def _shown() -> Counter[str]:
    """Modules whose docstrings the pages show."""
    pages = (p.read_text("utf-8") for p in DOCS.rglob("*.md"))
    return Counter(re.findall(r"^\.\. automodule:: ([\w.]+)$", "\n".join(pages), re.MULTILINE))


def test_every_module_of_physics_statistics_and_materials_stands_on_one_page() -> None:
    shown = _shown()
    assert _modules("physics", "stats", "materials") - set(shown) == set()
    assert [m for m, pages in shown.items() if pages > 1] == []


def test_a_figure_is_the_same_at_every_drawing(tmp_path: Path) -> None:
    plot = loaded(DOCS / "figures" / "plot.py")
    scales = plot.Axis("length, mm", 1, 100, log=True), plot.Axis("share, %", 0, 10)
    for name in ("one.svg", "two.svg"):
        drawn = plot.Plot(*scales).law(lambda x: x / 10, "ours").points([10.0], [1.0], "published")
        drawn.save(tmp_path / name)
    text = (tmp_path / "one.svg").read_text("utf-8")
    assert text == (tmp_path / "two.svg").read_text("utf-8")
    words = "".join(ElementTree.fromstring(text).itertext())
    assert all(word in words for word in ("length, mm", "share, %", "ours", "published"))


def test_a_figure_off_its_published_value_stops_the_build() -> None:
    near = loaded(DOCS / "figures" / "published.py").near
    near(1.0, 1.001, 0.002)
    with pytest.raises(ValueError, match="published"):
        near(1.0, 1.1, 0.05)


ORIGIN = re.compile(r"[Ss]ource|from memory|of ours|our own|[Ss]tatics|[Gg]eometry|[Dd]efinition")


def test_each_function_of_the_physics_has_an_example_and_says_where_it_comes_from() -> None:
    folder = SOURCE / "physics"
    bare = []
    for path in sorted(folder.rglob("*.py")):
        if {"motion", "stroke", "cycle"} & set(path.relative_to(folder).parts):
            continue
        for node in ast.parse(path.read_text("utf-8")).body:
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            if any(isinstance(d, ast.Name) and d.id == "overload" for d in node.decorator_list):
                continue
            told = ast.get_docstring(node) or ""
            if ">>>" not in told or not ORIGIN.search(told):
                bare.append(f"{path.stem}.{node.name}")
    assert bare == [], ", ".join(bare)


def test_every_table_of_properties_is_shown_with_its_sources() -> None:
    page = (DOCS / "theory" / "materials.md").read_text("utf-8")
    for path in (SOURCE / "materials" / "data").glob("*.csv"):
        keys = [line.split(",")[0] for line in path.read_text("utf-8").splitlines()
                if line and line[0] not in "#,"]  # fmt: skip
        assert all(f"| {key} |" in page for key in keys), path.name
