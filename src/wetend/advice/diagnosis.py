"""Which leak explains the readings, how big it is, and what to open first."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.fault_finding.causes import NOTHING_KNOWN, Around
from wetend.advice.fault_finding.checks import known_keys
from wetend.advice.fault_finding.evidence import Reading, evidence
from wetend.advice.fault_finding.faults import (
    OPEN_FIRST,
    Diagnosis,
    Fault,
    Finding,
    Prediction,
    Suspicion,
)
from wetend.advice.fault_finding.next_check import rank_checks
from wetend.advice.fault_finding.opening import opening_order
from wetend.advice.fault_finding.posterior import Cloud, weigh
from wetend.advice.fault_finding.prediction import predict, predict_at
from wetend.advice.fault_finding.prior import Setting
from wetend.advice.fault_finding.reckoning import balance, creep_leaks, weighing
from wetend.advice.fault_finding.summary import (
    EXPLAINED_FROM,
    astray,
    chance,
    fit,
    leak_size,
    middle_prediction,
    soundness,
    stroke_share,
)
from wetend.advice.fault_finding.suspicion import suspect
from wetend.advice.fault_finding.words import (
    CAUTIONS,
    Teller,
    because,
    contributions,
    leave_shut,
    overall,
    read_again,
    where_to_start,
    within,
    word_for,
)
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings
from wetend.units.kinds import System

__all__ = [
    "Diagnosis", "Fault", "Finding", "Prediction", "Suspicion", "diagnose", "predict", "suspect",
]  # fmt: skip

NO_CHECK_LEFT = "No check left would save more minutes than it takes: decide on what is known."


def _findings(cloud: Cloud, readings: Sequence[Reading], teller: Teller) -> tuple[Finding, ...]:
    found = []
    for fault in Fault:
        probability = chance(cloud, fault)
        found.append(
            Finding(
                fault=fault,
                probability=probability,
                word=word_for(probability),
                leak=leak_size(cloud, fault),
                share=stroke_share(cloud, fault),
                open_first=OPEN_FIRST[fault],
                because=because(cloud, fault, readings, teller, probability),
                within=within(cloud, fault),
            )
        )
    return tuple(sorted(found, key=lambda f: -f.probability))


def diagnose(
    pump: Pump,
    coating: Coating,
    readings: CheckReadings,
    *,
    particles: int = 20000,
    seed: int = 1,
    system: System = "metric",
    around: Around = NOTHING_KNOWN,
) -> Diagnosis:
    """Weigh every fault against the readings.

    Pumps are drawn from what is usual for this pump and coating, run through the steady stroke
    model, and weighed by how well they explain the readings; see
    :mod:`wetend.advice.fault_finding.posterior`. The same seed gives the same answer.

    Args:
        pump: as described.
        coating: as described; taken to the temperature read, if one was.
        readings: any may be missing.
        particles: pumps run; more are steadier and slower.
        seed: of the random draws.
        system: units of the figures in the sentences.
        around: tools to hand, and the pump's own past.

    Raises:
        BadInput: no reading at all was given.
        NoAnswer: the coating is known by a cup reading that tells no viscosity.
    """
    given = evidence(readings)
    setting = Setting.of(pump, coating, readings, around)
    cloud = weigh(setting, given, particles=particles, seed=seed)
    healthy = predict_at(pump, setting.liquid, setting.supply_read)
    teller = Teller(healthy, system)
    findings = _findings(cloud, given, teller)
    sound, fitting = soundness(cloud), fit(cloud, given)
    explained = fitting >= EXPLAINED_FROM
    checks = rank_checks(cloud, pump, around, known_keys(readings, [r.what.key for r in given]))
    openings, to_fixed = opening_order(cloud, pump, around)
    check = f"{checks[0].title}. {checks[0].how}" if checks and checks[0].worth else None
    strays = [teller.phrase(r) for r in astray(cloud, given)]
    return Diagnosis(
        findings=findings,
        healthy=healthy,
        likely=middle_prediction(cloud),
        explained=explained,
        sound=sound,
        leave_wet_end=leave_shut(findings, sound=sound, explained=explained),
        open_first=where_to_start(
            findings, openings, sound=sound, explained=explained, check=check
        ),
        next_check=read_again(strays) if strays and not explained else check or NO_CHECK_LEFT,
        why=overall(findings, sound=sound, explained=explained, strays=strays),
        workings=(
            balance(setting, healthy),
            *creep_leaks(setting, given),
            weighing(cloud, given, fitting),
        ),
        cautions=CAUTIONS,
        contributions=contributions(cloud, given, teller),
        checks=checks,
        openings=openings,
        to_fixed=to_fixed,
        stop_asking=explained and check is None,
    )
