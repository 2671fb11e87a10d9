"""Proof tests before hand-over: guards, hose, bonding, pressure, trigger lock, dump, gauge."""

from __future__ import annotations

from typing import Final

from wetend.advice.prove.acts import ACTS
from wetend.advice.prove.answer import ProofTest
from wetend.advice.prove.bench_tests import NOT_READ
from wetend.advice.prove.limits import Allowed
from wetend.advice.prove.reading import Plan, Reading, doubtful, judged, seen, unread
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Figure
from wetend.pump.measurements import ProofReadings
from wetend.units.message import Message
from wetend.units.quantity import Ohm, Pa, Percent, Ratio, unit_of

BONDING: Final[Ohm] = 10.0
"""Most that an all-metal bond may have. Source: Energy Safety Canada, Grounding and Bonding Safety
Bulletin 26-2018, read in an excerpt; IEC TS 60079-32-1 has the same figure for metal (from
memory)."""
METER: Final[Ratio] = 0.05
"""Relative standard uncertainty of a resistance by a hand meter, leads and clips included (our
choice)."""
SUPPLY_GAUGE: Final[Ratio] = 0.02
"""Relative standard uncertainty of the supply's own gauge (our choice)."""

_LOOKS: Final[dict[str, tuple[str, str, str, str]]] = {
    "guards": (
        "guards",
        Message("Guards on"),
        Message("On and fast."),
        Message("Missing or loose: no pressure before they are on."),
    ),
    "whip_checks": (
        "guards",
        Message("Whip checks on"),
        Message("On every joint."),
        Message("Missing: no pressure before they are on."),
    ),
    "hose_age": (
        "hose",
        Message("Hose within its age"),
        Message("Within the age allowed."),
        Message("Too old, or no date to be read: change it."),
    ),
    "hose_cover": (
        "hose",
        Message("Hose cover whole"),
        Message("Whole from end to end."),
        Message("Damaged: change the hose, never mend it with tape."),
    ),
    "trigger_lock": (
        "trigger-lock",
        Message("Trigger lock holds"),
        Message("It holds."),
        Message("It does not hold: the gun is out of use until repaired."),
    ),
    "dump_valve": (
        "dump-valve",
        Message("Dump valve opens and shuts tight"),
        Message("It opens and shuts tight."),
        Message("It sticks or drips: repair it before any work under pressure."),
    ),
    "gauge_zero": (
        "gauge-zero",
        Message("Gauge back to zero"),
        Message("Needle on its stop."),
        Message("It does not return to zero: change the gauge; it can't prove zero."),
    ),
}
"""Each test by looking: its act, title, and what is said of yes and of no."""


def _look(field: str, readings: ProofReadings) -> ProofTest:
    act, title, good, bad = _LOOKS[field]
    plan = Plan(
        key=field.replace("_", "-"),
        title=title,
        act=ACTS[act],
        limit=0.0,
        unit=unit_of(Ratio),
        formula="seen or not seen",
        given=(),
        source="Common practice, no source",
        validity=Message("On the day of the proof"),
        by_looking=True,
    )
    word = getattr(readings, field)
    if word == "not done":
        return unread(plan, Message("Not done yet."))
    return seen(plan, word, good=word == "yes", why=good if word == "yes" else bad)


def bonding_test(readings: ProofReadings) -> ProofTest:
    """The largest resistance between metal parts against what a metal bond may have."""
    plan = Plan(
        key="bonding",
        title=Message("Bonding of pump, pail and object"),
        act=ACTS["bonding"],
        limit=BONDING,
        unit=unit_of(Ohm),
        formula="largest resistance, metal to metal",
        given=(),
        source="Energy Safety Canada, Grounding and Bonding Safety Bulletin 26-2018 (read in an "
        "excerpt): an all-metal bond is typically below 10 ohm; IEC TS 60079-32-1 has the same "
        "(from memory)",
        validity=Message(
            "Metal parts joined by clamp and cable; for a conductive hose its maker's limit counts"
        ),
    )
    if readings.bonding is None:
        return unread(plan, NOT_READ)
    better = Message("Clean the clamp's place to bare metal and measure again.")
    return judged(plan, Reading(readings.bonding, METER * readings.bonding, better=better))


def limit_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """What relief valve or regulator lets through, at the pump, against the weakest rating."""
    rating, part = weakest(allow.pump)
    ratio = allow.pump.drive.ratio
    at_drive = readings.limit_where == "drive's supply"
    plan = Plan(
        key="limit",
        title=Message("Relief valve or regulator: below the weakest rating, {part}", part=part),
        act=ACTS["limit"],
        limit=rating,
        unit=unit_of(Pa),
        formula="setting at the supply * drive ratio, or setting at the outlet",
        given=(
            Figure(part, rating, unit_of(Pa)),
            Figure(Message("drive ratio"), ratio, unit_of(Ratio)),
            Figure(Message("spread of the supply's gauge"), SUPPLY_GAUGE, unit_of(Percent)),
        ),
        source="Ratings as described; the weakest part governs (common practice, no source)",
        validity=Message(
            "Gun, swivels and fittings are not in the description: look at their marks too"
        ),
    )
    setting = readings.limit_setting
    if setting is None:
        return unread(plan, NOT_READ)
    value = setting * ratio if at_drive else setting
    spread = SUPPLY_GAUGE * value if at_drive else readings.gauge_spread
    reading = Reading(
        value, spread, better=Message("Set it lower, until it stands clear of the rating.")
    )
    if value < 0.5 * allow.point.pump_pressure:
        where = "supply" if at_drive else "outlet"
        return doubtful(
            plan,
            reading,
            Message(
                "At that setting the pump could not spray: was it read at the {where}? Enter "
                "the other place, or read it again.",
                where=where,
            ),
        )
    return judged(plan, reading)


def handover_tests(allow: Allowed, readings: ProofReadings) -> tuple[ProofTest, ...]:
    """Everything proved before hand-over, in the order it is done."""
    return (
        *(_look(name, readings) for name in ("guards", "whip_checks", "hose_age", "hose_cover")),
        bonding_test(readings),
        limit_test(allow, readings),
        *(_look(name, readings) for name in ("trigger_lock", "dump_valve", "gauge_zero")),
    )
