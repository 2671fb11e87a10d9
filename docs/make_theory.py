"""Write the pages of docs/theory: each module's formulas, validity, sources and examples, and a figure.

``python docs/make_theory.py`` writes them; the tests fail when they are stale. Formulas and examples come from
the functions themselves, whose examples run with the tests; figures are drawn by theory_figures.py, which stops
where ours and a published figure part.
"""

from __future__ import annotations

import ast
import csv
import re
import sys
import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

DOCS = Path(__file__).parent
THEORY, SOURCE = DOCS / "theory", DOCS.parent / "src" / "wetend" / "physics"
sys.path.insert(0, str(DOCS))

import motion_figures as moving  # noqa: E402
import theory_figures as draw  # noqa: E402


@dataclass(frozen=True)
class Figure:
    """A figure of a page: its name, how it is drawn, and the line under it."""

    name: str
    make: Callable[[], str]
    caption: str


@dataclass(frozen=True)
class Page:
    """A page: the modules it tells of, and its figures."""

    name: str
    title: str
    modules: tuple[str, ...]
    figures: tuple[Figure, ...] = ()


def _agree(name: str, what: str, *modules: str) -> Figure:
    return Figure(f"{name}-agreement", lambda: draw.agreement(modules, what),
                  f"Every published figure that checks {what}: ours over the published, within the tolerance its row "
                  "names and why. Sources: [evidence](../evidence.md).")  # fmt: skip


PAGES: tuple[Page, ...] = (
    Page("flow-laws", "Flow laws of coatings", (
        "rheology.liquid", "rheology.newtonian", "rheology.power_law", "rheology.bingham", "rheology.herschel_bulkley",
        "rheology.fit",
    ), (
        Figure("flow-laws", draw.flow_laws, "Why the rates measured matter. Coulson and Richardson, Chemical Engineering "
               "vol. 1, 6th ed., ex. 3.10, as transcribed in the FOSSEE Python Textbook Companions."),
        Figure("transition", draw.transition, "The coal slurry is remembered from Chhabra and Richardson, Non-Newtonian "
               "Flow and Applied Rheology."),
    )),
    Page("cups", "Flow cups", ("rheology.cups",), (
        Figure("cups", draw.cups, "Rings: drain times of viscosity oils, Cannon Instrument, and the Zahn tables held in "
               "the chemicals library 1.5.2. They part by 14 to 50 %: a Zahn figure repeats your own work, no more."),
    )),
    Page("temperature", "Viscosity and temperature", ("rheology.temperature",), (
        Figure("temperature", draw.temperature, "Constants of Viswanath and Natarajan (1989) as held in the chemicals "
               "library; rings: reference equations at 20 and 25 °C. No published example of Andrade's two-constant law "
               "was found."),
    )),
    Page("thinning", "Thinning", ("rheology.thinning",), (
        Figure("thinning", draw.thinning, "The rule alone: no published table of a thinned coating was found."),
    )),
    Page("friction", "Friction in a bore", ("rheology.friction",), (
        Figure("friction", draw.friction, "The friction chart of Dodge and Metzner redrawn. Measured point: N. de Nevers, "
               "Fluid Mechanics for Chemical Engineers, 3rd ed., ex. 13.5, as transcribed in the FOSSEE Companions."),
    )),
    Page("hose", "Pressure along a hose", ("hose",), (_agree("hose", "hoses", "hose", "calc hose-loss"),)),
    Page("lines", "Lines of several hoses", ("lines",), (
        Figure("fittings", draw.fittings, "W. B. Hooper, Chemical Engineering, 24 August 1981, as held in the fluids "
               "library 1.3.1."),
    )),
    Page("nozzle", "Nozzles", ("nozzle",), (
        Figure("nozzle", draw.nozzle_coefficient, "Both limits are exact; between them the sum is good to about 10 %. No "
               "coefficient measured on an airless nozzle was found in print."),
        _agree("nozzle", "nozzles and orifices", "nozzle", "calc nozzle-flow"),
    )),
    Page("valves", "Ball valves", ("valves",), (
        Figure("drag", draw.drag, "The standard drag curve redrawn."),
        Figure("wall", draw.wall, "Haberman and Sayre's table is remembered from Happel and Brenner, table 7-3.1."),
        Figure("opening", draw.opening, "The published conical law holds the same at 45 degrees and small lifts; past "
               "them the ring that is narrowest moves, and the hole rules."),
    )),
    Page("falls", "A ball's way back", ("falls",), (
        Figure("fall", draw.fall, "No published times were found; the tests hold the solver to the closed form of slow "
               "flow and to free fall."),
    )),
    Page("leakage", "Leaks through gaps", ("leakage", "slits"), (
        Figure("eccentric", draw.eccentric, "A coating that thins with shear makes more of an eccentric ring than a "
               "newtonian liquid: 2.5 times becomes 4.4 at n = 0.5."),
        _agree("leakage", "leaks", "leakage", "calc gap-leak"),
    )),
    Page("channels", "Scores and grooves", ("channels", "grooves", "scored"), (
        Figure("ducts", draw.ducts, "The handbook's f Re of ducts redrawn, with profiles that handbooks leave out."),
        Figure("triangles", draw.triangles, "The handbook's 50.80 at ten degrees in heat-transfer tables does not "
               "reproduce; 49.90 does."),
        Figure("scored", draw.scored_ways, "Why a thinning coating in a scratch is solved: the short way is a third low "
               "at n = 0.5."),
    )),
    Page("seals", "Rings and packings", ("seals",), (
        Figure("stretch", draw.stretch, "Measured rings lose more: which law is used must be said."),
    )),
    Page("threads", "Screws and wrenches", ("threads",), (
        Figure("threads", draw.threads, "J. H. Bickford, Introduction to the Design and Behavior of Bolted Joints, table "
               "as printed at engineersedge.com."),
        _agree("threads", "screws and wrenches", "threads", "calc thread-torque", "calc wrench-extension"),
    )),
    Page("suction", "Suction", ("suction",), (
        Figure("atmosphere", draw.atmosphere, "A kilometre up, a tenth of the suction is gone."),
        Figure("acceleration", draw.acceleration, "For crank motion. An air or hydraulic drive turns round in its own "
               "time: there the reversal pressure counts."),
        _agree("suction", "suction", "suction", "calc suction-margin", "calc acceleration-head"),
    )),
    Page("filling", "Air, and how full the cylinder gets", ("air", "filling"), (
        Figure("air", draw.free_air, "Below one atmosphere air comes out of the coating; above it the free air goes in."),
    )),
    Page("displacement", "Displacement and slip", ("displacement",), (
        _agree("displacement", "displacement and slip", "displacement", "calc displacement"),
    )),
    Page("film", "Film and coverage", ("film",), (
        Figure("coverage", draw.coverage, "Published table: scribd.com document 290710110, printed to one decimal."),
    )),
    Page("circle", "Roundness", ("circle",), (
        Figure("circle", draw.circle, "NIST Algorithm Testing, data and reference fit as held in zdavkeos/balyrond, "
               "commit d078dcdb."),
    )),
    Page("stroke", "The steady stroke", ("stroke.steady", "stroke.gap", "stroke.parameters")),
    Page("motion", "The pump in time", (
        "motion.wet_end", "motion.nodes", "motion.passages", "motion.turns", "motion.parameters", "motion.twin",
        "motion.rosenbrock", "motion.integrator", "motion.simulate",
    ), (
        Figure("motion-cycle", moving.motion_cycle, "The down-stroke starts with a quick drop while the chamber below is "
               "pressed together; the hose evens out what the turns leave."),
        Figure("motion-rhythm", moving.motion_rhythm, "Where the steady model stops: the same leak, the same pump, hoses "
               "that give more and more."),
        Figure("motion-published", moving.motion_published, "F. Mazzia and C. Magherini, Test Set for Initial Value Problem "
               "Solvers, release 2.4 (2008): largest relative error of any state at the end, against the published "
               "solution."),
    )),
    Page("stackup", "The stack", ("stackup",)),
)  # fmt: skip


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


def page_text(page: Page, drawn: dict[str, str]) -> str:
    """A page as Markdown; ``drawn`` are its figures by name."""
    lines = [f"# {page.title}", "", "Written by `python docs/make_theory.py`.", ""]
    for figure in page.figures:
        alt = re.sub(r".*<title>(.*?)</title>.*", r"\1", drawn[figure.name], flags=re.S)
        lines += [f"![{alt}](figures/{figure.name}.svg)", "", f"*{figure.caption}*", ""]
    for module in page.modules:
        path = SOURCE / (module.replace(".", "/") + ".py")
        tree = ast.parse(path.read_text("utf-8"))
        lines += [f"## wetend.physics.{module}", "", _prose(ast.get_docstring(tree) or ""), ""]
        for node in _public(tree):
            lines += _told(node, ast.get_docstring(node) or "")
    return "\n".join(lines).rstrip() + "\n"


def materials_text() -> str:
    """The tables of properties, as they are held: units, values, source and how each was seen."""
    lines = [
        "# Tables of properties",
        "",
        "Written by `python docs/make_theory.py` from the tables themselves.",
        "",
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
    found = {"README.md": index_text(), "materials.md": materials_text()}
    for page in PAGES:
        drawn = {figure.name: figure.make() for figure in page.figures}
        found[f"{page.name}.md"] = page_text(page, drawn)
        found |= {f"figures/{name}.svg": svg for name, svg in drawn.items()}
    return found


if __name__ == "__main__":
    (THEORY / "figures").mkdir(parents=True, exist_ok=True)
    for name, text in everything().items():
        (THEORY / name).write_text(text, "utf-8")
