"""Facts from the record on one pump's life: use, parts fitted, expected use."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from statistics import fmean

from wetend.advice.life.exposure import Duty, Exposure, Ledger, duty_with, ledger_of, with_duty
from wetend.advice.life.next_repack import PACKINGS
from wetend.advice.life.nozzle_wear import USUAL_DENSITY, WORN_OUT, grown
from wetend.advice.life.records import Fitted, Life, lives_of, since_first
from wetend.advice.life.remaining import PartNow
from wetend.pump.coating import Coating
from wetend.pump.costs import CREW_DOES
from wetend.pump.description import Pump
from wetend.pump.measurements import CylinderMeasured, RodMeasured
from wetend.pump.readings import CheckReadings, SetUpRequest, SignOff
from wetend.pump.toml import demo_coatings
from wetend.pump.usage import LIFE_PARTS, PART_WORDS, LifePart, NozzleMeasured, PartFitted, Usage
from wetend.records.corrections import Said, standing
from wetend.records.entries import Entry, said_by
from wetend.records.fold import removals
from wetend.stats.wear_path import WearPoint
from wetend.units.quantity import KgPerM3

_Build = tuple[int, ...]
_NAMES = ("key", "name", "site")
PROVEN_SOUND = ("pass", "watch")
"""Proofs that a signature stands under which say that every part was sound that day.

One signed failed or not proven says nothing of the kind, nor does a wet end left shut, nor an old
signature with which no proof was kept.
"""
SAID_SPREAD = 0.3
"""Spread of the logarithm of what someone says was pumped since the repack: ours, no source."""


@dataclass(frozen=True)
class PumpFacts:
    """What is known of one pump, ready for the calculation."""

    pump: Pump
    day: Exposure
    """A mean calendar day to come: as recently, with the coating that is in the pump now."""
    lives: tuple[Life, ...]
    repairs: tuple[float, ...]
    """Wear since the record began at each repair."""
    worked: float
    """Wear since the record began until today."""
    parts: Mapping[LifePart, PartNow]
    since: date
    coating: str = ""
    """What is sprayed from now on, where that is another than recently."""
    removed: bool = False
    """Whether it is removed from the lists."""


def day_of(moment: datetime) -> date:
    """The day a moment lies in, UTC."""
    return moment.astimezone(UTC).date()


def coatings_of(entries: Iterable[Entry]) -> dict[str, Coating]:
    """Every coating ever in a pump here, by key, the latest of each; then the examples."""
    found = {c.key: c for c in demo_coatings()}
    read: set[str] = set()
    for entry in entries:
        if entry.payload in read:
            continue
        read.add(entry.payload)
        noun = said_by(entry)
        if isinstance(noun, Coating):
            found[noun.key] = noun
    return found


class Duties:
    """What a cycle costs, computed once for pumps that are alike."""

    def __init__(self, coatings: Mapping[str, Coating]) -> None:
        self.coatings = dict(coatings)
        self.held: dict[tuple[_Build, str], Duty] = {}
        self.alike: dict[_Build, Pump] = {}

    def _build(self, pump: Pump) -> _Build:
        """Alike for pumps that share their parts, as those read from the record do."""
        build = tuple(id(value) for name, value in pump if name not in _NAMES)
        self.alike.setdefault(build, pump)  # held, so that no other part comes to be of that id
        return build

    def of(self, pump: Pump, keys: Iterable[str]) -> dict[str, Duty]:
        """What a cycle costs with each coating that is known."""
        build = self._build(pump)
        found = {}
        for key in keys:
            if key not in self.coatings:
                continue
            if (build, key) not in self.held:
                self.held[build, key] = duty_with(pump, self.coatings[key])
            found[key] = self.held[build, key]
        return found


def _fitted(said: Sequence[Said]) -> list[Fitted]:
    """Lives begun: on a visit the latest word on each part counts, outside visits every one."""
    latest: dict[tuple[str, str], Said] = {}
    for each in said:
        if isinstance(each.noun, PartFitted):
            latest[each.entry.visit or each.entry.id, each.noun.part] = each
    found = []
    for each in latest.values():
        noun = each.noun
        if isinstance(noun, PartFitted) and noun.begins_a_life and noun.part in PART_WORDS:
            on = noun.on or day_of(each.entry.at)
            part = next(p for p in LIFE_PARTS if p == noun.part)
            found.append(Fitted(part, on, noun.why, noun.done == "turned"))
    return found


def _growth(pump: Pump, noun: object, density: KgPerM3) -> tuple[LifePart, float, float] | None:
    """Wear measured, with its standard uncertainty: of the bore, the rod and the nozzle's hole."""
    if isinstance(noun, CylinderMeasured) and noun.diameters:
        return "cylinder", max(fmean(noun.diameters) - pump.cylinder.bore, 0.0), 12e-6
    if isinstance(noun, RodMeasured) and noun.diameters:
        return "rod", max(pump.rod.diameter - fmean(noun.diameters), 0.0), 8e-6
    if isinstance(noun, NozzleMeasured | CheckReadings):
        worn = grown(pump.nozzle, noun, density)
        return ("nozzle", *worn) if worn else None
    return None


def _seen_on(said: Said) -> date:
    """The day something was measured."""
    on = said.noun.on if isinstance(said.noun, NozzleMeasured) else None
    return on or day_of(said.entry.at)


def _limits(pump: Pump) -> dict[LifePart, float]:
    """Most wear of what is measured."""
    return {"cylinder": pump.cylinder.wear_limit, "rod": pump.rod.wear_limit, "nozzle": WORN_OUT}


def _parts(
    pump: Pump, said: Sequence[Said], lives: Sequence[Life], ledger: Ledger
) -> dict[LifePart, PartNow]:
    now = {life.part: PartNow(life) for life in lives if life.ended is None}
    for part in LIFE_PARTS:
        if part not in now:
            assumed = since_first(pump.key, pump.site, ledger, part)
            now[part] = PartNow(assumed, assumed=True)
    _put_said(now, said, ledger)
    limits, density = _limits(pump), USUAL_DENSITY
    for each in said:
        if isinstance(each.noun, Coating):
            density = each.noun.density
        growth = _growth(pump, each.noun, density)
        if growth is None or growth[0] not in now:
            continue
        part, wear, error = growth
        life, at = now[part].life, _seen_on(each)
        if life is None or at <= life.fitted:
            continue
        lived = ledger.between(life.fitted, at).wear
        if lived > 0:
            looks = (*now[part].looks, WearPoint(lived, wear, error))
            now[part] = replace(now[part], looks=looks, limit=limits[part])
    return now


def _said_since(said: Sequence[Said]) -> tuple[float, date] | None:
    """What was said at a hand-over to have been pumped since the last repack, and on which day.

    The latest of each visit counts, so that the box emptied takes it back.
    """
    latest: dict[str | None, tuple[float, date] | None] = {}
    for each in said:
        noun = each.noun
        if isinstance(noun, SetUpRequest) and "pumped_since_repack" in noun.model_fields_set:
            litres = noun.pumped_since_repack
            latest.pop(each.entry.visit, None)
            latest[each.entry.visit] = None if litres is None else (litres, day_of(each.entry.at))
    return next((growth for growth in reversed(latest.values()) if growth is not None), None)


def _put_said(now: dict[LifePart, PartNow], said: Sequence[Said], ledger: Ledger) -> None:
    """The age of packings that nobody entered the fitting of, as somebody said it."""
    stated = _said_since(said)
    if stated is None:
        return
    per_litre = ledger.usual.wear / max(ledger.usual.pumped, 1e-12)
    since = ledger.between(stated[1], ledger.last)
    wear, litres = stated[0] * per_litre + since.wear, stated[0] + since.pumped
    for part in PACKINGS:
        life = now[part].life
        if now[part].assumed and life is not None:
            spread = math.hypot(life.spread, SAID_SPREAD)
            aged = replace(life, low=wear, high=max(wear, 1e-9), spread=spread, pumped=litres)
            now[part] = PartNow(aged, said=True)


def _changed(
    said: Sequence[Said], usages: Sequence[Usage], known: Mapping[str, Duty]
) -> Coating | None:
    """The coating in the pump now, where a visit put in another than its recent use was with."""
    chosen = next((s for s in reversed(said) if isinstance(s.noun, Coating)), None)
    used = [u for u in usages if u.coating in known]
    if chosen is None or not used or not isinstance(chosen.noun, Coating):
        return None
    last = max(used, key=lambda u: u.last)
    newer = day_of(chosen.entry.at) >= last.last and chosen.noun.key != last.coating
    return chosen.noun if newer and chosen.noun.key in known else None


def facts_of(pump: Pump, said: Sequence[Said], duties: Duties, today: date) -> PumpFacts:
    """One pump's facts from what its entries say."""
    usages = [s.noun for s in said if isinstance(s.noun, Usage)]
    fitted = _fitted(said)
    days = [day_of(s.entry.at) for s in said]
    first = min([*days, *(u.first for u in usages), *(f.on for f in fitted), today])
    seen = [s.noun.key for s in said if isinstance(s.noun, Coating)]
    known = duties.of(pump, {*seen, *(u.coating for u in usages if u.coating)})
    usual = known.get(seen[-1]) if seen else None
    ledger = ledger_of(pump, usages, known, first=first, last=today, usual=usual)
    changed = _changed(said, usages, known)
    day = with_duty(ledger.usual, pump, known[changed.key]) if changed else ledger.usual
    sound = [
        day_of(s.entry.at)
        for s in said
        if isinstance(s.noun, SignOff) and s.noun.proof in PROVEN_SOUND
    ]
    lives = lives_of(pump.key, pump.site, ledger, fitted, sound)
    hurt = ("worn out", "found worn", "damaged")
    worn = sorted({f.on for f in fitted if f.why in hurt and f.part not in CREW_DOES})
    return PumpFacts(
        pump=pump, day=day, lives=lives,
        repairs=tuple(ledger.between(first, on).wear for on in worn),
        worked=ledger.between(first, today).wear,
        parts=_parts(pump, said, lives, ledger), since=first,
        coating=changed.name if changed else "",
    )  # fmt: skip


def facts_from(entries: Iterable[Entry], duties: Duties, today: date) -> PumpFacts | None:
    """One pump's facts from its entries; ``None`` where none of them describes it."""
    given = list(entries)
    said = standing(given)
    described = [s.noun for s in said if isinstance(s.noun, Pump)]
    if not described:
        return None
    found = facts_of(described[-1], said, duties, today)
    return replace(found, removed=bool(removals(given)))
