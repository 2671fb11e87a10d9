"""Proof tests that watch for leaks: solvent, stall both ways, pressure hold, wet cup."""

from __future__ import annotations

import math

from wetend.advice.proof_answer import ProofTest
from wetend.advice.proof_limits import (
    COMPLIANCE_SPREAD,
    PATH_LOSS,
    Allowed,
    creep_limit,
    decay_limit,
    solvent_limit,
)
from wetend.advice.proof_reading import Plan, Reading, doubtful, judged, seen, unread
from wetend.advice.pump_physics import viscosity_spread
from wetend.advice.reasons import Caution, Figure
from wetend.pump.measurements import ProofReadings
from wetend.units.quantity import (
    Creep,
    LeakFlow,
    M,
    M3PerPa,
    M3PerS,
    M3Small,
    Pa,
    Percent,
    Ratio,
    S,
    unit_of,
)

DROP_SPREAD: M3Small = 0.05e-6 / math.sqrt(3)
"""Standard uncertainty of solvent lost: one drop of 0.05 mL either way, evenly spread."""
RULE_SPREAD: M = 1e-3
"""Standard uncertainty of a rod's travel read by a rule (common practice, no source)."""
WATCH_SPREAD: S = 1.0
"""Standard uncertainty of a time by the watch (common practice, no source)."""
SHORTEST: S = 5.0
"""A wait shorter than this is no reading."""
USUAL_HEAD: M = 0.05
USUAL_HOLD: S = 60.0

_LIVE = Caution(
    "Gun, hose and pump are at full pressure: a jet goes through skin. Never feel for a leak; look "
    "with a strip of card, trigger locked. Go to hospital at once if it strikes, however small the "
    "wound. Prove it at low pressure first. The maker's manual comes first."
)
_STALLED = Caution(
    "The rod can move at any moment while stalled: keep hands off it, read with a rule fixed to "
    "the body. Hose and gun are at full pressure and a jet goes through skin: trigger locked, "
    "never feel for a leak. The maker's manual comes first."
)
_SOLVENT = Caution(
    "Solvent burns and harms: no flame or spark, air the place, gloves and eye protection to its "
    "safety data sheet. Bond and earth the metal pail."
)
_ASK = "Not read yet."
_TOO_SHORT = "A wait of less than five seconds shows nothing: wait longer."


def _budget(allow: Allowed, leak: LeakFlow) -> tuple[Figure, ...]:
    return (
        Figure("delivery while spraying", allow.point.flow, unit_of(M3PerS), "Q"),
        Figure("share one leak path may take", PATH_LOSS, unit_of(Percent)),
        Figure("leak allowed at working pressure", leak, unit_of(LeakFlow), "q"),
        Figure("working pressure at the pump", allow.point.pump_pressure, unit_of(Pa)),
    )


def solvent_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Solvent poured on the seated foot-valve ball, against what the allowed gap would pass."""
    head = readings.solvent_head or USUAL_HEAD
    limit = solvent_limit(allow, head)
    solvent = allow.solvent
    plan = Plan(
        key="solvent",
        title="Solvent test of the foot valve",
        how=f"Before closing the pump: pour {solvent.title} over the seated ball, wait two minutes "
        "or more, catch and count what comes through (20 drops are about 1 mL).",
        limit=limit,
        unit=unit_of(LeakFlow),
        formula="gap that passes q of coating at working pressure, filled with solvent at its head",
        given=(
            *_budget(allow, allow.foot_leak),
            Figure("head of solvent", head, unit_of(M)),
        ),
        source="Plane Poiseuille flow through one equivalent slit; allowed share is common "
        "practice, no source",
        validity="Clean ball and seat; pressure seats the ball harder, so this is the strict side",
        caution=_SOLVENT,
    )
    if readings.solvent_lost is None:
        return unread(plan, _ASK)
    if readings.solvent_time is None or readings.solvent_head is None:
        return unread(plan, "The head of solvent and the time waited are needed too.")
    time = readings.solvent_time
    if time < SHORTEST:
        return unread(plan, _TOO_SHORT)
    own = DROP_SPREAD / time
    limit_spread = limit * math.hypot(viscosity_spread(allow.coating), solvent.spread)
    wait = 1.645 * DROP_SPREAD / limit * 1.25 if limit > 0 else math.inf
    better = (
        f"Wait {max(math.ceil(wait / 60), 1)} minutes or more."
        if wait < 7200
        else "No wait would do: this coating asks more than the test can show; rely on the stall."
    )
    remark = ""
    if readings.solvent_lost > 0:
        remark = "A good valve does not weep at all: wipe ball and seat and try once more."
    return judged(
        plan,
        Reading(readings.solvent_lost / time, math.hypot(own, limit_spread), remark, better),
    )


def _stall_plan(allow: Allowed, pressure: Pa, *, up: bool) -> Plan:
    way = "up" if up else "down"
    what = "piston valve and moving packings" if up else "foot valve"
    area = "A_u, the annulus" if up else "A_r, the rod"
    return Plan(
        key=f"stall-{way}",
        title=f"Stall hold going {way}: {what}",
        how=f"Gun shut, drive on, let it stall on the {way}-stroke; mark the rod, wait a minute, "
        "read how far it moved.",
        limit=creep_limit(allow, pressure, up=up),
        unit=unit_of(Creep),
        formula=f"v = q / A, A = {area}; q taken from working to stall pressure through one gap",
        given=(
            *_budget(allow, allow.piston_leak if up else allow.foot_leak),
            Figure("stall pressure", pressure, unit_of(Pa)),
        ),
        source="Volume balance; allowed share is common practice, no source",
        validity="After the hose has taken up its pressure; the first seconds' travel is not creep",
        caution=_STALLED,
    )


def stall_test(allow: Allowed, readings: ProofReadings, *, up: bool) -> ProofTest:
    """Creep of the rod at stall, one way, against the speed the allowed leak gives."""
    drive = allow.pump.drive
    pressure = readings.stall_pressure or drive.supply_rated * drive.ratio
    plan = _stall_plan(allow, pressure, up=up)
    moved = readings.stall_creep_up if up else readings.stall_creep_down
    if moved is None:
        return unread(plan, _ASK)
    if readings.stall_time is None or readings.stall_pressure is None:
        return unread(plan, "The gauge at stall and the time waited are needed too.")
    time = readings.stall_time
    if time < SHORTEST:
        return unread(plan, _TOO_SHORT)
    value = moved / time
    spread = math.hypot(RULE_SPREAD / time, value * WATCH_SPREAD / time)
    if readings.stall_pressure < 0.5 * allow.point.pump_pressure:
        return doubtful(
            plan,
            Reading(value, spread),
            "Stalled at less than half the working pressure, this proves nothing: stall it higher.",
        )
    return judged(
        plan, Reading(value, spread, better="Wait longer: the rule then counts for less.")
    )


def hold_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Pressure lost with the gun shut and the drive off, against what the allowed leak loses."""
    start = readings.hold_start or allow.point.pump_pressure
    time = readings.hold_time or USUAL_HOLD
    plan = Plan(
        key="hold",
        title="Pressure hold: nothing lost to the outside",
        how="Gun and dump valve shut, bring to working pressure, shut the drive's supply; read the "
        "gauge now and a minute later.",
        limit=decay_limit(allow, start, time),
        unit=unit_of(Pa),
        formula="dp = p0 (1 - exp(-t q / (p C))), C = hose growth + compressibility * volume",
        given=(
            *_budget(allow, allow.outside_leak),
            Figure("volume taken up per pressure", allow.compliance, unit_of(M3PerPa), "C"),
            Figure("gauge at start", start, unit_of(Pa), "p0"),
            Figure("time", time, unit_of(S), "t"),
        ),
        source="Volume balance of a compressible liquid; allowed share is common practice, no "
        "source",
        validity=f"Steady temperature; C is known to {COMPLIANCE_SPREAD:.0%}",
        caution=_LIVE,
    )
    if readings.hold_start is None or readings.hold_end is None:
        return unread(plan, _ASK)
    if readings.hold_time is None:
        return unread(plan, "The time held is needed too.")
    if time < SHORTEST:
        return unread(plan, _TOO_SHORT)
    lost = readings.hold_start - readings.hold_end
    own = math.sqrt(2) * readings.gauge_spread
    reading = Reading(
        lost,
        math.hypot(own, COMPLIANCE_SPREAD * plan.limit),
        better="Hold it longer, or read a finer gauge.",
    )
    if lost < -2 * own:
        return doubtful(
            plan, reading, "The gauge rose: the drive was not shut off, or the line warmed."
        )
    if readings.hold_start < 0.5 * allow.point.pump_pressure:
        return doubtful(
            plan,
            reading,
            "Held at less than half the working pressure, this proves nothing: hold it higher.",
        )
    return judged(plan, reading)


def cup_test(readings: ProofReadings) -> ProofTest:
    """Coating in the wet cup: the static packings pass."""
    plan = Plan(
        key="wet-cup",
        title="Wet cup: static packings",
        how="Wipe the cup, fill it fresh, run ten minutes under pressure, look for coating in it.",
        limit=0.0,
        unit=unit_of(Ratio),
        formula="seen or not seen",
        given=(),
        source="Common practice, no source",
        validity="After ten minutes under pressure",
        caution=Caution(
            "The rod moves while you look: no fingers in the cup unless the drive is shut off, "
            "locked, and pressure proven to be nought."
        ),
    )
    if readings.wet_cup == "not looked":
        return unread(plan, "Not looked at yet.")
    if readings.wet_cup == "clean":
        return seen(plan, readings.wet_cup, good=True, why="Clean: the static packings hold.")
    return seen(
        plan,
        readings.wet_cup,
        good=False,
        why="Coating in it: the static packings pass. Drive off and pressure off first, then nip "
        "the gland nut up a twelfth of a turn; if it comes back, repack.",
    )
