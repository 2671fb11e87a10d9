"""The theory pages say what the functions say now, and their figures are drawn from them."""

import ast
import re
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import pytest
from loaded import loaded

ROOT = Path(__file__).parents[1]
THEORY = ROOT / "docs" / "theory"


def _loaded() -> ModuleType:
    return loaded(ROOT / "docs" / "make_theory.py")


@pytest.fixture(scope="module")
def theory() -> ModuleType:
    return _loaded()


@pytest.fixture(scope="module")
def written(theory: ModuleType) -> dict[str, str]:
    """Every file as it would be written now; a figure off its published values stops here."""
    return theory.everything()


NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def _same(name: str, one: str, other: str) -> bool:
    """Pages to the letter; figures to a third of a unit: the last digit of a machine is free."""
    if not name.endswith(".svg"):
        return one == other
    if NUMBER.split(one) != NUMBER.split(other):
        return False
    pairs = zip(NUMBER.findall(one), NUMBER.findall(other), strict=True)
    return all(abs(float(a) - float(b)) < 0.35 for a, b in pairs)


def test_every_page_and_figure_is_fresh(written: dict[str, str]) -> None:
    stale = [
        name
        for name, text in written.items()
        if not (THEORY / name).exists() or not _same(name, (THEORY / name).read_text("utf-8"), text)
    ]
    assert stale == [], "run python docs/make_theory.py"


def test_no_page_or_figure_is_left_over(written: dict[str, str]) -> None:
    there = {p.relative_to(THEORY).as_posix() for p in THEORY.rglob("*") if p.is_file()}
    assert there - set(written) == set()


def test_every_module_of_the_physics_has_a_page(theory: ModuleType) -> None:
    told = {m for page in theory.PAGES for m in page.modules}
    folder = ROOT / "src" / "wetend" / "physics"
    modules = {p.relative_to(folder).with_suffix("").as_posix().replace("/", ".")
               for p in folder.rglob("*.py") if p.stem != "__init__"}  # fmt: skip
    # the parts of the two stroke models share a page each
    single = {m for m in modules if not m.startswith(("motion.", "stroke."))}
    assert single - told == set()


def test_pages_hold_formulas_sources_examples_and_no_markup_of_the_docstrings(
    written: dict[str, str],
) -> None:
    for name, text in written.items():
        if not name.endswith(".md") or name in ("README.md", "materials.md"):
            continue
        assert "```math" in text, name
        assert "```pycon" in text or name == "stroke.md", name
        assert re.search(r"[Ss]ource|from memory", text), name
        assert not re.search(r":(?:func|math|mod|class):|\.\. math::|\\ :sup:", text), name


def test_figures_are_sound_svg_with_title_and_text(written: dict[str, str]) -> None:
    for name, text in written.items():
        if name.endswith(".svg"):
            root = ElementTree.fromstring(text)
            assert root.find("{http://www.w3.org/2000/svg}title") is not None, name
            assert root.find("{http://www.w3.org/2000/svg}desc") is not None, name
            assert "nan" not in text, name


def test_a_figure_off_its_published_value_stops_the_build(theory: ModuleType) -> None:
    theory.draw.near(1.0, 1.001, 0.002)
    with pytest.raises(ValueError, match="published"):
        theory.draw.near(1.0, 1.1, 0.05)


ORIGIN = re.compile(r"[Ss]ource|from memory|of ours|our own|[Ss]tatics|[Gg]eometry|[Dd]efinition")


def test_each_function_of_the_physics_has_an_example_and_says_where_it_comes_from() -> None:
    folder = ROOT / "src" / "wetend" / "physics"
    bare = []
    for path in sorted(folder.rglob("*.py")):
        if {"motion", "stroke"} & set(path.relative_to(folder).parts):
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


def test_every_table_of_properties_is_shown_with_its_sources(written: dict[str, str]) -> None:
    page = written["materials.md"]
    for path in (ROOT / "src" / "wetend" / "materials" / "data").glob("*.csv"):
        keys = [line.split(",")[0] for line in path.read_text("utf-8").splitlines()
                if line and line[0] not in "#,"]  # fmt: skip
        assert all(f"| {key} |" in page for key in keys), path.name
