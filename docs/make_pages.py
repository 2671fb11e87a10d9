"""Write the pages of the documentation that the program itself can write.

``python docs/make_pages.py`` writes commands.md, evidence.md, theory/materials.md, the man page and the table
that shells complete by; the tests fail when they are stale.
"""

from __future__ import annotations

import csv
import json
import sys
from pathlib import Path

from typer.testing import CliRunner

from wetend.advice.calculators.catalogue import all_calculators
from wetend.cli.app import STAGES, app

DOCS = Path(__file__).parent
ROOT = DOCS.parent
sys.path[:0] = [str(DOCS), str(ROOT / "tests" / "shared"), str(ROOT / "benchmarks")]
from command_tree import every  # noqa: E402
from loaded import loaded  # noqa: E402
from make_man import completions, man_page  # noqa: E402

REFERENCE = ROOT / "tests" / "reference"
TABLES = ROOT / "src" / "wetend" / "materials" / "data"

NOT_FOUND = """\
## What could not be checked

Looked for and not found, so that the sums that rest on it have only a second route of our own, or are marked
"common practice" or "from memory" where they stand:

- a published worked example of a Herschel-Bulkley liquid in a pipe (checked by its limits and by integration);
- a published worked example of Andrade's equation with two constants;
- the text of ISO 2431, DIN 53211, ASTM D1200 and D4212 with their equations (the equations come from a secondary source);
- the worked text of the Hydraulic Institute on acceleration head (from memory, and self-consistent);
- rows of AS568 or ISO 3601 tables; the ring sections rest on a supplier's size chart;
- a discharge coefficient measured on an airless spray tip;
- a published data set for the minimum zone (checked against independent optimisation);
- figures for hard chrome and for white spirit from a source in hand;
- a cited example of wet film with thinner added;
- where an elbow stops on its stack, and which fault a set of readings means: nothing is published on piston spray pumps (checked
  by their parts: the wrapped normal, Bayes' rule, the order of jobs);
- lives of wet-end parts: no open data set of piston spray pumps is known.
"""


def _heading(lines: list[str], text: str, level: int) -> None:
    lines += ["", "#" * level + " " + text, ""]


def _help(*words: str) -> str:
    done = CliRunner().invoke(app, [*words, "--help"], env={"COLUMNS": "100"}, prog_name="wetend")
    return "\n".join(line.rstrip() for line in done.output.strip().splitlines())


ABOUT = """\
Written by `python docs/make_pages.py`. The same is said by `wetend`, `wetend COMMAND --help` and `man wetend`.

Fields are given as `name=value`, in any order. A value carries its unit (`"38 mm"`, `"1 1/2 in"`, `"200 bar"`); without one it is in
the unit that stands in brackets, which goes by `--units`. Options that hold for every command (`--depot`, `--who`, `--place`,
`--units`) go before the command's name.

`--json` answers in UTF-8 with nothing else on standard output. Numbers in it are SI: metres, cubic metres, seconds, pascals,
kelvins, radians, kilograms; a share is from 0 to 1. A name that ends in a unit is in that unit (`minutes`, `bytes`)."""


def commands_page() -> str:
    """Every command's help by stage of the job, then every calculator."""
    lines = ["# Commands", "", ABOUT]
    nodes = list(every())
    for stage, names in STAGES.items():
        _heading(lines, stage, 2)
        lines.pop()
        for name in names:
            _heading(lines, f"wetend {name}", 3)
            for node in (n for n in nodes if n.words[0] == name):
                lines += ["```text", _help(*node.words), "```", ""]
            lines.pop()
    _heading(lines, "Calculators", 2)
    lines.append("`wetend calc NAME field=value ... [--json]`; a value without a unit is SI.")
    for c in sorted(all_calculators(), key=lambda c: c.name):
        _heading(lines, c.name, 3)
        lines += [f"{c.title}.", "", f"`{c.formula}`", ""]
        for f in c.fields:
            unit = f" [{f.unit.kind.si}]" if f.unit else ""
            choices = f": {', '.join(f.choices)}" if f.choices else ""
            need = "" if f.required else ", may be left out"
            lines.append(f"- `{f.name}=`{unit}{choices}{need}. {f.hint}".rstrip())
        gives = ", ".join(
            f"`{name}`" + (f" [{o.unit.kind.si}]" if o.unit else "")
            for name, o in c.outputs.items()
        )
        typed = " ".join(f'{k}="{v}"' if " " in v else f"{k}={v}" for k, v in c.example.items())
        lines += ["", f"Gives {gives}. Source: {c.source}. Holds: {c.validity}", "",
                  f"    wetend calc {c.name} {typed}"]  # fmt: skip
    return "\n".join(lines) + "\n"


def _table(lines: list[str], head: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    lines += [f"| {' | '.join(head)} |", "|---" * len(head) + "|"]
    lines += [f"| {' | '.join(cell.replace('|', '/') for cell in row)} |" for row in rows]


def _expected(text: str) -> str:
    expected = json.loads(text) if text[:1] in "[{" else text
    return ", ".join(f"{k} {v}" for k, v in expected.items()) if isinstance(expected, dict) else str(expected)


def evidence_page() -> str:
    """Every published figure and every other outside check that is a test."""
    tests = loaded(REFERENCE / "test_reference.py")
    rows, checks = [row for _, row in tests.ROWS], tests.CHECKS
    seen = sum(r["status"] != "memory" for r in rows)
    lines = [
        "# Evidence", "", "Written by `python docs/make_pages.py` from `tests/reference/`.", "",
        f"{len(rows) + len(checks)} figures from outside are tests, no two alike, each of a function or calculator that a page, a "
        f"command or a calculator reaches: {len(rows)} printed ones, of which {seen} were read in the source named (or in the "
        f"transcription or library it names) and {len(rows) - seen} are recalled and marked *from memory*, and {len(checks)} that "
        "another library, a published case or a textbook's formula answers at each run.",
    ]  # fmt: skip
    _heading(lines, "Printed figures", 2)
    _table(lines, ("check", "what it checks", "expected", "within", "source"), [
        (r["id"], f"`{r['calls'].removeprefix('wetend.')}`", _expected(r["expected"]), r["tolerance"], r["source"]) for r in rows
    ])  # fmt: skip
    _heading(lines, "Answered at each run by something else", 2)
    _table(lines, ("check", "what it checks", "by", "within", "why within", "how"), [
        (c.id, f"`{c.calls.removeprefix('wetend.')}`" + (f": {c.picked}" if c.picked else ""), c.status, f"{c.tolerance:g}",
         c.why, c.source) for c in checks
    ])  # fmt: skip
    _heading(lines, "Each kind of answer", 2)
    _table(lines, ("answer", "checked on its way to a user by"), [
        (kind, ", ".join(f"`{name}`" for name in ids)) for kind, (_, ids) in tests.ANSWERS.items()
    ])  # fmt: skip
    return "\n".join(lines) + "\n\n" + NOT_FOUND


MATERIALS = """\
# Tables of properties

Written by `python docs/make_pages.py` from the tables that the program reads, with where each value comes from.

```{figure} figures/solvent-viscosity.svg
:alt: "Viscosity of solvents: lines through the values tabled at 20 and 40 °C, rings by reference equations."

A second route, no measurement of ours: reference equations in CoolProp 8.0.0, and Perry's Chemical Engineers'
Handbook, 8th ed., as held in chemicals 1.5.2.
```

```{figure} figures/solvent-vapour.svg
:alt: "Vapour pressure of solvents: lines through the values tabled at 20 and 40 °C, rings by reference equations."

The same for vapour pressure, which sets what suction may draw.
```
"""


def materials_page() -> str:
    """The tables of properties, as they are held: units, values, source and how each was seen."""
    lines = [MATERIALS.rstrip()]
    for path in sorted(TABLES.glob("*.csv")):
        text = path.read_text("utf-8").splitlines()
        about = dict(line.lstrip("# ").split(":", 1) for line in text if line.startswith("#"))
        names, units, *rows = csv.reader(line for line in text if line and not line.startswith("#"))
        _heading(lines, about["title"].strip().capitalize(), 2)
        lines += [about.get("note", "").strip(), ""]
        _table(lines, tuple(f"{n} [{u}]" if u else n for n, u in zip(names, units, strict=True)), [tuple(r) for r in rows])
    return "\n".join(lines) + "\n"


PAGES = {
    "commands.md": commands_page, "evidence.md": evidence_page, "theory/materials.md": materials_page, "wetend.1": man_page,
    "../src/wetend/cli/completions.json": completions,
}  # fmt: skip

if __name__ == "__main__":
    for name, write in PAGES.items():
        (DOCS / name).write_text(write(), "utf-8")
