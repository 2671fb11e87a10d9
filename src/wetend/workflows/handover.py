"""Stage seven: settings for the coating, the signature, the report."""

from __future__ import annotations

from dataclasses import dataclass, replace

from wetend.advice.handover.care import CareList, care_lists
from wetend.advice.handover.set_up import SetUp, set_up
from wetend.advice.handover.sign_off import Signed, lacking
from wetend.advice.life.next_repack import PACKINGS, NextRepack, come_back_text
from wetend.advice.stores.fitted_parts import found_text, watch_text
from wetend.errors import BadInput, NoAnswer, UnknownName
from wetend.pump.readings import SetUpRequest, SignOff
from wetend.pump.usage import fitted_words
from wetend.records.entries import said_by
from wetend.records.fold import Visit, as_signed
from wetend.units.message import Message, joined
from wetend.workflows.checks import diagnosis_of, leanings_of
from wetend.workflows.desk import Desk
from wetend.workflows.fitted import view_of as fitted_view
from wetend.workflows.inspect import judgements_of
from wetend.workflows.job import job_of
from wetend.workflows.life import repack_of_visit
from wetend.workflows.life_facts import facts
from wetend.workflows.standing import proof_of, signed_of, standing_of


@dataclass(frozen=True)
class HandoverView:
    """The hand-over page: the set-up sheet and the signature."""

    visit: Visit
    sheet: SetUp | None
    """``None`` until the coating is known, or when ``no_answer`` says why there is none."""
    no_answer: str
    repack: NextRepack | None
    """As the pump's life has it; of a signed visit, as it stood when that was signed."""
    repack_known: bool
    """Whether the fitting of the packings is on record, so that nobody need say their age."""
    fitted_missing: tuple[str, ...]
    """Parts to be fitted or turned by their verdicts, of which nothing is recorded yet."""
    signed: Signed
    """the state of the pump, who has signed and under what, and what came after."""
    care: tuple[CareList, ...] = ()
    """What to do with the pump between jobs, by the coating."""
    moved: tuple[tuple[str, str], ...] = ()
    """What the record says otherwise since it was signed: what of it, and what it says now."""


def save_set_up(desk: Desk, visit_id: str, request: SetUpRequest) -> Visit:
    """Save what the settings are computed for."""
    return desk.keep_in_visit("set-up", request, visit_id)


def sign_off(desk: Desk, visit_id: str, signed: SignOff) -> Visit:
    """Sign the visit off, under the proof's verdict as it stands.

    Later entries are still kept, marked as later, and never change what was signed.

    Raises:
        BadInput: the pump failed its proof or is not proven, and it is not said why it is signed
            off all the same, that the crew was informed and that the pump is tagged.
    """
    visit = desk.visit(visit_id)
    if _signed_by_this_form(desk, signed):
        return visit
    now = standing_of(visit)
    lacks = lacking(signed, now)
    if lacks:
        raise BadInput(joined(" ", (p.sentence for p in lacks)), lacks)
    under = {
        "proof": str(now.verdict), "proof_why": now.why, "entries_seen": len(visit.entries),
    }  # fmt: skip
    return desk.keep_in_visit("sign-off", signed.model_copy(update=under), visit_id)


def _signed_by_this_form(desk: Desk, signed: SignOff) -> bool:
    """Whether the form sent has signed just so before: a second tap signs nothing more."""
    by_program = dict.fromkeys(("proof", "proof_why", "entries_seen"))

    def said(noun: SignOff) -> SignOff:
        return noun.model_copy(update=by_program)

    kept = (said_by(entry) for entry in desk.depot.saved_by_form(desk.sent.act))
    return any(isinstance(noun, SignOff) and said(noun) == said(signed) for noun in kept)


def sheet_of(visit: Visit) -> tuple[SetUp | None, str]:
    """The set-up sheet of a visit, or why there is none."""
    if visit.coating is None:
        return None, ""
    try:
        return set_up(visit.pump, visit.coating, visit.set_up or SetUpRequest()), ""
    except (NoAnswer, UnknownName) as why:
        return None, str(why)


def care_of(visit: Visit) -> tuple[CareList, ...]:
    """What to do with the pump between jobs; nothing until the coating is known.

    What stands at the head of the stage is not warned of again.
    """
    if visit.coating is None:
        return ()
    said = [caution.hazard for caution in job_of(visit, "handover").cautions]
    return care_lists(visit.pump, visit.coating, said=said)


def view(desk: Desk, visit_id: str) -> HandoverView:
    """The hand-over as it stands."""
    visit = desk.visit(visit_id)
    sheet, no_answer = sheet_of(visit)
    own = facts(desk).pumps.get(visit.pump.key)
    dated = own is not None and all(
        not own.parts[part].assumed and not own.parts[part].said for part in PACKINGS
    )
    missing = fitted_view(desk, visit).missing
    care, again = care_of(visit), repack_of_visit(desk, visit)
    seen = HandoverView(visit, sheet, no_answer, again, dated, missing, signed_of(visit), care)
    return replace(seen, moved=_moved(desk, seen))


_FROM_RECORD = {
    "found": Message("found"), "fitted": Message("fitted"), "watch": Message("watch"),
}  # fmt: skip


def _moved(desk: Desk, seen: HandoverView) -> tuple[tuple[str, str], ...]:
    """What the record would propose otherwise than when it was signed; the signature stays."""
    if not seen.visit.signatures or not seen.signed.later:
        return ()
    then = as_signed(seen.visit, seen.visit.signatures[-1][0])
    before = proposed(desk, replace(seen, visit=then, sheet=sheet_of(then)[0]))
    now = proposed(desk, seen)
    return tuple(
        (label, now[name] or Message("nothing"))
        for name, label in _FROM_RECORD.items()
        if now[name] != before[name]
    )


def proposed(desk: Desk, seen: HandoverView) -> dict[str, str]:
    """What the sign-off says unless the person changes it, by field: read from the record."""
    visit = seen.visit
    judgements = judgements_of(visit)
    found = diagnosis_of(visit, leanings=leanings_of(desk, visit))
    proof = proof_of(visit)[0] if visit.proof else None
    opened = bool(visit.stack or (visit.rebuilt and visit.rebuilt.done))
    watch = watch_text(judgements, seen.sheet, proof, opened=opened)
    return {
        "technician": desk.who,
        "found": desk.reader.tell(found_text(judgements, found.findings if found else ())),
        "fitted": desk.reader.tell(fitted_words(visit.fitted)),
        "watch": desk.reader.tell(watch),
        "come_back": desk.reader.tell(come_back_text(seen.repack)) if seen.repack else "",
    }
