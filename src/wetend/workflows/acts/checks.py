"""Complaint and running checks as acts: the best of the checks first, by the diagnosis."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from wetend.advice.diagnosis.answers import Diagnosis, Prediction
from wetend.advice.diagnosis.checks import CHECKS, Check, checks_for
from wetend.pump.readings import CheckReadings
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.units.quantity import Creep, CycleRate, Pa, S, Unit, unit_of
from wetend.units.show import show
from wetend.workflows.acts.act import Act
from wetend.workflows.checks import ChecksView

FIELDS: Final[Mapping[str, tuple[str, ...]]] = {
    "nozzle-turn": ("nozzle_turned",),
    "wet-cup": ("wet_cup",),
    "outside": ("outside_looked",),
    "changeover": ("changeover",),
    "early-drop": ("drop",),
    "gauge-spray": ("spray_pressure",),
    "supply": ("supply_pressure",),
    "air": ("air_seen",),
    "cycles": ("cycle_rate",),
    "gauge-stall": ("stall_pressure",),
    "strokes": ("up_times", "down_times"),
    "suction-lifted": ("suction_lifted",),
    "slow": ("slow_drop",),
    "wash": ("wash",),
    "fresh-suction": ("fresh_suction",),
    "creep": ("creep_up", "creep_down"),
    "nozzle": ("nozzle_changed",),
    "creep-place": ("creep_place",),
    "bucket": ("bucket_volume", "bucket_time", "bucket_cycles"),
    "filter": ("filter_looked",),
    "solvent": ("solvent_test",),
}
"""What each check that is one act asks for. The others are several of these at once."""
_MORE: Final[Mapping[str, tuple[str, ...]]] = {
    "changeover": ("turn_pause",), "slow": ("air_seen",), "creep": ("stall_pressure",),
    "early-drop": ("early_drop",), "strokes": ("cycle_rate", "temperature"),
}  # fmt: skip
_TITLES: Final = {
    "bucket": Message("Pump from a measuring pail, counting cycles"),
    "wash": Message("Wash it through the dump valve, then stall it"),
    "strokes": Message("Tap at each turn of the rod"),
}
"""Titles that begin with a verb, where the check's own does not, or says less."""
_SOUND: Final[Mapping[str, tuple[str, Unit]]] = {
    "up_times": ("up_time", unit_of(S)), "down_times": ("down_time", unit_of(S)),
    "spray_pressure": ("spray_pressure", unit_of(Pa)),
    "stall_pressure": ("stall_pressure", unit_of(Pa)),
    "creep_up": ("creep_up", unit_of(Creep)), "creep_down": ("creep_down", unit_of(Creep)),
    "cycle_rate": ("cycle_rate", unit_of(CycleRate)),
}  # fmt: skip


def sound_of(healthy: Prediction | None, fields: tuple[str, ...]) -> dict[str, str]:
    """What a sound pump reads, by field."""
    if healthy is None:
        return {}
    return {
        name: show(getattr(healthy, _SOUND[name][0]), _SOUND[name][1])
        for name in fields
        if name in _SOUND
    }


def complaint(visit: Visit) -> Act:
    """Hearing the crew."""
    return Act(
        "crew", "complaint", Message("Ask the crew what they see"), "complaint",
        ("seen",), ("said", "since"), minutes=2.0, done=visit.complaint is not None,
    )  # fmt: skip


def coating(visit: Visit) -> Act:
    """Naming the coating in the pump."""
    return Act(
        "coating", "checks", Message("Choose the coating in the pump"), "coating", ("coating",),
        minutes=0.5, done=visit.coating is not None,
    )  # fmt: skip


def _is_read(readings: CheckReadings | None, fields: tuple[str, ...]) -> bool:
    if readings is None:
        return False
    blank = CheckReadings()
    return all(getattr(readings, name) != getattr(blank, name) for name in fields)


def _order(checks: tuple[Check, ...], diagnosis: Diagnosis | None) -> list[str]:
    """Keys of single checks, those most worth their minutes first."""
    keys = [c.key for c in checks if c.key in FIELDS]
    if diagnosis is None:
        return ["strokes", *(k for k in keys if k != "strokes")]
    ranked: dict[str, None] = {}
    for advised in diagnosis.checks:
        ranked |= dict.fromkeys(_single(advised.key))
    return [*(k for k in ranked if k in keys), *(k for k in keys if k not in ranked)]


def _single(key: str) -> tuple[str, ...]:
    """The single checks that a check is made of."""
    if key in FIELDS:
        return (key,)
    reads = next((set(c.reads) for c in CHECKS if c.key == key), set())
    return tuple(c.key for c in CHECKS if c.key in FIELDS and set(c.reads) <= reads)


def acts(seen: ChecksView) -> Iterator[Act]:
    """The checks in the order that tells most for its minutes.

    Until something is read there is nothing to rank them by: then strokes first, and the quickest
    next. Those that save no more than they take are left to whoever wants them.
    """
    visit, diagnosis = seen.visit, seen.diagnosis
    readings = visit.readings
    by_key: dict[str, Check] = {c.key: c for c in checks_for(visit.pump)}
    saves = {c.key: c.minutes_saved for c in diagnosis.checks} if diagnosis else {}
    worthy = diagnosis is None or (diagnosis.best is not None and not diagnosis.stop_asking)
    best = {k for c in diagnosis.checks if c.worth for k in _single(c.key)} if diagnosis else set()
    could_not = readings.could_not if readings else ()
    for key in _order(tuple(by_key.values()), diagnosis):
        check, fields = by_key[key], FIELDS[key]
        first = {"pressure off", "opens"} & set(check.acts)
        yield Act(
            key, "checks", _TITLES.get(key, check.title), "check-readings", fields,
            _MORE.get(key, ()), how=check.how, minutes=check.minutes, worth=saves.get(key),
            cautions=check.cautions, done=_is_read(readings, fields),
            cannot="" if key in could_not else None,
            due=worthy and (not first if diagnosis is None else key in best),
            zero=bool(first), under_pressure="opens" not in first,
            sound=sound_of(seen.healthy, (*fields, *_MORE.get(key, ()))),
        )  # fmt: skip
