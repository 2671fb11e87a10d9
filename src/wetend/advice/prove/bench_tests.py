"""Proof tests by looking for a drop: solvent on the seated ball, coating in the wet cup."""

from __future__ import annotations

import math

from wetend.advice.prove.acts import ACTS, solvent_how
from wetend.advice.prove.answer import ProofTest
from wetend.advice.prove.limits import PATH_LOSS, Allowed, solvent_limit
from wetend.advice.prove.reading import Plan, Reading, judged, seen, unread
from wetend.advice.pump_physics import viscosity_spread
from wetend.advice.reasons import Figure
from wetend.pump.measurements import ProofReadings
from wetend.stats.uncertainty import HALF_90
from wetend.units.message import Message
from wetend.units.quantity import LeakFlow, M, M3PerS, M3Small, Pa, Percent, Ratio, S, unit_of

DROP_SPREAD: M3Small = 0.05e-6 / math.sqrt(3)
"""Standard uncertainty of solvent lost: one drop of 0.05 mL either way, evenly spread."""
SHORTEST: S = 5.0
"""A wait shorter than this is no reading."""
USUAL_HEAD: M = 0.05

NOT_READ = Message("Not read yet.")
"""Why a test without a reading is not proven."""
TOO_SHORT = Message("A wait of less than five seconds shows nothing: wait longer.")


def budget(allow: Allowed, leak: LeakFlow) -> tuple[Figure, ...]:
    """What a leak may take, and of what."""
    return (
        Figure(Message("delivery while spraying"), allow.point.flow, unit_of(M3PerS), "Q"),
        Figure(Message("share one leak path may take"), PATH_LOSS, unit_of(Percent)),
        Figure(Message("leak allowed at working pressure"), leak, unit_of(LeakFlow), "q"),
        Figure(Message("working pressure at the pump"), allow.point.pump_pressure, unit_of(Pa)),
    )


def solvent_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Solvent poured on the seated foot-valve ball, against what the allowed gap would pass."""
    head = readings.solvent_head or USUAL_HEAD
    limit = solvent_limit(allow, head)
    solvent, act = allow.solvent, ACTS["solvent"]
    plan = Plan(
        key="solvent",
        title=Message("Solvent test of the foot valve"),
        act=act,
        how=solvent_how(Message(solvent.title)),
        limit=limit,
        unit=unit_of(LeakFlow),
        formula="gap that passes q of coating at working pressure, filled with solvent at its head",
        given=(
            *budget(allow, allow.foot_leak),
            Figure(Message("head of solvent"), head, unit_of(M)),
        ),
        source="Plane Poiseuille flow through one equivalent slit; allowed share is common "
        "practice, no source",
        validity=Message(
            "Clean ball and seat; pressure seats the ball harder, so this is the strict side"
        ),
    )
    if readings.solvent_lost is None:
        return unread(plan, NOT_READ)
    if readings.solvent_time is None or readings.solvent_head is None:
        return unread(plan, Message("The head of solvent and the time waited are needed too."))
    time = readings.solvent_time
    if time < SHORTEST:
        return unread(plan, TOO_SHORT)
    own = DROP_SPREAD / time
    limit_spread = limit * math.hypot(viscosity_spread(allow.coating), solvent.spread)
    wait = HALF_90 * DROP_SPREAD / limit * 1.25 if limit > 0 else math.inf
    better = (
        Message("Wait {max} minutes or more.", max=max(math.ceil(wait / 60), 1))
        if wait < 7200
        else Message(
            "No waiting time is enough: this coating needs more than the test can show; "
            "rely on the stall."
        )
    )
    remark = ""
    if readings.solvent_lost > 0:
        remark = Message("A good valve does not weep at all: wipe ball and seat and try once more.")
    return judged(
        plan,
        Reading(readings.solvent_lost / time, math.hypot(own, limit_spread), remark, better),
    )


def cup_test(readings: ProofReadings) -> ProofTest:
    """Coating in the wet cup: the static packings pass."""
    plan = Plan(
        key="wet-cup",
        title=Message("Wet cup: static packings"),
        act=ACTS["wet-cup"],
        limit=0.0,
        unit=unit_of(Ratio),
        formula="seen or not seen",
        given=(),
        source="Common practice, no source",
        validity=Message("After ten minutes under pressure"),
        by_looking=True,
    )
    if readings.wet_cup == "not looked":
        return unread(plan, Message("Not looked at yet."))
    if readings.wet_cup == "clean":
        return seen(
            plan, readings.wet_cup, good=True, why=Message("Clean: the static packings hold.")
        )
    return seen(
        plan,
        readings.wet_cup,
        good=False,
        why=Message(
            "Coating in it: the static packings pass. Drive off and pressure off first, "
            "then nip the gland nut up a twelfth of a turn; if it comes back, repack."
        ),
    )
