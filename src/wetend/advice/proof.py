"""The rebuilt pump proved: each limit worked out from this pump and coating."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.proof_answer import Proof, ProofTest
from wetend.advice.proof_bench import cup_test, hold_test, solvent_test, stall_test
from wetend.advice.proof_limits import allowed
from wetend.advice.proof_running import bucket_test, gauge_test, rating_test, rhythm_test
from wetend.advice.reasons import Verdict
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import ProofReadings

__all__ = ["Proof", "ProofTest", "prove"]

_LOOK_AT = {
    "solvent": "the foot valve",
    "stall-up": "the piston valve and the moving packings",
    "stall-down": "the foot valve",
    "hold": "everything to the outside: fittings, dump valve, static packings, and the foot valve",
    "bucket": "the suction (strainer, air leaks), then both valves",
    "rhythm": "the valve of the quicker stroke",
    "wet-cup": "the static packings",
    "gauge": "the drive's supply",
    "rating": "the supply pressure: lower it now",
}


def _overall(tests: Sequence[ProofTest]) -> tuple[Verdict, str]:
    failed = [t.title for t in tests if t.verdict is Verdict.FAIL]
    unproven = [t.title for t in tests if t.verdict is Verdict.NOT_PROVEN]
    if failed:
        return Verdict.FAIL, f"Failed: {'; '.join(failed)}."
    if len(unproven) == len(tests):
        return Verdict.NOT_PROVEN, "Nothing is proven yet."
    if unproven:
        return Verdict.NOT_PROVEN, f"Still to prove: {'; '.join(unproven)}."
    return Verdict.PASS, "Every test meets its limit."


def _on_fail(tests: Sequence[ProofTest]) -> str:
    failed = [t.key for t in tests if t.verdict is Verdict.FAIL]
    if not failed:
        return ""
    places = "; ".join(dict.fromkeys(_LOOK_AT[key] for key in failed))
    return (
        f"Look at {places}. Make the pump safe before opening anything, and take these readings "
        "back to the running checks: they say which leak explains them."
    )


def prove(pump: Pump, coating: Coating, readings: ProofReadings) -> Proof:
    """Judge the proof readings against limits from this pump's displacement and coating.

    Each test passes from 95 % probability that the pump truly meets its limit, fails up to 5 %, and
    is not proven between or without a reading. The whole passes only if every test does.

    Raises:
        NoAnswer: the coating is known by a cup that ran out too quickly.
        UnknownName: no such cup.
    """
    allow = allowed(pump, coating)
    tests = (
        solvent_test(allow, readings),
        hold_test(allow, readings),
        stall_test(allow, readings, up=True),
        stall_test(allow, readings, up=False),
        gauge_test(allow, readings),
        rating_test(allow, readings),
        bucket_test(allow, readings),
        rhythm_test(allow, readings),
        cup_test(readings),
    )
    verdict, why = _overall(tests)
    return Proof(tests=tests, verdict=verdict, why=why, on_fail=_on_fail(tests))
