"""Proof tests as rows of a table: what was read, against what, group by group."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from wetend.advice.prove.acts import GROUPS
from wetend.advice.prove.proof import Proof, ProofTest
from wetend.advice.reasons import Verdict
from wetend.reports.blocks import Cell
from wetend.reports.field_text import within
from wetend.units.kinds import System
from wetend.units.message import Message, as_message
from wetend.units.show import show

PROOF_HEADS = {
    GROUPS["bench"]: Message("Proof: on the bench"),
    GROUPS["stall"]: Message("Proof: at stall"),
    GROUPS["running"]: Message("Proof: running"),
    GROUPS["handover"]: Message("Proof: before hand-over"),
}
LATER_HEADS = {
    GROUPS["bench"]: Message("After the signature: on the bench"),
    GROUPS["stall"]: Message("After the signature: at stall"),
    GROUPS["running"]: Message("After the signature: running"),
    GROUPS["handover"]: Message("After the signature: before hand-over"),
}
"""What stands over a group's rows, and over those read after the signature."""


def title_cell(test: ProofTest) -> Cell:
    """The test's verdict, name and reason."""
    return Cell(test.title, test.verdict, quiet=test.why)


def reading_cell(test: ProofTest, system: System) -> Cell:
    """What was read or seen."""
    if test.seen:
        return Cell(as_message(test.seen))
    if test.value is None:
        idle = test.verdict is Verdict.NOT_APPLICABLE
        return Cell("" if idle else Message("not done") if test.by_looking else Message("not read"))
    return Cell(within(test.value, test.uncertainty or 0.0, test.unit, system))


def limit_cell(test: ProofTest, system: System) -> Cell:
    """The limit, and what a good rebuild keeps to where that is stricter."""
    if test.by_looking or test.verdict is Verdict.NOT_APPLICABLE:
        return Cell("")
    limit = Message(
        "{limit_is} {limit}", limit_is=test.limit_is, limit=show(test.limit, test.unit, system)
    )
    if test.good is None or test.good >= test.limit:
        return Cell(limit)
    return Cell(limit, quiet=Message("good: {good}", good=show(test.good, test.unit, system)))


def grouped(
    proof: Proof, row: Callable[[ProofTest], tuple[Cell, ...]]
) -> Iterator[tuple[str, tuple[tuple[Cell, ...], ...]]]:
    """Each group's name with a row for each of its tests."""
    for group, name in GROUPS.items():
        rows = tuple(row(test) for test in proof.tests if test.group == group)
        if rows:
            yield name, rows
