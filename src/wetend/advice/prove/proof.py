"""Proof of the rebuilt pump against limits computed from its description and coating."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.prove.answer import Proof, ProofTest
from wetend.advice.prove.before_handover import handover_tests
from wetend.advice.prove.bench_tests import cup_test, solvent_test
from wetend.advice.prove.hold import hold_test
from wetend.advice.prove.limits import Allowed, allowed
from wetend.advice.prove.running_tests import bucket_test, gauge_test, rating_test, rhythm_test
from wetend.advice.prove.stall import outside_test, stall_test
from wetend.advice.reasons import Verdict
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import ProofReadings
from wetend.units.message import Message, joined

__all__ = ["Proof", "ProofTest", "prove"]

_LOOK_AT = {
    "solvent": Message("the foot valve"),
    "stall-up": Message("the piston valve and the moving packings"),
    "stall-down": Message("the foot valve"),
    "hold": Message(
        "everything to the outside: fittings, dump valve, static packings, and the foot valve"
    ),
    "bucket": Message("the suction (strainer, air leaks), then both valves"),
    "rhythm": Message("the valve of the quicker stroke"),
    "wet-cup": Message("the static packings"),
    "gauge": Message("the drive's supply"),
    "rating": Message("the supply pressure: lower it now"),
    "outside": Message(
        "everything to the outside: hose, its joints, dump valve, fittings, static packings"
    ),
    "limit": Message("the relief valve or regulator: set it down before any pressure"),
    "guards": Message("the guards"),
    "whip-checks": Message("the whip checks"),
    "hose-age": Message("the hose: change it"),
    "hose-cover": Message("the hose: change it"),
    "bonding": Message("the bonding: clamps, bare metal, cable"),
    "trigger-lock": Message("the gun"),
    "dump-valve": Message("the dump valve"),
    "gauge-zero": Message("the gauge"),
}
_TO_CHECKS = frozenset(
    ("solvent", "stall-up", "stall-down", "hold", "outside", "bucket", "rhythm", "wet-cup", "gauge")
)
"""Tests whose readings say what is wrong inside the pump."""


def _overall(tests: Sequence[ProofTest]) -> tuple[Verdict, str]:
    def having(verdict: Verdict) -> list[str]:
        return [t.title for t in tests if t.verdict is verdict]

    failed, unproven = having(Verdict.FAIL), having(Verdict.NOT_PROVEN)
    watch, idle = having(Verdict.WATCH), having(Verdict.NOT_APPLICABLE)
    if failed:
        return Verdict.FAIL, Message("Failed: {failed}.", failed=joined("; ", failed))
    if len(unproven) + len(idle) == len(tests):
        return Verdict.NOT_PROVEN, Message("Nothing is proven yet.")
    if unproven:
        return Verdict.NOT_PROVEN, Message(
            "Still to prove: {unproven}.", unproven=joined("; ", unproven)
        )
    if watch:
        return Verdict.WATCH, Message(
            "Every test meets its limit; points to watch: {watch}.", watch=joined("; ", watch)
        )
    return Verdict.PASS, Message("Every test meets its limit.")


def _on_fail(tests: Sequence[ProofTest]) -> str:
    failed = [t.key for t in tests if t.verdict is Verdict.FAIL]
    if not failed:
        return ""
    places = joined("; ", dict.fromkeys(_LOOK_AT[key] for key in failed))
    if _TO_CHECKS.isdisjoint(failed):
        return Message("Check {places}. Do no work under pressure before that.", places=places)
    return Message(
        "Check {places}. Make the pump safe before opening anything, and copy these "
        "readings to the running checks: they show which leak explains them.",
        places=places,
    )


def _tests(allow: Allowed, readings: ProofReadings) -> tuple[ProofTest, ...]:
    hold = hold_test(allow, readings)
    before = (
        solvent_test(allow, readings),
        hold,
        stall_test(allow, readings, up=True),
        stall_test(allow, readings, up=False),
    )
    after = (
        gauge_test(allow, readings),
        rating_test(allow, readings),
        bucket_test(allow, readings),
        rhythm_test(allow, readings),
        cup_test(readings),
    )
    if readings.older:
        return (*before, *after)
    outside = outside_test(allow, readings, hold)
    solvent, _, *stalls = before
    return (solvent, *stalls, outside, hold, *after, *handover_tests(allow, readings))


def prove(pump: Pump, coating: Coating, readings: ProofReadings) -> Proof:
    """Judge the proof readings against limits from this pump's displacement and coating.

    Each test passes from 95 % probability that the pump truly meets its limit, fails up to 5 %, and
    is not proven between or without a reading; a creep between its two limits is to be watched. The
    whole passes only if every test does; one that is not applicable counts neither way. A proof
    kept before it was asked what holds the rod is judged by the tests of its time.

    Raises:
        NoAnswer: the coating is known by a cup that ran out too quickly.
        UnknownName: no such cup.
    """
    tests = _tests(allowed(pump, coating), readings)
    verdict, why = _overall(tests)
    inside = any(t.verdict is Verdict.FAIL and t.key in _TO_CHECKS for t in tests)
    return Proof(tests=tests, verdict=verdict, why=why, on_fail=_on_fail(tests), inside=inside)
