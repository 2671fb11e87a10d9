"""A visit one act a screen: the next act, one act, what is left; each reading saved alone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Query
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import TITLES, for_screen
from wetend.errors import BadInput, Problem
from wetend.pump.coating import Coating
from wetend.records.entries import PAYLOADS, Entry
from wetend.units.message import Message
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.checks import ready_for_readings
from wetend.web.do.forms import ActForm, act_form
from wetend.web.do.pictures import picture_of, where_of
from wetend.web.fitted_form import FittedForm, fitted_form, read_answers, read_was
from wetend.web.form_data import Typed, read_noun
from wetend.web.forms import sentence
from wetend.web.pages import go, render
from wetend.web.person import name_of, remember
from wetend.web.stage import RejectedForm
from wetend.workflows import fitted, visits
from wetend.workflows.acts.act import STAGE_TITLES, Act, ActStage, ActsView
from wetend.workflows.acts.before import coating_before, proposal_of, signature_of
from wetend.workflows.acts.queue import acts_of
from wetend.workflows.acts.saving import save, skip, undo
from wetend.workflows.desk import Desk
from wetend.workflows.job import Job, job_of

router = APIRouter()
WHO_FIELD = "_who"
ZERO_FIELD = "_zero"
"""Id of the proof of zero that stood when the act's page was drawn."""
_OWN = frozenset({"coating", "part-fitted"})
"""Kinds whose acts have a form of their own."""
_NAMELESS = Message("Enter your name: zero holds for you alone.")
_REASONS = (
    Message("No tool or instrument for it here"),
    Message("Can't be reached or seen here"),
    Message("Not safe here now"),
    Message("This pump has none"),
)
"""Why an act can't be done, one tap each; any other reason is written."""


@dataclass(frozen=True)
class OneLine:
    """A caution that opens from one line."""

    caution: Caution
    name: str


@dataclass(frozen=True)
class Undo:
    """What was saved just now, and how to take it back."""

    said: str
    path: str
    entries: tuple[str, ...]


@dataclass(frozen=True)
class DoPage:
    """One act on its screen."""

    acts: ActsView
    act: Act
    asked: ActForm | None
    """``None`` where it waits for zero, or has a form of its own."""
    whole: Caution | None
    """The gravest caution, shown whole."""
    others: tuple[OneLine, ...]
    picture: Markup | None
    how_open: bool
    undo: Undo | None
    job: Job
    base: str
    shut: bool
    """Whether it waits for zero to be proven."""
    stage_title: str
    counted: tuple[int, int]
    sheet: str
    """Address of the stage's whole page."""
    reasons: tuple[str, ...] = _REASONS
    named: bool = True
    """Whether it is known who ticks the make-safe list."""
    coatings: tuple[Coating, ...] = ()
    coating: str = ""
    fitted: FittedForm | None = None
    trouble: str = ""
    who: str = ""
    where: Markup | None = None
    """Where and how its readings are taken, drawn."""

    @property
    def visit_id(self) -> str:
        """The visit."""
        return self.acts.visit.id

    @property
    def action(self) -> str:
        """Where the act is sent."""
        return f"{self.base}/{self.act.name}"

    @property
    def zero_id(self) -> str:
        """The proof of zero that stands."""
        zero = self.acts.gate.zero
        return zero.proven.id if zero.stands and zero.proven else ""


@dataclass(frozen=True)
class LeftStage:
    """A stage of the list with its acts."""

    title: str
    sheet: str
    left: tuple[Act, ...]
    over: tuple[Act, ...]


@dataclass(frozen=True)
class LeftPage:
    """What is left of a visit, stage by stage."""

    acts: ActsView
    stages: tuple[LeftStage, ...]
    base: str
    undo: Undo | None
    job: Job

    @property
    def visit_id(self) -> str:
        """The visit."""
        return self.acts.visit.id


def sheet_of(visit_id: str, stage: ActStage) -> str:
    """Address of the whole page of an act's stage."""
    page = "complaint" if stage == "make-safe" else stage
    return f"/visits/{visit_id}/{page}"


def address_of(visit_id: str, act: Act | None) -> str:
    """Where an act is done: on its own page, else on its screen; the list where there is none."""
    if act is None:
        return f"/visits/{visit_id}/do/list"
    return f"/visits/{visit_id}/{act.path or f'do/{act.name}'}"


def _undo(acts: ActsView, of: str, entries: str) -> Undo | None:
    act = next((a for a in acts.acts if a.name == of), None)
    own = {e.id for e in acts.visit.entries}
    known = tuple(e for e in entries.split(",") if e in own)
    if act is None or not known:
        return None
    return Undo(act.title, f"/visits/{acts.visit.id}/do/{act.name}/undo", known)


def _name(caution: Caution) -> str:
    named = next((name for hazard, name in TITLES.items() if hazard == caution.hazard), "")
    return sentence(named or Message("caution"))


def _shown(
    desk: Desk, acts: ActsView, act: Act, again: RejectedForm | None
) -> tuple[ActForm | None, FittedForm | None]:
    visit = acts.visit
    if act.kind == "part-fitted":
        mine = replace(again, key="fitted") if again else None
        return None, fitted_form(fitted.view_of(desk, visit), "rebuild", mine)
    if act.kind is None or act.kind in _OWN or (acts.shut(act) and again is None):
        return None, None
    action = f"/visits/{visit.id}/do/{act.name}"
    signature = signature_of(desk, visit.id) if act.kind == "sign-off" else None
    return act_form(
        act, visit, acts.gate, again, action=action, system=desk.system, signature=signature,
        proposed=proposal_of(desk, visit, act) if again is None else None,
    ), None  # fmt: skip


_HOW_OPEN = 230
"""Letters of caution and instruction together up to which both are shown open."""


def _page(
    request: Request, desk: Desk, visit_id: str, stage: str, key: str,
    again: RejectedForm | None = None, saved: tuple[str, str] = ("", ""),
) -> Response:  # fmt: skip
    acts = acts_of(desk, visit_id)
    act = acts.act(stage, key)
    visit, job = acts.visit, job_of(acts.visit, stage)
    asked, own = _shown(desk, acts, act, again)
    cautions = for_screen(*act.cautions, *job.cautions)
    room = len(act.how) + (len(cautions[0].text) if cautions else 0)
    who = again.typed.last(WHO_FIELD) if again else desk.who
    where = where_of(act, visit, desk.reader)
    page = DoPage(
        acts=acts, act=act, asked=asked, whole=cautions[0] if cautions else None,
        others=tuple(OneLine(c, _name(c)) for c in cautions[1:]),
        picture=picture_of(act, visit, desk.reader), where=where,
        how_open=where is None and (room <= _HOW_OPEN or bool(asked and asked.answers)),
        undo=_undo(acts, *saved), job=job, base=f"/visits/{visit_id}/do",
        shut=acts.shut(act), stage_title=STAGE_TITLES[act.stage],
        counted=acts.counted(act.stage), sheet=sheet_of(visit_id, act.stage),
        named=bool(desk.who.strip()), fitted=own, who=who,
        coatings=desk.coatings() if act.kind == "coating" else (),
        coating=_coating(desk, acts, again) if act.kind == "coating" else "",
        trouble=ready_for_readings(visit)
        if act.stage == "checks" and visit.readings is None else "",
    )  # fmt: skip
    status = again.bad.status if again and again.bad else 200
    return render(request, "do.html", page, title=act.title, status=status)


def _coating(desk: Desk, acts: ActsView, again: RejectedForm | None) -> str:
    if again is not None:
        return again.typed.last("coating")
    now = acts.visit.coating
    return now.key if now else coating_before(desk, acts.visit)


Of = Annotated[str, Query(max_length=100)]
Entries = Annotated[str, Query(max_length=400)]


@router.get("/visits/{visit_id}/do")
def go_on(desk: AtDesk, visit_id: VisitId) -> Response:
    """Send the browser to the act that comes next, or to the list where none does."""
    return go(address_of(visit_id, acts_of(desk, visit_id).next))


@router.get("/visits/{visit_id}/do/list")
def show_list(
    request: Request, desk: AtDesk, visit_id: VisitId, of: Of = "", entries: Entries = ""
) -> Response:
    """What is left, and what is over, stage by stage."""
    acts = acts_of(desk, visit_id)
    stages = tuple(
        LeftStage(
            title, sheet_of(visit_id, stage),
            tuple(a for a in acts.acts if a.stage == stage and a.left),
            tuple(a for a in acts.acts if a.stage == stage and not a.left),
        )
        for stage, title in STAGE_TITLES.items()
    )  # fmt: skip
    page = LeftPage(
        acts, tuple(s for s in stages if s.left or s.over), f"/visits/{visit_id}/do",
        _undo(acts, of, entries), job_of(acts.visit),
    )  # fmt: skip
    return render(request, "do_list.html", page, title=Message("What is left"))


@router.get("/visits/{visit_id}/do/{stage}/{key}")
def show(
    request: Request, desk: AtDesk, visit_id: VisitId, stage: str, key: str, of: Of = "",
    entries: Entries = "",
) -> Response:  # fmt: skip
    """One act."""
    act = acts_of(desk, visit_id).act(stage, key)
    if act.path:
        return go(address_of(visit_id, act))
    return _page(request, desk, visit_id, stage, key, saved=(of, entries))


def _onward(desk: Desk, visit_id: str, act: Act, made: tuple[Entry, ...]) -> Response:
    """To the next act; it says what was saved, and undoes it."""
    after = acts_of(desk, visit_id).next
    path = address_of(visit_id, after)
    if not made or (after is not None and after.path):
        page, _, anchor = path.partition("#")
        return go(page, saved="1" if made else "", anchor=anchor)
    entries = ",".join(e.id for e in made)
    return go(f"{path}?of={act.name}&entries={entries}", saved="do")


def _save(desk: Desk, visit_id: str, act: Act, typed: Typed) -> tuple[Entry, ...]:
    """Save an act's form.

    Raises:
        BadInput: it can't be read, or not be of this pump.
    """
    if act.kind == "coating":
        before = {e.id for e in desk.visit(visit_id).entries}
        if not typed.last("coating"):
            why = Message("Choose a coating, or describe one.")
            raise BadInput(why, (Problem("coating", why),))
        coating = desk.coating(typed.last("coating"))
        after = visits.choose_coating(desk, visit_id, coating)
        return tuple(e for e in after.entries if e.id not in before)
    if act.kind == "part-fitted":
        before = {e.id for e in desk.visit(visit_id).entries}
        rows = {p for p in act.fields if f"did.{p}" in typed.texts}
        answers = fitted.changed(read_was(typed), read_answers(typed))
        after = fitted.save(desk, visit_id, {p: a for p, a in answers.items() if p in rows})
        return tuple(e for e in after.entries if e.id not in before)
    if act.kind is None:
        raise BadInput(Message("This step is marked on its own page."))
    own = {n.partition(".")[0] for n in (*act.fields, *act.more)}
    texts = {n: t for n, t in typed.own.items() if n.partition(".")[0] in own}
    said = read_noun(PAYLOADS[act.kind], texts, typed.system, given=act.fixed)
    return save(desk, visit_id, act, said, begun_under=typed.last(ZERO_FIELD))


@router.post("/visits/{visit_id}/do/{stage}/{key}")
def save_act(
    request: Request, desk: AtDesk, visit_id: VisitId, stage: str, key: str, typed: Sent
) -> Response:
    """Save one act alone, and go on to the next."""
    act = acts_of(desk, visit_id).act(stage, key)
    who = desk.who
    try:
        if act.kind == "make-safe":
            who = name_of(typed.last(WHO_FIELD)) or desk.who
            if not who:
                raise BadInput(_NAMELESS, (Problem(WHO_FIELD, _NAMELESS),))
        at_work = replace(desk, who=who)
        made = _save(at_work, visit_id, act, typed)
    except BadInput as bad:
        return _page(request, desk, visit_id, stage, key, RejectedForm("act", typed, bad))
    response = _onward(at_work, visit_id, act, made)
    if who != desk.who:
        remember(response, {"who": who})
    return response


@router.post("/visits/{visit_id}/do/{stage}/{key}/cannot")
def save_cannot(desk: AtDesk, visit_id: VisitId, stage: str, key: str, typed: Sent) -> Response:
    """Save that an act can't be done, and go on to the next.

    Raises:
        BadInput: no reason is given.
    """
    act = acts_of(desk, visit_id).act(stage, key)
    made = skip(desk, visit_id, act, typed.last("other").strip() or typed.last("reason"))
    return _onward(desk, visit_id, act, made)


@router.post("/visits/{visit_id}/do/{stage}/{key}/undo")
def take_back(desk: AtDesk, visit_id: VisitId, stage: str, key: str, typed: Sent) -> Response:
    """Take back what this act saved just now, and show it again.

    Raises:
        NotFound: an entry that is not of this visit.
    """
    act = acts_of(desk, visit_id).act(stage, key)
    undo(desk, visit_id, act, typed.all("entry"))
    return go(f"/visits/{visit_id}/do/{act.name}", saved="undone")
