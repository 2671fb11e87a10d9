"""What is likely to be fitted, by the verdicts; and what a hand-over says of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from wetend.advice.diagnosis.answers import Finding
from wetend.advice.handover.answer import SetUp
from wetend.advice.inspect.judgement import PartJudgement
from wetend.advice.prove.answer import Proof
from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.plan import FIRST_HOUR
from wetend.pump.readings import CheckReadings
from wetend.pump.usage import FITTED_WORDS, Done, FittedPart, Why
from wetend.units.message import Message, joined, raised
from wetend.units.show import chance_text

NAMED, POSSIBLE = 0.5, 0.2
"""Chance from which the checks have named what stopped the pump, and from which it is named."""
_DONE: Mapping[Verdict, Done] = {
    Verdict.REPLACE: "new", Verdict.TURN: "turned", Verdict.KEEP: "put back",
    Verdict.DRESS: "put back",
}  # fmt: skip
_GOES_WITH: Mapping[FittedPart, tuple[FittedPart, str]] = {
    "foot-seat": ("foot-ball", Message("A new or turned seat needs a new ball.")),
    "piston-seat": ("piston-ball", Message("A new or turned seat needs a new ball.")),
    "cylinder": ("moving-packings", Message("Moving packings go with a new cylinder.")),
}
"""What goes in with what: common practice, no source."""
_FOOT: tuple[FittedPart, ...] = ("foot-ball", "foot-seat", "cage")


@dataclass(frozen=True)
class Proposal:
    """What is likely to be done with one part; the person says what was."""

    part: FittedPart
    title: str
    verdict: Verdict | None
    """By inspection; ``None`` where nothing was measured."""
    done: Done | None
    """``None``: nothing says."""
    why: Why
    because: str


def stopped_by(findings: Sequence[Finding]) -> frozenset[str]:
    """Parts that make the faults which the running checks have named."""
    named = [f.fault for f in findings if f.probability >= NAMED]
    return frozenset(part for fault in named for part in fault.life_parts)


def propose(
    judgements: Sequence[PartJudgement],
    *,
    stopped: Collection[str] = (),
    readings: CheckReadings | None = None,
) -> tuple[Proposal, ...]:
    """What is likely to be done with every part, in the order shown.

    Args:
        judgements: of the parts measured, the worst first.
        stopped: parts that stopped the pump, by the checks (:func:`stopped_by`).
        readings: the running checks; another nozzle that made it better stays in.
    """
    found: dict[FittedPart, Proposal] = {}
    for part, title in FITTED_WORDS.items():
        judged = next((j for j in judgements if j.part == part), None)
        done = _DONE.get(judged.verdict) if judged else None
        why: Why = "worn out" if part in stopped else "found worn"
        because = judged.why if judged else ""
        found[part] = Proposal(part, title, judged.verdict if judged else None, done, why, because)
    for part, (other, because) in _GOES_WITH.items():
        if _begins(found[part]) and not _begins(found[other]):
            found[other] = _along(found[other], because)
    if any(_begins(found[part]) for part in _FOOT):
        found["soft-rings"] = _along(
            found["soft-rings"], Message("New soft rings whenever it was open.")
        )
    if readings and readings.nozzle_changed == "better":
        better = Message("A nozzle known to be good made it better.")
        found["nozzle"] = Proposal(
            "nozzle", FITTED_WORDS["nozzle"], None, "new", "worn out", better
        )
    return tuple(found.values())


def _begins(proposal: Proposal) -> bool:
    return proposal.done in ("new", "turned")


def _along(proposal: Proposal, because: str) -> Proposal:
    said = joined(" ", filter(None, (because, proposal.because)))
    return Proposal(proposal.part, proposal.title, proposal.verdict, "new", "planned", said)


def found_text(judgements: Sequence[PartJudgement], findings: Sequence[Finding]) -> str:
    """What was found, to sign: what was past its limit, else what the checks named."""
    bad = (Verdict.REPLACE, Verdict.TURN, Verdict.DRESS)
    reasons = [
        Message("{title}: {why}", title=raised(j.title), why=j.why)
        for j in judgements
        if j.verdict in bad
    ]
    if reasons:
        return joined("\n", reasons)
    likely = [f for f in findings if f.probability >= POSSIBLE][:2]
    return joined(
        "\n",
        (
            Message(
                "{fault}, {word}, {chance}.",
                fault=raised(f.fault.title),
                word=f.word,
                chance=chance_text(f.probability),
            )
            for f in likely
        ),
    )


def watch_text(
    judgements: Sequence[PartJudgement], sheet: SetUp | None, proof: Proof | None, *, opened: bool
) -> str:
    """What to watch, to sign: what is near a limit, and the first hour after a rebuild."""
    sentences = [
        Message("{title}: {why}", title=raised(j.title), why=j.why)
        for j in judgements
        if j.verdict is Verdict.MEASURE_AGAIN
    ]
    sentences += [
        Message("{title}: {why}", title=raised(t.title), why=t.why)
        for t in (proof.tests if proof else ())
        if t.verdict is Verdict.WATCH
    ]
    sentences += [
        Message("{title}: {why}", title=raised(s.title), why=s.why)
        for s in (sheet.settings if sheet else ())
        if s.verdict is Verdict.WATCH
    ]
    if opened:
        sentences.append(FIRST_HOUR)
    return joined("\n", sentences)
