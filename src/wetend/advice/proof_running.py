"""Proof tests that watch the pump work: bucket, rhythm, gauge at stall, weakest rating."""

from __future__ import annotations

import math

from wetend.advice.proof_answer import ProofTest
from wetend.advice.proof_limits import DELIVERY_LOSS, Allowed
from wetend.advice.proof_reading import Plan, Reading, doubtful, judged, unread
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Caution, Figure
from wetend.pump.measurements import ProofReadings
from wetend.units.quantity import M3Small, Pa, Percent, Ratio, S, unit_of

CYCLE_SPREAD = 0.5 / math.sqrt(12)
"""Standard uncertainty of a count of cycles begun and ended at the same turn: a quarter of a cycle
either way, evenly spread."""
TIME_SPREAD: S = 0.03
"""Standard uncertainty of a stroke's time as the mean of a dozen taps (a thumb is good to 0.1 s;
common practice)."""
FULL_MORE = 0.03
"""How much more than its displacement a bucket may show before the count is doubted."""

_SPRAYING = Caution(
    "Spraying: a jet goes through skin. Never point the gun at anyone, trigger locked between; "
    "bond and earth pump, object and pail, no ignition source, air the place, breathing protection "
    "to the safety data sheet. The maker's manual comes first."
)
_BUCKET = Caution(
    "Take the nozzle out with drive off and pressure proven to be nought; run at the lowest "
    "pressure that keeps it turning, gun held to the wall of a bonded, earthed metal pail. Even "
    "so a jet goes through skin from about 7 bar."
)
_STALL = Caution(
    "At stall every part sees the highest pressure there is: bring it up slowly, prove it at low "
    "pressure first, and stop below the weakest rating. Never feel for a leak."
)


def bucket_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Delivery caught in a bucket against displacement: the volumetric efficiency."""
    whole = allow.pump.displacement
    plan = Plan(
        key="bucket",
        title="Bucket test: volumetric efficiency",
        how="Nozzle out, low pressure: catch forty cycles or more in a measuring pail, counting "
        "from one upper turn to another.",
        limit=1 - DELIVERY_LOSS,
        limit_is="at least",
        unit=unit_of(Percent),
        formula="efficiency = volume / (cycles * A_b * stroke)",
        given=(
            Figure("displacement a cycle", whole, unit_of(M3Small)),
            Figure("share that may be lost in all", DELIVERY_LOSS, unit_of(Percent)),
        ),
        source="Definition; allowed share is common practice, no source",
        validity="Cylinder filled: suction deep enough, no air drawn",
        caution=_BUCKET,
    )
    if readings.bucket_volume is None or readings.bucket_cycles is None:
        return unread(plan, "Volume caught and cycles counted are both needed.")
    cycles = readings.bucket_cycles
    if cycles < 1:
        return unread(plan, "Less than one cycle was counted: catch twenty or more.")
    value = readings.bucket_volume / (cycles * whole)
    spread = math.hypot(readings.bucket_spread / whole, value * CYCLE_SPREAD) / cycles
    reading = Reading(value, spread, better="Catch more cycles in a larger pail.")
    if value - 2 * reading.uncertainty > 1 + FULL_MORE:
        return doubtful(
            plan, reading, "More than the pump can displace: count the cycles and read again."
        )
    return judged(plan, reading)


def rhythm_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Up-stroke against down-stroke, each less the standing at the turn, against a sound pump's."""
    even = allow.even_ratio
    quick = min(allow.down_share, 1 - allow.down_share)
    plan = Plan(
        key="rhythm",
        title="Rhythm: one stroke against the other",
        how="Spraying steadily, tap a dozen turns and take the mean of each way.",
        limit=math.log1p(DELIVERY_LOSS / quick),
        unit=unit_of(Percent),
        formula="| ln( (t_up - t_turn) / (t_down - t_turn) / healthy ratio ) |",
        given=(
            Figure("healthy ratio, up over down", even, unit_of(Ratio)),
            Figure("standing at each turn", allow.pump.drive.reversal, unit_of(S)),
            Figure("share that may be lost in all", DELIVERY_LOSS, unit_of(Percent)),
        ),
        source="Volume balance of each stroke by the steady model; allowed share is common "
        "practice, no source",
        validity="Steady spraying; a cylinder that does not fill shows as a quick down-stroke too",
        caution=_SPRAYING,
    )
    if readings.up_time is None or readings.down_time is None:
        return unread(plan, "Both stroke times are needed.")
    turn = allow.pump.drive.reversal
    up, down = readings.up_time - turn, readings.down_time - turn
    if min(up, down) <= 0:
        return unread(plan, "A stroke shorter than the standing at its turn: time it again.")
    skew = math.log(up / down / even)
    remark = ""
    if abs(skew) > plan.limit:
        remark = (
            "The up-stroke is quick: piston valve or moving packings."
            if skew < 0
            else "The down-stroke is quick: foot valve, or the cylinder does not fill."
        )
    return judged(
        plan,
        Reading(skew, TIME_SPREAD * math.hypot(1 / up, 1 / down), remark, "Time more strokes."),
        both_sides=True,
    )


def gauge_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Gauge at stall against the pressure the pump must give while spraying."""
    point = allow.point
    plan = Plan(
        key="gauge",
        title="Gauge at stall: enough to spray this coating",
        how="Gun shut, drive on at the supply to be used; read the gauge once it stands.",
        limit=point.pump_pressure,
        limit_is="at least",
        unit=unit_of(Pa),
        formula="nozzle pressure + hose loss + filter loss",
        given=(
            Figure("nozzle pressure, middle of the data sheet's range", point.nozzle_pressure,
                   unit_of(Pa)),
            Figure("hose loss", point.hose_loss, unit_of(Pa)),
            Figure("filter loss, clean", point.filter_loss, unit_of(Pa)),
        ),
        source="Losses add up from nozzle to pump",
        validity="Gun level with the pump, coating at its described temperature",
        caution=_STALL,
    )  # fmt: skip
    if readings.stall_pressure is None:
        return unread(plan, "Not read yet.")
    better = "Raise the supply a little, within the weakest rating, or read a finer gauge."
    return judged(plan, Reading(readings.stall_pressure, readings.gauge_spread, better=better))


def rating_test(allow: Allowed, readings: ProofReadings) -> ProofTest:
    """Gauge at stall against the lowest pressure rating of everything under pressure."""
    rating, part = weakest(allow.pump)
    plan = Plan(
        key="rating",
        title=f"Gauge at stall: below the weakest rating, {part}",
        how="The same reading; the weakest part governs.",
        limit=rating,
        unit=unit_of(Pa),
        formula="lowest of all ratings under pressure",
        given=(Figure(part, rating, unit_of(Pa)),),
        source="Ratings as described; the weakest part governs (common practice)",
        validity="Gun, swivels and fittings are not in the description: look at their marks too",
        caution=_STALL,
    )
    if readings.stall_pressure is None:
        return unread(plan, "Not read yet.")
    return judged(
        plan,
        Reading(
            readings.stall_pressure,
            readings.gauge_spread,
            better="Lower the supply until the gauge stands clear of it.",
        ),
    )
