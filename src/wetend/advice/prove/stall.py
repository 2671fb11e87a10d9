"""Proof tests at stall: the rod's creep both ways, and what is lost to the outside."""

from __future__ import annotations

import math

from wetend.advice.prove.acts import ACTS
from wetend.advice.prove.answer import ProofTest
from wetend.advice.prove.bench_tests import NOT_READ, SHORTEST, TOO_SHORT, budget
from wetend.advice.prove.creep_limits import TAKE_UP, creep_limits
from wetend.advice.prove.limits import Allowed
from wetend.advice.prove.outside_leak import BothWays, Flow, both_ways, flow_of
from wetend.advice.prove.reading import (
    Plan,
    Reading,
    concluded,
    doubtful,
    graded,
    judged,
    not_applicable,
    unread,
)
from wetend.advice.reasons import Figure, Verdict
from wetend.pump.measurements import ProofReadings
from wetend.stats.conformance import Decision, conformance_probability, decide
from wetend.units.message import Message, joined
from wetend.units.quantity import M2, Creep, LeakFlow, M, Pa, S, unit_of
from wetend.units.show import show

RULE_SPREAD: M = 1e-3
"""Standard uncertainty of a rod's travel read by a rule (common practice, no source)."""
WATCH_SPREAD: S = 1.0
"""Standard uncertainty of a time by the watch (common practice, no source)."""

_LOW = Message(
    "Stalled at less than half the working pressure, this proves nothing: stall it higher."
)
_OVER = Message("hose, its joints, dump valve, fittings and static packings")


def _stall_pressure(allow: Allowed, readings: ProofReadings) -> Pa:
    drive = allow.pump.drive
    return readings.stall_pressure or drive.supply_rated * drive.ratio


def _creep(readings: ProofReadings, *, up: bool) -> float | None:
    """The rod's speed as it was read; ``None`` where it was not."""
    moved = readings.stall_creep_up if up else readings.stall_creep_down
    return moved / readings.stall_time if moved is not None and readings.stall_time else None


def _stall_plan(allow: Allowed, readings: ProofReadings, *, up: bool) -> Plan:
    way = "up" if up else "down"
    title = (
        Message("Stall hold going up: piston valve and moving packings")
        if up
        else Message("Stall hold going down: foot valve")
    )
    area = Message("A_u, the annulus") if up else Message("A_r, the rod")
    pressure = _stall_pressure(allow, readings)
    limits = creep_limits(allow, pressure, up=up)
    return Plan(
        key=f"stall-{way}",
        title=title,
        act=ACTS["stall"],
        limit=limits.most,
        good=None if readings.older else limits.good,
        unit=unit_of(Creep),
        formula=f"v = q / A, A = {area}; q taken from working to stall pressure through one gap",
        given=(
            *budget(allow, allow.piston_leak if up else allow.foot_leak),
            Figure(Message("stall pressure"), pressure, unit_of(Pa)),
        ),
        source="Volume balance; allowed share and what a good rebuild does are common practice, "
        "no source",
        validity=Message(
            "After the hose has taken up its pressure; the first minute's travel is not creep"
        ),
        calculator="stall-creep",
        inputs=(
            ("bore", allow.pump.cylinder.bore),
            ("rod", allow.pump.rod.diameter),
            ("direction", way),
            ("pressure", readings.stall_pressure),
            ("creep", _creep(readings, up=up)),
        ),
    )


def stall_test(allow: Allowed, readings: ProofReadings, *, up: bool) -> ProofTest:
    """Creep of the rod at stall, one way, against what a leak costs and a good rebuild does."""
    plan = _stall_plan(allow, readings, up=up)
    moved = readings.stall_creep_up if up else readings.stall_creep_down
    if moved is None:
        return unread(plan, NOT_READ)
    if readings.stall_time is None or readings.stall_pressure is None:
        return unread(
            plan, Message("The gauge at stall and the time between the marks are needed too.")
        )
    time = readings.stall_time
    if time < SHORTEST:
        return unread(plan, TOO_SHORT)
    value = moved / time
    spread = math.hypot(RULE_SPREAD / time, value * WATCH_SPREAD / time)
    if readings.stall_pressure < 0.5 * allow.point.pump_pressure:
        return doubtful(plan, Reading(value, spread), _LOW)
    better = Message("Wait longer between the marks: the rule then counts for less.")
    if readings.older:
        return judged(plan, Reading(value, spread, better=better))
    settled = readings.stall_settled
    remark = (
        ""
        if settled is not None
        else (
            Message(
                "If the first minute after the gun was shut is in it, mark the rod again after "
                "that: what the hose takes up is not creep."
            )
        )
    )
    limits = creep_limits(allow, readings.stall_pressure, up=up)
    test = graded(plan, Reading(value, spread, remark, better), limits)
    if test.verdict is not Verdict.PASS and settled is not None and settled < TAKE_UP:
        return doubtful(plan, Reading(value, spread), _early(settled))
    return test


def _early(settled: S) -> str:
    return Message(
        "Marked {settled:.0f} s after the gun was shut, while the hose was still "
        "taking up its pressure: that travel is not creep. Wait a minute, mark the "
        "rod and read it again.",
        settled=settled,
    )


def creep_flows(allow: Allowed, readings: ProofReadings) -> BothWays | None:
    """What the creep shows each way, or ``None`` where it was not read both ways."""
    time, up, down = readings.stall_time, readings.stall_creep_up, readings.stall_creep_down
    if up is None or down is None or time is None or readings.stall_pressure is None:
        return None
    if time < SHORTEST:
        return None
    annulus, rod = allow.pump.upper_area, allow.pump.rod_area
    one = flow_of(up, time, annulus, rule=RULE_SPREAD, watch=WATCH_SPREAD)
    other = flow_of(down, time, rod, rule=RULE_SPREAD, watch=WATCH_SPREAD)
    return both_ways(one, other, annulus=annulus, rod=rod)


def _outside_plan(allow: Allowed, readings: ProofReadings, flows: BothWays | None) -> Plan:
    unit, pressure = unit_of(LeakFlow), _stall_pressure(allow, readings)
    read = () if flows is None else (
        Figure(Message("flow going up, v_up A_u"), flows.up.value, unit, "q_up"),
        Figure(Message("its standard uncertainty"), flows.up.spread, unit),
        Figure(Message("flow going down, v_down A_r"), flows.down.value, unit, "q_down"),
        Figure(Message("its standard uncertainty"), flows.down.spread, unit),
    )  # fmt: skip
    return Plan(
        key="outside",
        title=Message("Outside: creep both ways together"),
        act=ACTS["stall"],
        limit=allow.outside_leak * pressure / max(allow.point.pump_pressure, 1.0),
        unit=unit,
        formula="q_up = v_up A_u, q_down = v_down A_r; at most the smaller is lost outside",
        given=(
            *budget(allow, allow.outside_leak),
            Figure(Message("stall pressure"), pressure, unit_of(Pa)),
            Figure(Message("annulus"), allow.pump.upper_area, unit_of(M2), "A_u"),
            Figure(Message("rod"), allow.pump.rod_area, unit_of(M2), "A_r"),
            *read,
        ),
        source="Volume balance: these pumps have no outlet valve, so an outside leak works both "
        "ways alike; allowed share is common practice, no source",
        validity=Message("Same supply both ways, after the hose has taken up its pressure"),
    )


def _text(flow: Flow) -> str:
    unit = unit_of(LeakFlow)
    return joined(" ± ", (show(flow.value, unit), show(2 * flow.spread, unit)))


def outside_test(allow: Allowed, readings: ProofReadings, hold: ProofTest) -> ProofTest:
    """What is lost outside, from the creep both ways; ``hold`` is the pressure hold as judged."""
    flows = creep_flows(allow, readings)
    plan = _outside_plan(allow, readings, flows)
    shown = readings.rod_held == "drive fluid trapped" and hold.verdict is Verdict.PASS
    if flows is None:
        if shown:
            return not_applicable(plan, Message("The pressure hold already shows outside leakage."))
        return unread(plan, Message("Needs the creep both ways, with the gauge and the time."))
    reading = Reading(flows.most.value, flows.most.spread)
    if (readings.stall_pressure or 0.0) < 0.5 * allow.point.pump_pressure:
        return doubtful(plan, reading, _LOW)
    one, other = (
        conformance_probability(f.value, f.spread, upper=plan.limit) for f in (flows.up, flows.down)
    )
    chance = 1 - (1 - one) * (1 - other)
    verdict, why = _outside(flows, decide(chance))
    if verdict is not Verdict.PASS:
        if shown:
            return not_applicable(
                plan,
                Message(
                    "The pressure stood with the rod held, so what creeps here goes through the "
                    "pump's own valves."
                ),
                reading,
            )
        settled = readings.stall_settled
        if settled is not None and settled < TAKE_UP:
            return doubtful(plan, reading, _early(settled))
    return concluded(plan, reading, verdict=verdict, why=why, probability=chance)


def _outside(flows: BothWays, sure: Decision) -> tuple[Verdict, str]:
    both = Message(
        "Going up it loses {up}, going down {down} (95 %).",
        up=_text(flows.up),
        down=_text(flows.down),
    )
    same = Message("Both ways lose the same, {shared}", shared=_text(flows.shared))
    if sure is Decision.CONFORMS:
        little = Message("No more than is allowed is lost outside.")
        small = Message("{same}: a small leak to the outside; check {over}.", same=same, over=_OVER)
        return Verdict.PASS, joined(" ", (little, both, small) if flows.alike else (little, both))
    if sure is Decision.UNDECIDED:
        near = Message("Too near the limit for this reading.")
        like = (Message("{same}: check {over}.", same=same, over=_OVER),) if flows.alike else ()
        longer = Message("Wait longer between the marks.")
        return Verdict.NOT_PROVEN, joined(" ", (near, both, *like, longer))
    if flows.alike:
        return Verdict.FAIL, (
            Message(
                "{same}: a leak to the outside (both valves passing just alike would read "
                "the same, and is rarer). Look over {over}. {both}",
                same=same,
                over=_OVER,
                both=both,
            )
        )
    return Verdict.NOT_PROVEN, (
        Message(
            "Up to {most} of it may be lost outside. {both} Repair the valve of the "
            "quicker way first, then stall it again.",
            most=_text(flows.most),
            both=both,
        )
    )
