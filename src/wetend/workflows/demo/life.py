"""Use and parts fitted of the demo pumps: two invented years, month by month."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
from numpy.random import Generator

from wetend.advice.life.exposure import FILLING, TRIGGER, Duty, duty_with
from wetend.pump.catalogue import KEPT_UNDER, CatalogueItem, StockCounted
from wetend.pump.description import Pump
from wetend.pump.toml import demo_coatings
from wetend.pump.usage import LIFE_PARTS, PartFitted, Usage
from wetend.records.entries import Entry, EntryKind, new_entry
from wetend.units import kinds
from wetend.units.noun import Noun
from wetend.units.parse import read_quantity

_MONTHS = 24
_HURT: Mapping[str, tuple[int, ...]] = {"tank-farm": (170, 110, 62, 24)}
"""Days back on which a crew renewed its static packings, ever sooner: its wet cup runs dry."""
_FORGOTTEN = 0.12
"""Share of the months for which nobody entered anything."""


def fitted_nouns(facts: Mapping[str, Any]) -> Iterator[tuple[EntryKind, Noun]]:
    """Parts fitted on a visit of the scenario: ``"foot-seat turned, worn out"``."""
    for text in facts.get("parts", ()):
        what, _, why = text.partition(", ")
        part, _, turned = what.partition(" ")
        noun = PartFitted.model_validate({"part": part, "why": why, "done": turned or "new"})
        yield "part-fitted", noun


def _usage(
    row: Mapping[str, Any], pump: Pump, duty: Duty, first: date, last: date, litres: float
) -> Usage:
    """A month's use in the way this crew enters it."""
    cycles = litres / (pump.displacement * FILLING)
    ways: dict[str, dict[str, float]] = {
        "pumped": {"pumped": round(litres, 2)},
        "cycles": {"cycles": float(round(cycles))},
        "at_work": {"at_work": round(cycles / duty.rate / TRIGGER / 3600.0) * 3600.0},
        "area": {"area": round(litres / duty.build)},
    }
    given = ways[row["entered_by"]]
    return Usage.model_validate(
        {"first": first, "last": last, "coating": row["uses"], **given}
    )  # fmt: skip


def _months(
    row: Mapping[str, Any], pump: Pump, today: date, rng: Generator
) -> Iterator[tuple[date, Usage]]:
    coating = next(c for c in demo_coatings() if c.key == row["uses"])
    duty = duty_with(pump, coating)
    a_day = read_quantity(row["a_day"], kinds.VOLUME, bare="m^3")
    start = today - timedelta(days=_MONTHS * 30)
    for month in range(_MONTHS):
        first = start + timedelta(days=30 * month)
        last = first + timedelta(days=29)
        litres = a_day * 30 * float(np.exp(rng.normal(0.0, 0.25)))
        if rng.uniform() >= _FORGOTTEN:
            yield last, _usage(row, pump, duty, first, last, litres)


def life_entries(
    rows: Sequence[Mapping[str, Any]], fleet: Mapping[str, Pump], *, now: datetime, who: str
) -> list[Entry]:
    """Entries of use, and of the parts that new pumps came with."""
    rng = np.random.default_rng(31)
    kept: list[Entry] = []
    began = now - timedelta(days=729)
    for row in rows:
        pump = fleet[row["key"]]
        if row["new"]:
            for part in LIFE_PARTS:
                noun = PartFitted(part=part, why="first fitted", on=began.date())
                kept.append(_entry("part-fitted", noun, pump, who, began))
        kept += _nozzles(row, pump, now, who, rng)
        for back in _HURT.get(row["key"], ()):
            noun = PartFitted(
                part="static-packings", why="damaged", note="by the crew, wet cup dry"
            )
            kept.append(_entry("part-fitted", noun, pump, who, now - timedelta(days=back)))
        for day, usage in _months(row, pump, now.date(), rng):
            kept.append(_entry("usage", usage, pump, who, now - (now.date() - day)))
    return kept


def _nozzles(
    row: Mapping[str, Any], pump: Pump, now: datetime, who: str, rng: Generator
) -> list[Entry]:
    """The crew changes its nozzles itself, when the fan has gone."""
    kept, back = [], 700.0
    while (back := back - float(rng.gamma(6.0, row["nozzle_days"] / 6.0))) > 3:
        noun = PartFitted(part="nozzle", why="found worn", note="by the crew")
        kept.append(_entry("part-fitted", noun, pump, who, now - timedelta(days=back)))
    return kept


def _entry(kind: EntryKind, noun: Noun, pump: Pump, who: str, at: datetime) -> Entry:
    return new_entry(kind, noun, pump=pump.key, who=who, place=pump.site, device="demo", at=at)


def catalogue_entries(rows: Sequence[Mapping[str, Any]], *, now: datetime, who: str) -> list[Entry]:
    """The owner's catalogue, and what was counted of it some days ago."""
    kept: list[Entry] = []

    def put(kind: EntryKind, noun: Noun) -> None:
        kept.append(new_entry(kind, noun, pump=KEPT_UNDER, who=who, device="demo", at=now))

    for row in rows:
        given = {name: value for name, value in row.items() if name in CatalogueItem.model_fields}
        lead = row["lead_days"] * 86400.0
        put("catalogue-item", CatalogueItem.model_validate({**given, "lead": lead}))
        if "shelf" in row:
            count = {"number": row["number"], "shelf": row["shelf"], "van": row["van"]}
            put("stock-counted", StockCounted.model_validate(count))
    return kept
