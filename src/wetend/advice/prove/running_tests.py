"""Proof tests that watch the pump work: bucket, rhythm, gauge at stall, weakest rating."""

from __future__ import annotations

import math

from wetend.advice.prove.acts import ACTS
from wetend.advice.prove.answer import ProofTest
from wetend.advice.prove.limits import DELIVERY_LOSS, Allowed
from wetend.advice.prove.reading import Plan, Reading, doubtful, judged, unread
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Figure
from wetend.pump.measurements import ProofReadings
from wetend.units.message import Message
from wetend.units.quantity import M, M3Small, Pa, Percent, Ratio, S, unit_of
from wetend.units.show import show

CYCLE_SPREAD = 0.5 / math.sqrt(12)
"""Standard uncertainty of a count of cycles begun and ended at the same turn: a quarter of a cycle
either way, evenly spread."""
TIME_SPREAD: S = 0.03
"""Standard uncertainty of a stroke's time as the mean of a dozen taps (a thumb is good to 0.1 s;
common practice)."""
FULL_MORE = 0.03
"""How much more than its displacement a bucket could show, in proofs kept before the rod was asked
for, before the count was doubted."""
FEW_MISSED = 3.0
"""Cycles that a person counting by eye misses now and then (common practice, no source)."""
HALF_COUNTED = 1.7
"""Share of the displacement beyond which every second cycle was missed."""


def bucket_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Delivery caught in a bucket against displacement: the volumetric efficiency."""
    whole = allow.pump.displacement
    plan = Plan(
        key="bucket",
        title=Message("Bucket test: volumetric efficiency"),
        act=ACTS["bucket"],
        limit=1 - DELIVERY_LOSS,
        limit_is=Message("at least"),
        unit=unit_of(Percent),
        formula="efficiency = volume / (cycles * A_b * stroke)",
        given=(
            Figure(Message("displacement a cycle"), whole, unit_of(M3Small)),
            Figure(Message("share that may be lost in all"), DELIVERY_LOSS, unit_of(Percent)),
        ),
        source="Definition; allowed share is common practice, no source",
        validity=Message("Cylinder filled: suction deep enough, no air drawn"),
        calculator="bucket-test",
        inputs=(
            ("bore", allow.pump.cylinder.bore),
            ("stroke", allow.pump.stroke),
            ("cycles", readings.bucket_cycles),
            ("volume", readings.bucket_volume),
        ),
    )
    if readings.bucket_volume is None or readings.bucket_cycles is None:
        return unread(plan, Message("Volume caught and cycles counted are both needed."))
    cycles = readings.bucket_cycles
    if cycles < 1:
        return unread(plan, Message("Less than one cycle was counted: catch twenty or more."))
    value = readings.bucket_volume / (cycles * whole)
    spread = math.hypot(readings.bucket_spread / whole, value * CYCLE_SPREAD) / cycles
    reading = Reading(value, spread, better=Message("Catch more cycles in a larger pail."))
    if readings.older:
        if value - 2 * reading.uncertainty > 1 + FULL_MORE:
            return doubtful(
                plan,
                reading,
                Message("More than the pump can displace: count the cycles and read again."),
            )
    elif value - 2 * reading.uncertainty > 1:
        return doubtful(plan, reading, _too_much(allow, value, cycles))
    return judged(plan, reading)


def _too_much(allow: Allowed, share: Ratio, cycles: float) -> str:
    """What a bucket fuller than the pump can fill it says, and what to look at."""
    more = Message(
        "{share:.1f} % of what the pump displaces, and no pump gives more than 100 %",
        share=100 * share,
    )
    if share > HALF_COUNTED:
        return Message(
            "{more}: a counting error, every second cycle missed. Up and down are one "
            "cycle: count again from one upper turn to another.",
            more=more,
        )
    missed = cycles * (share - 1)
    bore = allow.pump.cylinder.bore
    fits = show(bore * math.sqrt(share), unit_of(M))
    if missed <= FEW_MISSED:
        return Message(
            "{more}: most likely a counting error, {missed:.1f} cycles missed of "
            "{cycles:g}. Count a hundred cycles, and read the pail on the level. If it "
            "comes again, the bore is not as described: {fits} would do it.",
            more=more,
            missed=missed,
            cycles=cycles,
            fits=fits,
        )
    return Message(
        "{more}: {missed:.0f} cycles missed of {cycles:g} would be a big slip, so "
        "look first at what the pump is: a bore of {fits} instead of {bore}, or a "
        "longer stroke, would do it. Measure both and describe the pump as it is; "
        "check the pail's marks.",
        more=more,
        missed=missed,
        cycles=cycles,
        fits=fits,
        bore=show(bore, unit_of(M)),
    )


def rhythm_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Up-stroke against down-stroke, each less the standing at the turn, against a sound pump's."""
    even = allow.even_ratio
    quick = min(allow.down_share, 1 - allow.down_share)
    plan = Plan(
        key="rhythm",
        title=Message("Rhythm: one stroke against the other"),
        act=ACTS["rhythm"],
        limit=math.log1p(DELIVERY_LOSS / quick),
        unit=unit_of(Percent),
        formula="| ln( (t_up - t_turn) / (t_down - t_turn) / healthy ratio ) |",
        given=(
            Figure(Message("healthy ratio, up over down"), even, unit_of(Ratio)),
            Figure(Message("standing at each turn"), allow.pump.drive.reversal, unit_of(S)),
            Figure(Message("share that may be lost in all"), DELIVERY_LOSS, unit_of(Percent)),
        ),
        source="Volume balance of each stroke by the steady model; allowed share is common "
        "practice, no source",
        validity=Message(
            "Steady spraying; a cylinder that does not fill shows as a quick down-stroke too"
        ),
    )
    if readings.up_time is None or readings.down_time is None:
        return unread(plan, Message("Both stroke times are needed."))
    turn = allow.pump.drive.reversal
    up, down = readings.up_time - turn, readings.down_time - turn
    if min(up, down) <= 0:
        return unread(
            plan, Message("A stroke shorter than the standing at its turn: time it again.")
        )
    skew = math.log(up / down / even)
    remark = ""
    if abs(skew) > plan.limit:
        remark = (
            Message("The up-stroke is quick: piston valve or moving packings.")
            if skew < 0
            else Message("The down-stroke is quick: foot valve, or the cylinder does not fill.")
        )
    return judged(
        plan,
        Reading(
            skew, TIME_SPREAD * math.hypot(1 / up, 1 / down), remark, Message("Time more strokes.")
        ),
        both_sides=True,
    )


def gauge_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Gauge at stall against the pressure the pump must give while spraying."""
    point = allow.point
    plan = Plan(
        key="gauge",
        title=Message("Gauge at stall: enough to spray this coating"),
        act=ACTS["stall"],
        limit=point.pump_pressure,
        limit_is=Message("at least"),
        unit=unit_of(Pa),
        formula="nozzle pressure + hose loss + filter loss",
        given=(
            Figure(
                Message("nozzle pressure, middle of the data sheet's range"),
                point.nozzle_pressure,
                unit_of(Pa),
            ),
            Figure(Message("hose loss"), point.hose_loss, unit_of(Pa)),
            Figure(Message("filter loss, clean"), point.filter_loss, unit_of(Pa)),
        ),
        source="Losses add up from nozzle to pump",
        validity=Message("Gun level with the pump, coating at its described temperature"),
    )
    if readings.stall_pressure is None:
        return unread(plan, Message("Not read yet."))
    better = Message("Raise the supply a little, within the weakest rating, or read a finer gauge.")
    return judged(plan, Reading(readings.stall_pressure, readings.gauge_spread, better=better))


def rating_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Gauge at stall against the lowest pressure rating of everything under pressure."""
    rating, part = weakest(allow.pump)
    plan = Plan(
        key="rating",
        title=Message("Gauge at stall: below the weakest rating, {part}", part=part),
        act=ACTS["stall"],
        limit=rating,
        unit=unit_of(Pa),
        formula="lowest of all ratings under pressure",
        given=(Figure(part, rating, unit_of(Pa)),),
        source="Ratings as described; the weakest part governs (common practice)",
        validity=Message(
            "Gun, swivels and fittings are not in the description: look at their marks too"
        ),
    )
    if readings.stall_pressure is None:
        return unread(plan, Message("Not read yet."))
    return judged(
        plan,
        Reading(
            readings.stall_pressure,
            readings.gauge_spread,
            better=Message("Lower the supply until the gauge stands clear of it."),
        ),
    )
