"""The pressure hold: a test of the outside only where nothing can move the rod."""

from __future__ import annotations

import math

from wetend.advice.prove.acts import ACTS
from wetend.advice.prove.answer import ProofTest
from wetend.advice.prove.bench_tests import NOT_READ, SHORTEST, TOO_SHORT, budget
from wetend.advice.prove.limits import COMPLIANCE_SPREAD, Allowed, decay_limit
from wetend.advice.prove.outside_leak import travel_cost
from wetend.advice.prove.reading import Plan, Reading, doubtful, judged, not_applicable, unread
from wetend.advice.reasons import Figure
from wetend.pump.measurements import ProofReadings
from wetend.units.message import Message
from wetend.units.quantity import M, M3PerPa, Pa, S, unit_of
from wetend.units.show import show

USUAL_HOLD: S = 60.0
HELD = ("drive fluid trapped", "cock at the outlet")
"""What keeps the rod from moving, so that the hold is a test of the outside."""


def half_stroke(allow: Allowed) -> tuple[Pa, Pa]:
    """Pressure that half a stroke takes from the line, going up and going down."""
    pump, half = allow.pump, allow.pump.stroke / 2
    return (
        travel_cost(pump.rod_area, half, allow.compliance),
        travel_cost(pump.upper_area, half, allow.compliance),
    )


def _hold_plan(allow: Allowed, readings: ProofReadings) -> Plan:
    start = readings.hold_start or allow.point.pump_pressure
    time = readings.hold_time or USUAL_HOLD
    up, down = half_stroke(allow)
    return Plan(
        key="hold",
        title=Message("Pressure hold: nothing lost to the outside"),
        act=ACTS["hold"],
        limit=decay_limit(allow, start, time),
        unit=unit_of(Pa),
        formula="dp = p0 (1 - exp(-t q / (p C))), C = hose growth + compressibility * volume; a "
        "rod that moves x takes A x / C, A = A_r going up, A_u going down",
        given=(
            *budget(allow, allow.outside_leak),
            Figure(
                Message("volume taken up per pressure"), allow.compliance, unit_of(M3PerPa), "C"
            ),
            Figure(Message("gauge at start"), start, unit_of(Pa), "p0"),
            Figure(Message("time"), time, unit_of(S), "t"),
            Figure(Message("half a stroke"), allow.pump.stroke / 2, unit_of(M), "x"),
            Figure(Message("which takes from the line, going up"), up, unit_of(Pa)),
            Figure(Message("and going down"), down, unit_of(Pa)),
        ),
        source="Volume balance of a compressible liquid; allowed share is common practice, no "
        "source",
        validity=Message(
            "Nothing can move the rod; steady temperature; C is known to {compliance_spread:.0%}",
            compliance_spread=COMPLIANCE_SPREAD,
        ),
        calculator="pressure-hold",
        inputs=(
            ("start", readings.hold_start),
            ("end", readings.hold_end),
            ("time", readings.hold_time),
            ("growth", sum(h.growth for h in allow.pump.hose)),
            ("bore", allow.pump.cylinder.bore),
            ("rod", allow.pump.rod.diameter),
        ),
    )


def _moves(allow: Allowed, *, vented: bool) -> str:
    up, down = (show(p, unit_of(Pa)) for p in half_stroke(allow))
    cause = (
        Message("With the drive vented the hose moves the rod")
        if vented
        else Message(
            "It is not known what keeps the rod from moving, and with the drive vented "
            "the hose moves it"
        )
    )
    return Message(
        "Not a test of outside leakage here. {cause}: half a stroke alone takes {up} "
        "going up, {down} going down. The stall both ways shows outside leakage.",
        cause=cause,
        up=up,
        down=down,
    )


def hold_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Pressure lost with the gun shut and the rod held, against what the allowed leak loses."""
    plan = _hold_plan(allow, readings)
    if not readings.older and readings.rod_held not in HELD:
        return not_applicable(
            plan, _moves(allow, vented=readings.rod_held == "drive vented")
        )  # fmt: skip
    if readings.hold_start is None or readings.hold_end is None:
        return unread(plan, NOT_READ)
    if readings.hold_time is None:
        return unread(plan, Message("The time held is needed too."))
    if readings.hold_time < SHORTEST:
        return unread(plan, TOO_SHORT)
    lost = readings.hold_start - readings.hold_end
    own = math.sqrt(2) * readings.gauge_spread
    remark = ""
    if readings.rod_held == "cock at the outlet":
        remark = Message(
            "Behind the cock are hose, fittings and gun alone; what is on the pump's "
            "side shows at stall and in the wet cup."
        )
    reading = Reading(
        lost,
        math.hypot(own, COMPLIANCE_SPREAD * plan.limit),
        remark,
        better=Message("Hold it longer, or read a finer gauge."),
    )
    if lost < -2 * own:
        return doubtful(
            plan,
            reading,
            Message("The gauge rose: the drive was not shut off, or the line warmed up."),
        )
    if readings.hold_start < 0.5 * allow.point.pump_pressure:
        return doubtful(
            plan,
            reading,
            Message(
                "Held at less than half the working pressure, this proves nothing: hold it higher."
            ),
        )
    return judged(plan, reading)
