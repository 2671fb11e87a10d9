"""Questions a lead asks of the whole depot, and the table of lives for those who fit their own."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta

from wetend.advice.life.questions import (
    BackRow,
    RateRow,
    back_by,
    by_month,
    coating_class,
    pareto,
    rates_by,
)
from wetend.pump.sign_off import SignOff
from wetend.pump.usage import PART_WORDS
from wetend.records.corrections import standing
from wetend.records.fold import fold_history
from wetend.units.message import Message
from wetend.workflows.desk import Desk
from wetend.workflows.exporting import csv_text
from wetend.workflows.life_facts import facts

BACK = timedelta(days=30)
"""A pump visited again within so long after it was signed off came back."""
LIFE_HEAD = ("pump", "site", "part", "fitted", "ended", "ending", "low [m Pa]", "high [m Pa]",
             "spread of log", "pumped [m^3]", "coating class", "turned")  # fmt: skip
_KINDS = ("visit-started", "complaint", "sign-off", "part-fitted", "withdrawn")


_CLASS_WORDS = {
    "mild": Message("mild coatings"), "moderate": Message("moderate coatings"),
    "abrasive": Message("abrasive coatings"), "very abrasive": Message("very abrasive coatings"),
}  # fmt: skip


@dataclass(frozen=True)
class QuestionsView:
    """The answers, each a table with its intervals."""

    sites: tuple[RateRow, ...]
    pumps: tuple[RateRow, ...]
    coatings: tuple[RateRow, ...]
    back: tuple[BackRow, ...]
    parts: tuple[tuple[str, int], ...]
    """Failures by part, in words, the most first."""
    months: tuple[tuple[str, int], ...]
    lives: int


def view(desk: Desk) -> QuestionsView:
    """What the record of all pumps answers."""
    known = facts(desk)
    lives = known.fleet.lives
    names = {key: own.pump.name for key, own in known.pumps.items()}
    return QuestionsView(
        sites=rates_by(lives, lambda life: life.site),
        pumps=rates_by(lives, lambda life: names.get(life.pump, life.pump)),
        coatings=rates_by(lives, lambda life: _CLASS_WORDS[coating_class(life)]),
        back=back_by(_rebuilds(desk)),
        parts=tuple((PART_WORDS[part], n) for part, n in pareto(lives)), months=by_month(lives),
        lives=len(lives),
    )  # fmt: skip


def _rebuilds(desk: Desk) -> dict[str, list[bool]]:
    """By who signed: whether each visit that fitted something was followed by another soon."""
    entries = desk.depot.entries(kinds=_KINDS)
    signed = {s.entry.visit: s.noun.technician for s in standing(entries)
              if isinstance(s.noun, SignOff)}  # fmt: skip
    history = fold_history(entries)
    starts: dict[str, list[tuple[str, datetime]]] = defaultdict(list)
    for visit in history:
        starts[visit.pump].append((visit.id, visit.started))
    found: dict[str, list[bool]] = defaultdict(list)
    for visit in history:
        who = signed.get(visit.id, "")
        if visit.signed is None or not visit.fitted or not who:
            continue
        back = any(
            visit.signed < started <= visit.signed + BACK
            for other, started in starts[visit.pump]
            if other != visit.id
        )
        found[who].append(back)
    return dict(found)


def lives_rows(desk: Desk) -> list[tuple[object, ...]]:
    """Every recorded life under :data:`LIFE_HEAD`: right-censored ones as ``going``, interval ones
    as ``between``; wear as of a mild coating is the exposure that forecasts use.
    """
    return [
        (life.pump, life.site, life.part, life.fitted, life.ended, life.ending, life.low, life.high,
         life.spread, life.pumped, coating_class(life), life.turned)
        for life in facts(desk).fleet.lives
    ]  # fmt: skip


def lives_csv(desk: Desk) -> str:
    """The same as CSV."""
    return csv_text(LIFE_HEAD, lives_rows(desk))
