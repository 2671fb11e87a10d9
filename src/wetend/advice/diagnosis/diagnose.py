"""Which leak explains the readings, how big it is, and what to open first."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.diagnosis.answers import (
    CheckAdvice,
    Contribution,
    Diagnosis,
    Finding,
    Prediction,
    Suspicion,
)
from wetend.advice.diagnosis.causes import NOTHING_KNOWN, Around
from wetend.advice.diagnosis.checks import CHECKS, cleared_by, known_keys
from wetend.advice.diagnosis.crew import crew_evidence
from wetend.advice.diagnosis.doubts import Doubt, gauge_doubts, remarks, supply_remark, without
from wetend.advice.diagnosis.evidence import Reading, evidence, evidence_of
from wetend.advice.diagnosis.next_check import rank_checks
from wetend.advice.diagnosis.opening import every_job, opening_order
from wetend.advice.diagnosis.posterior import WeightedSample, run_usual, weigh
from wetend.advice.diagnosis.prediction import predict, predict_at
from wetend.advice.diagnosis.prior import Setting
from wetend.advice.diagnosis.slips import Slip, slips
from wetend.advice.diagnosis.summary import (
    FAR,
    astray,
    carried,
    chance,
    explains,
    fit,
    leak_size,
    middle_prediction,
    size_of,
    soundness,
    stated,
    stroke_share,
)
from wetend.advice.diagnosis.suspicion import suspect
from wetend.advice.diagnosis.words import (
    GONE,
    LIKELY,
    POSSIBLE,
    READ_AGAIN,
    Formatter,
    because,
    carried_text,
    contributions,
    leave_shut,
    overall,
    read_again,
    where_to_start,
    within,
    word_for,
)
from wetend.advice.diagnosis.working import balance, creep_leaks, weighing
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULTS
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import absent, caution, for_screen
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings
from wetend.units.message import Message
from wetend.units.quantity import Pa, unit_of
from wetend.units.show import show

__all__ = [
    "Diagnosis", "Finding", "Prediction", "Suspicion", "diagnose", "make_ready",
    "predict", "suspect",
]  # fmt: skip

PARTICLES, SEED = 20_000, 1
_OF_THE_REST = 20_000
"""Pumps run for the readings that are left when the wild ones are taken out."""
NO_CHECK_LEFT = Message(
    "No check left would save more minutes than it takes: decide on what is known."
)


def _findings(
    cloud: WeightedSample, readings: Sequence[Reading], teller: Formatter, *, explained: bool
) -> tuple[Finding, ...]:
    found, lumps = [], carried(cloud, readings)
    for fault in FAULTS:
        probability = stated(cloud, fault)
        gone = probability < POSSIBLE <= lumps.get(fault, 0.0)
        leak, share = leak_size(cloud, fault), stroke_share(cloud, fault)
        found.append(
            Finding(
                fault=fault,
                probability=probability,
                word=word_for(probability, explained=explained),
                leak=leak,
                share=share,
                open_first=fault.open_first,
                because=GONE if gone else because(cloud, fault, readings, teller, probability),
                size=size_of(cloud, fault, leak, share),
                within=within(cloud, fault),
            )
        )
    return tuple(sorted(found, key=lambda f: -f.probability))


def _told(check: CheckAdvice) -> str:
    """A check in a sentence or two, its name not said twice."""
    if check.how.startswith(check.title):
        return check.how
    return Message("{title}. {how}", title=check.title, how=check.how)


def _first_try(checks: Sequence[CheckAdvice]) -> dict[Fault, str]:
    """Checks worth their minutes that may put a fault right with nothing opened."""
    return {
        fault: check.title
        for check in checks
        if check.clears and check.worth
        for fault in cleared_by(check.key)
    }


def _over_rating(pump: Pump, readings: CheckReadings) -> tuple[Caution, ...]:
    """A danger that comes before all others: the gauge stood over what the weakest part bears."""
    seen = max(readings.spray_pressure or 0.0, readings.stall_pressure or 0.0)
    least, part = weakest(pump)
    if seen <= least:
        return ()
    pressure = unit_of(Pa)
    return (
        caution(
            "weakest-part",
            Message(
                "The gauge read {seen}, over the {least} that the {part} is rated for, the "
                "weakest part. If that is right: shut the supply, open the dump valve into a "
                "bonded metal pail, and do not run it again before the supply is turned down "
                "and the gauge proven.",
                seen=show(seen, pressure),
                least=show(least, pressure),
                part=part,
            ),
        ),
    )


def _before_reading_again(off: Sequence[Reading]) -> tuple[Caution, ...]:
    """Cautions of the quickest check that reads each of the readings to be taken again."""
    told: list[Caution] = []
    for reading in off[:READ_AGAIN]:
        check = next((c for c in CHECKS if reading.what.key in c.reads), None)
        told += check.cautions if check else ()
    return for_screen(*told)


def _before_opening(open_first: str, said: Sequence[Caution]) -> tuple[Caution, ...]:
    """What to show before anything is opened or changed, but what is said already."""
    if open_first.startswith("Open nothing") or not absent(said, "stored-pressure"):
        return ()
    return (caution("stored-pressure"),)


def _again(off: Sequence[Reading], slipped: Sequence[Slip]) -> tuple[Reading, ...]:
    """Readings to take again: those far off the rest, and those that are surely a slip."""
    sure = [reading for slip in slipped if slip.sure for reading in slip.readings]
    return tuple(off) + tuple(reading for reading in sure if reading not in off)


def _likely_by(
    setting: Setting, readings: Sequence[Reading], seed: int
) -> list[tuple[Fault, float]]:
    """Faults that are likely by these readings alone; none where they don't fit together either."""
    if not readings:
        return []
    cloud = weigh(setting, readings, particles=_OF_THE_REST, seed=seed)
    if not explains(cloud, fit(cloud, readings)):
        return []
    chances = [(fault, chance(cloud, fault)) for fault in FAULTS]
    return sorted((c for c in chances if c[1] >= LIKELY), key=lambda c: -c[1])


def doubts_of(pump: Pump, coating: Coating, readings: CheckReadings) -> tuple[Doubt, ...]:
    """Gauge readings that can't be right with what else is read, as :func:`diagnose` leaves out.

    Raises:
        NoAnswer: the coating is known by a cup reading that tells no viscosity.
    """
    setting = Setting.of(pump, coating, readings)
    return gauge_doubts(readings, predict_at(pump, setting.liquid, setting.supply_read))


def make_ready(pump: Pump, coating: Coating, *, around: Around = NOTHING_KNOWN) -> None:
    """Work out what :func:`diagnose` takes besides the readings, so that it is there for it.

    Raises:
        NoAnswer: the coating is known by a cup reading that tells no viscosity.
    """
    setting = Setting.of(pump, coating, CheckReadings(), around)
    run_usual(setting, particles=PARTICLES, seed=SEED)
    every_job(pump, around)


def diagnose(
    pump: Pump,
    coating: Coating,
    readings: CheckReadings,
    *,
    particles: int = PARTICLES,
    seed: int = SEED,
    around: Around = NOTHING_KNOWN,
) -> Diagnosis:
    """Weigh every fault against the readings.

    Pumps are drawn from what is usual for this pump and coating, run through the steady stroke
    model, and weighed by how well they explain the readings; see
    :mod:`wetend.advice.diagnosis.posterior`. The same seed gives the same answer.

    Args:
        pump: as described.
        coating: as described; taken to the temperature read, if one was.
        readings: any may be missing.
        particles: pumps run; more are steadier and slower.
        seed: of the random draws.
        around: tools to hand, and the pump's own past.

    Raises:
        BadInput: no reading at all was given, nor a check that could not be done.
        NoAnswer: the coating is known by a cup reading that tells no viscosity.
    """
    entered = evidence_of(readings) if readings.could_not else evidence(readings)
    setting = Setting.of(pump, coating, readings, around)
    healthy = predict_at(pump, setting.liquid, setting.supply_read)
    doubts = gauge_doubts(readings, healthy)
    left_out = [r for r in entered if r.what.key in {doubt.gauge for doubt in doubts}]
    given = evidence_of(without(readings, doubts)) if doubts else entered
    heard = crew_evidence(around.seen, [r.what.key for r in entered], healthy)
    every = (*given, *heard)
    cloud = weigh(setting, every, particles=particles, seed=seed)
    teller = Formatter(healthy)
    sound, fitting = soundness(cloud), fit(cloud, given)
    slipped = slips(cloud, given, teller)
    far = astray(cloud, given)
    off = _again(far, slipped)
    fits = (len(far) < min(2, len(given)) and not astray(cloud, given, least=FAR)) or not given
    explained = explains(cloud, fitting) and fits and len(off) == len(far)
    findings = _findings(cloud, every, teller, explained=explained)
    checks = rank_checks(cloud, pump, around, known_keys(readings, [r.what.key for r in given]))
    openings, to_fixed = opening_order(cloud, pump, around)
    worth = checks[0] if checks and checks[0].worth else None
    undecided = any(each.may_open for each in checks)
    check = _told(worth) if worth else None
    strays = [teller.phrase(r) for r in off]
    again = bool(strays) and not explained
    best = None if again else worth
    cautions = _before_reading_again(off) if again else best.cautions if best else ()
    gone = carried_text(carried(cloud, given)) if explained else ""
    open_first = where_to_start(
        findings, openings, sound=sound, explained=explained, check=check, carried=gone,
        first_try=_first_try(checks), undecided=undecided,
    )  # fmt: skip
    fitting_rest = [r for r in given if r not in off] if off and not explained else []
    return Diagnosis(
        findings=findings,
        healthy=healthy,
        likely=middle_prediction(cloud),
        explained=explained,
        sound=sound,
        leave_wet_end=leave_shut(
            findings, sound=sound, explained=explained, check=check, undecided=undecided
        ),
        open_first=open_first,
        next_check=read_again(strays) if again else check or NO_CHECK_LEFT,
        why=overall(
            findings,
            sound=sound,
            explained=explained,
            strays=strays,
            rest=_likely_by(setting, fitting_rest, seed),
            carried=gone,
        ),
        workings=(
            balance(setting, healthy),
            *creep_leaks(setting, given),
            weighing(cloud, given, fitting),
        ),
        cautions=cautions,
        before_opening=_before_opening(open_first, cautions),
        best=best,
        urgent=_over_rating(pump, readings),
        contributions=(
            *contributions(cloud, every, teller),
            *(Contribution(teller.phrase(r), Message("Doubtful, so left out.")) for r in left_out),
        ),
        checks=checks,
        openings=openings,
        minutes_to_fixed=to_fixed,
        stop_asking=explained and check is None,
        remarks=(
            *filter(None, (supply_remark(pump, readings),)),
            *remarks(readings, doubts),
            *(slip.told for slip in slipped),
        ),
    )
