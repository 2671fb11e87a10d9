"""Write the pages of docs/theory: each module's formulas, validity, sources and examples, and a figure.

``python docs/make_theory.py`` writes them; the tests fail when they are stale. Formulas and examples come from
the functions themselves, whose examples run with the tests; figures are drawn by the files *_figures.py, which
stop where ours and a published figure part.
"""

from __future__ import annotations

import ast
import csv
import re
import sys
import textwrap
from collections.abc import Iterable
from pathlib import Path

DOCS = Path(__file__).parent
THEORY, SOURCE = DOCS / "theory", DOCS.parent / "src" / "wetend" / "physics"
sys.path[:0] = [str(DOCS), *(str(DOCS.parent / place) for place in ("benchmarks", "tests/shared"))]

import theory_figures as draw  # noqa: E402, F401  # the tests reach it through here
from theory_pages import PAGES, TABLES, Figure, Page  # noqa: E402


def _prose(text: str) -> str:
    """Docstring prose as Markdown: formulas in fences, roles as code."""
    text = re.sub(r"^([ ]*\.\. math::)\n\n(?=[ ])", r"\1\n", text, flags=re.M)
    text = re.sub(
        r":(?:func|mod|class|data|meth):`~?([^`]+)`",
        lambda m: f"`{m[1].removeprefix('wetend.physics.').lstrip('.')}`",
        text,
    )
    text = re.sub(r":math:`([^`]+)`", r"$`\1`$", text, flags=re.S)
    text = re.sub(r"(?<!`)``([^`]+)``(?!`)", r"`\1`", text)
    text = re.sub(r"\\ :sup:`([^`]+)`", r"<sup>\1</sup>", text)

    def fenced(match: re.Match[str]) -> str:
        body = (
            textwrap.dedent(match[1]).strip()
            if match[1].strip()
            else textwrap.dedent(match[2]).strip()
        )
        return f"```math\n{body}\n```\n\n"

    return re.sub(r"^\.\. math::[ ]?(.*(?:\n[ ]+.*)*)()\n*", fenced, text, flags=re.M).strip()


def _split(doc: str) -> tuple[str, str, list[str]]:
    """Prose, refusals and examples of a docstring."""
    examples = re.findall(r"^>>> .*(?:\n(?!\n).*)*", doc, flags=re.M)
    for example in examples:
        doc = doc.replace(example, "")
    raises = ""
    found = re.search(r"^Raises:\n((?:[ ]+.*\n?)+)", doc, flags=re.M)
    if found:
        raises = textwrap.dedent(found[1]).strip()
        doc = doc.replace(found[0], "")
    return doc.strip(), raises, examples


def _signature(node: ast.FunctionDef) -> str:
    bare = ast.FunctionDef(name=node.name, args=node.args, body=[ast.Expr(ast.Constant(...))], decorator_list=[],
                           returns=node.returns, type_params=[], lineno=0, col_offset=0)  # fmt: skip
    return ast.unparse(bare).splitlines()[0].removesuffix(":")


def _told(node: ast.FunctionDef | ast.ClassDef, doc: str) -> list[str]:
    prose, raises, examples = _split(doc)
    head, _, rest = prose.partition("\n\n")
    lines = [f"### {node.name}", "", _prose(head), ""]
    if isinstance(node, ast.FunctionDef):
        lines += ["```python", _signature(node), "```", ""]
    if rest.strip():
        lines += [_prose(rest), ""]
    if raises:
        lines += ["Refuses: " + _prose(" ".join(raises.split())), ""]
    if examples:
        lines += ["```pycon", "\n".join(examples), "```", ""]
    return lines


def _public(tree: ast.Module) -> list[ast.FunctionDef | ast.ClassDef]:
    found = []
    for node in tree.body:
        if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("_"):
            continue
        if any(isinstance(d, ast.Name) and d.id == "overload" for d in node.decorator_list):
            continue
        if ast.get_docstring(node):
            found.append(node)
    return found


def _shown(figures: Iterable[Figure], drawn: dict[str, str]) -> list[str]:
    lines = []
    for figure in figures:
        alt = re.sub(r".*<title>(.*?)</title>.*", r"\1", drawn[figure.name], flags=re.S)
        lines += [f"![{alt}](figures/{figure.name}.svg)", "", f"*{figure.caption}*", ""]
    return lines


def page_text(page: Page, drawn: dict[str, str]) -> str:
    """A page as Markdown; ``drawn`` are its figures by name."""
    lines = [f"# {page.title}", "", "Written by `python docs/make_theory.py`.", ""]
    lines += _shown(page.figures, drawn)
    for module in page.modules:
        path = SOURCE / (module.replace(".", "/") + ".py")
        tree = ast.parse(path.read_text("utf-8"))
        lines += [f"## wetend.physics.{module}", "", _prose(ast.get_docstring(tree) or ""), ""]
        for node in _public(tree):
            lines += _told(node, ast.get_docstring(node) or "")
    return "\n".join(lines).rstrip() + "\n"


def materials_text(drawn: dict[str, str]) -> str:
    """The tables of properties, as they are held: units, values, source and how each was seen."""
    lines = [
        "# Tables of properties",
        "",
        "Written by `python docs/make_theory.py` from the tables themselves.",
        "",
        *_shown(TABLES, drawn),
    ]
    for path in sorted((SOURCE.parent / "materials" / "data").glob("*.csv")):
        text = path.read_text("utf-8").splitlines()
        told = dict(line.lstrip("# ").split(":", 1) for line in text if line.startswith("#"))
        names, units, *held = csv.reader(line for line in text if line and not line.startswith("#"))
        heads = [f"{n} [{u}]" if u else n for n, u in zip(names, units, strict=True)]
        lines += [f"## {told['title'].strip().capitalize()}", "", told.get("note", "").strip(), ""]
        lines += ["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads)]
        lines += ["| " + " | ".join(cell.replace("|", "/") for cell in row) + " |" for row in held]
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def index_text() -> str:
    """The list of pages."""
    lines = ["# Theory", "", "Written by `python docs/make_theory.py`: a page for each part of the physics, with its "
             "formulas, where they hold, their sources, examples that run, and figures redrawn from published tables "
             "and curves. A figure whose published values and ours part by more than it says stops the build.", ""]  # fmt: skip
    lines += [
        f"- [{page.title}]({page.name}.md): {', '.join(f'`{m}`' for m in page.modules)}"
        for page in PAGES
    ]
    return "\n".join(lines) + "\n"


def everything() -> dict[str, str]:
    """Every file of docs/theory, by its path there."""
    tables = {figure.name: figure.make() for figure in TABLES}
    found = {"README.md": index_text(), "materials.md": materials_text(tables)}
    found |= {f"figures/{name}.svg": svg for name, svg in tables.items()}
    for page in PAGES:
        drawn = {figure.name: figure.make() for figure in page.figures}
        found[f"{page.name}.md"] = page_text(page, drawn)
        found |= {f"figures/{name}.svg": svg for name, svg in drawn.items()}
    return found


if __name__ == "__main__":
    (THEORY / "figures").mkdir(parents=True, exist_ok=True)
    for name, text in everything().items():
        (THEORY / name).write_text(text, "utf-8")
