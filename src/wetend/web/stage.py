"""Shared parts of the seven stage pages: header, forms and next stage."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from starlette.requests import Request
from starlette.responses import Response

from wetend.errors import BadInput
from wetend.pump.readings import Photo
from wetend.records.fold import Visit
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.web.form_data import ACT_FIELD, MORE_FIELD, WAS_FIELD, Texts, Typed, row_numbers
from wetend.web.forms import Form, FormSpec, ask, default_texts, problems_of, texts_of
from wetend.web.pages import render
from wetend.web.person import person_of
from wetend.web.stage_nav import STAGE_WORDS, rail_of
from wetend.workflows.acts.queue import next_act
from wetend.workflows.desk import Desk
from wetend.workflows.form_sent import EditConflict
from wetend.workflows.job import Job, job_of

TITLES = {
    "complaint": Message("Complaint"),
    "checks": Message("Running checks"),
    "strip": Message("Strip"),
    "inspect": Message("Inspect"),
    "rebuild": Message("Rebuild"),
    "prove": Message("Prove"),
    "handover": Message("Hand over"),
}
"""Each stage's page title."""

_NOTHING = "null"
"""JSON that says a form was filled with nothing of the record."""


@dataclass(frozen=True)
class RejectedForm:
    """A rejected form, shown again as typed with its errors."""

    key: str
    typed: Typed
    bad: BadInput | None = None


def with_more(typed: Typed) -> Texts:
    """The texts typed, with one more blank row where one was asked for."""
    name = typed.last(MORE_FIELD)
    texts = dict(typed.own)
    if name:
        numbers = row_numbers(texts, name)
        texts[f"{name}.{(numbers[-1] + 1) if numbers else 0}.more"] = ("",)
    return texts


def form_for(
    asked: FormSpec, action: str, kept: Noun | None, again: RejectedForm | None, *, system: System,
    proposed: Mapping[str, str] | None = None,
) -> Form:  # fmt: skip
    """A form showing what was just typed in it, else what is kept, else what is proposed.

    It carries what it was filled with, so that only what is changed in it is written.
    """
    if again is not None and again.key == asked.key:
        form = ask(asked, action, with_more(again.typed), system=again.typed.system,
                   problems=problems_of(again.bad))  # fmt: skip
        was = again.bad.was if isinstance(again.bad, EditConflict) else again.typed.last(WAS_FIELD)
        return replace(form, act=again.typed.last(ACT_FIELD) or form.act, was=was)
    if kept is not None:
        was = kept.model_dump_json(exclude_unset=True)
        return replace(ask(asked, action, texts_of(kept, system), system=system), was=was)
    ready = {name: (text,) for name, text in (proposed or {}).items()}
    texts = {**default_texts(asked.noun, system), **ready}
    return replace(ask(asked, action, texts, system=system), was=_NOTHING)


@dataclass(frozen=True)
class NextStage:
    """Where the visit goes on."""

    word: str
    path: str


@dataclass(frozen=True)
class VisitHead:
    """Header and footer of every page of a visit."""

    visit: Visit
    stage: str
    sheet: str
    next: NextStage | None
    job: Job
    photos: tuple[Photo, ...] = field(default=())


def head_of(visit: Visit, stage: str) -> VisitHead:
    """The head of one stage's page."""
    names = list(STAGE_WORDS)
    place = names.index(stage)
    after = names[place + 1] if place + 1 < len(names) else None
    onward = NextStage(TITLES[after], f"/visits/{visit.id}/{after}") if after else None
    sheet = Message("{place} of {names}", place=place + 1, names=len(names))
    return VisitHead(visit, stage, sheet, onward, job_of(visit, stage), visit.photos)


def _go_on(request: Request, visit: Visit) -> str:
    """The act that comes next in a visit; blank in one that is over."""
    if visit.closed:
        return ""
    desk = Desk(request.app.state.depot, who=person_of(request).who)
    after = next_act(desk, visit.id)
    return after.title if after else ""


def stage_page(
    request: Request, visit: Visit, stage: str, view: object, *, again: RejectedForm | None = None
) -> Response:
    """A stage's page; 422 when a form was rejected with errors."""
    status = again.bad.status if again and again.bad else 200
    return render(
        request,
        f"{stage}.html",
        view,
        title=TITLES[stage],
        status=status,
        rail=rail_of(visit.id, visit.done, stage),
        go_on=_go_on(request, visit),
    )
