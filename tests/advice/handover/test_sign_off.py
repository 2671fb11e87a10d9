"""A pump may be signed off failed or not proven, and then three things more are asked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import pytest

from wetend.advice.handover.sign_off import (
    Later,
    Signature,
    Signed,
    Standing,
    lacking,
    standing,
)
from wetend.advice.reasons import Verdict
from wetend.pump.readings import SignOff

NOON = datetime(2031, 5, 2, 12, tzinfo=UTC)
ASKED = ["reason", "crew_told", "tagged"]


@dataclass(frozen=True)
class Judged:
    verdict: Verdict
    why: str = "as judged"


def signed(**said: Any) -> SignOff:
    return SignOff(technician="A. Tech", received_by="B. Lead", **said)


@pytest.mark.parametrize(
    ("proof", "read", "opened", "verdict"),
    [
        (None, False, False, Verdict.NOT_APPLICABLE), (None, True, False, Verdict.NOT_PROVEN),
        (None, False, True, Verdict.NOT_PROVEN),
        (Judged(Verdict.PASS), True, True, Verdict.PASS),
        (Judged(Verdict.FAIL), True, False, Verdict.FAIL),
        (Judged(Verdict.NOT_PROVEN), False, True, Verdict.NOT_PROVEN),
    ],
)  # fmt: skip
def test_only_a_pump_that_nobody_opened_needs_no_proof(proof, read, opened, verdict) -> None:
    # Common practice, no source.
    assert standing(proof, read=read, opened=opened).verdict is verdict


@pytest.mark.parametrize("verdict", list(Verdict))
def test_a_signature_under_fail_or_not_proven_says_why_and_that_it_is_known_and_tagged(
    verdict: Verdict,
) -> None:
    asks = verdict in (Verdict.FAIL, Verdict.NOT_PROVEN)
    now = Standing(verdict, "")
    assert [p.field for p in lacking(signed(), now)] == (ASKED if asks else [])
    whole = {"reason": "stall follows tomorrow", "crew_told": True, "tagged": True}
    assert lacking(signed(**whole), now) == ()
    for left_out in ASKED:
        said = {name: value for name, value in whole.items() if name != left_out}
        assert [p.field for p in lacking(signed(**said), now)] == ([left_out] if asks else [])


@pytest.mark.parametrize(("crew", "tag"), [(True, True), (True, False), (False, True)])
def test_what_was_not_done_is_said_and_only_of_a_pump_that_did_not_pass(crew, tag) -> None:
    def told(verdict: Verdict, **done: bool) -> str:
        return Signature("A", "B", NOON, Standing(verdict, ""), "", **done).about_crew

    assert told(Verdict.PASS, crew_told=crew, tagged=tag) == ""
    said = {told(Verdict.FAIL, crew_told=c, tagged=t) for c in (True, False) for t in (True, False)}
    assert len(said) == 4
    assert ("not recorded" in told(Verdict.FAIL, crew_told=crew, tagged=tag)) is not (crew and tag)


def test_what_was_signed_counts_until_someone_signs_anew() -> None:
    now, then = Standing(Verdict.PASS, ""), Standing(Verdict.FAIL, "")
    mark = Signature("A", "B", NOON, then, "", crew_told=True, tagged=True)
    assert Signed(now, (), ()).shown is now
    assert Signed(now, (mark,), ()).shown is then


@pytest.mark.parametrize(
    ("what", "touches"), [("proof readings", True), ("coating", True), ("note", False)]
)
def test_later_entries_that_the_proof_is_judged_by_are_marked(what: str, touches: bool) -> None:
    later = (Later("photo", NOON, "A"), Later(what, NOON, "A"))
    assert Signed(Standing(Verdict.PASS, ""), (), later).proof_later is touches
