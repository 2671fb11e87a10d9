"""Write the pages of the documentation that the program itself can write.

``python docs/make_pages.py`` writes commands.md, evidence.md, the man page and the table that shells
complete by; the tests fail when they are stale.
"""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Iterator
from pathlib import Path

from typer.testing import CliRunner

from wetend.advice.calculators.catalogue import all_calculators
from wetend.cli.app import STAGES, app

DOCS = Path(__file__).parent
sys.path.insert(0, str(DOCS))
from command_tree import every  # noqa: E402
from make_man import completions, man_page  # noqa: E402

REFERENCE = DOCS.parent / "tests" / "reference"

NOT_FOUND = """\
## What could not be checked

Looked for and not found, so that the sums that rest on it have only a second route of our own, or are marked
"common practice" or "from memory" where they stand:

- a published worked example of a Herschel-Bulkley liquid in a pipe (checked by its limits and by integration);
- a published worked example of Andrade's equation with two constants;
- the text of ISO 2431, DIN 53211, ASTM D1200 and D4212 with their equations (the equations come from a secondary source);
- the worked text of the Hydraulic Institute on acceleration head (from memory, and self-consistent);
- rows of AS568 or ISO 3601 tables beyond the ring sections;
- a discharge coefficient measured on an airless spray tip;
- a published data set for the minimum zone (checked against independent optimisation);
- figures for hard chrome and for white spirit from a source in hand;
- a cited example of wet film with thinner added;
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


def _rows() -> Iterator[tuple[str, dict[str, str]]]:
    for path in sorted(REFERENCE.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                yield path.stem, row


def evidence_page() -> str:
    """Every published figure that is a test, by source."""
    rows = list(_rows())
    seen = sum(r["status"] != "memory" for _, r in rows)
    lines = [
        "# Evidence", "", "Written by `python docs/make_pages.py` from `tests/reference/`.", "",
        f"{len(rows)} published figures are tests: {seen} read in the source named (or in the transcription or "
        f"library it names), {len(rows) - seen} recalled and marked *from memory*.", "",
        "| check | what it checks | expected | within | source |", "|---|---|---|---|---|",
    ]  # fmt: skip
    for _, r in rows:
        expected = json.loads(r["expected"]) if r["expected"][:1] in "[{" else r["expected"]
        told = (
            ", ".join(f"{k} {v}" for k, v in expected.items())
            if isinstance(expected, dict)
            else str(expected)
        )
        source = r["source"].replace("|", "/")
        lines.append(
            f"| {r['id']} | `{r['calls'].removeprefix('wetend.')}` | {told.replace('|', '/')} | {r['tolerance']} "
            f"| {source} |"
        )
    return "\n".join(lines) + "\n\n" + NOT_FOUND


PAGES = {
    "commands.md": commands_page, "evidence.md": evidence_page, "wetend.1": man_page,
    "../src/wetend/cli/completions.json": completions,
}  # fmt: skip

if __name__ == "__main__":
    for name, write in PAGES.items():
        (DOCS / name).write_text(write(), "utf-8")
