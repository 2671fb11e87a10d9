"""The injection page, public and cached on the device; near misses and injuries."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.safety.injection import LEAD, MAKE_SAFE, STEPS, TITLE
from wetend.errors import BadInput, NotFound
from wetend.pump.site import Incident
from wetend.units.message import Message
from wetend.web.access import AtDesk, Sent, visit_id_of
from wetend.web.form_data import Typed, read_noun
from wetend.web.forms import Form, FormSpec, Section
from wetend.web.pages import go, render, signer_of
from wetend.web.security import PASS_COOKIE
from wetend.web.stage import RejectedForm, form_for
from wetend.workflows import incidents as workflow
from wetend.workflows import pumps
from wetend.workflows.desk import Desk

router = APIRouter()
_ASKED = FormSpec(
    Incident,
    key="incident",
    submit=Message("Record it"),
    sections=(
        Section(Message("The essentials"), ("kind", "said", "ago")),
        Section(
            Message("More, if known"),
            ("person", "liquid", "pressure", "to_hospital", "informed"),
            folded=True,
        ),
    ),
    long=frozenset({"kind"}),
)


@dataclass(frozen=True)
class InjectionPage:
    """What to do at once, whom to ring, what to say."""

    stage: workflow.InjectionView | None
    """``None`` for someone who has not given the passcode."""
    lead: str = LEAD
    steps: tuple[tuple[str, str], ...] = STEPS
    others: str = MAKE_SAFE


@dataclass(frozen=True)
class IncidentsPage:
    """Near misses and injuries: a form to record one, and all that stand."""

    form: Form
    pumps: tuple[tuple[str, str], ...]
    visit: str
    pump: str
    recorded: tuple[workflow.Recorded, ...]
    gone: tuple[workflow.Recorded, ...]
    names: dict[str, str]


@router.get("/injection")
def show(request: Request, desk: AtDesk, visit: str = "") -> Response:
    """What to do about a jet through the skin; nothing but that for who may not look in."""
    admitted = signer_of(request).admitted(request.cookies.get(PASS_COOKIE, ""))
    view = None
    if admitted:
        try:
            view = workflow.injection(desk, visit_id_of(visit) if visit else "")
        except NotFound:  # an old link still has to say what to do
            view = workflow.injection(desk)
    return render(request, "injection.html", InjectionPage(view), title=TITLE)


def _page(
    request: Request, desk: Desk, typed: Typed | None, again: RejectedForm | None
) -> Response:
    visit = typed.last("visit") if typed else request.query_params.get("visit", "")
    pump = typed.last("pump") if typed else request.query_params.get("pump", "")
    if visit:
        visit = visit_id_of(visit)
        pump = desk.visit(visit).pump.key
    listed = {line.pump.key: line.pump.name for line in pumps.list_pumps(desk)}
    names = {line.pump.key: line.pump.name for line in pumps.list_removed(desk)} | listed
    form = form_for(_ASKED, "/incidents", None, again, system=desk.system)
    page = IncidentsPage(
        form, tuple(listed.items()), visit, pump, workflow.listed(desk), workflow.taken_back(desk),
        names,
    )  # fmt: skip
    status = again.bad.status if again and again.bad else 200
    return render(
        request, "incidents.html", page, title=Message("Near misses and injuries"), status=status
    )


@router.get("/incidents")
def incidents(request: Request, desk: AtDesk) -> Response:
    """Record one, and see those that stand."""
    return _page(request, desk, None, None)


@router.post("/incidents")
def record(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Save a near miss or an injury."""
    visit = typed.last("visit")
    own = {name: value for name, value in typed.own.items() if name not in ("visit", "pump")}
    try:
        said = read_noun(Incident, own, typed.system)
        workflow.record(
            desk, said, visit_id=visit_id_of(visit) if visit else None, pump=typed.last("pump")
        )
    except BadInput as bad:
        return _page(request, desk, typed, RejectedForm("incident", typed, bad))
    return go("/incidents", saved="1")


@router.post("/incidents/record")
def change(desk: AtDesk, typed: Sent) -> Response:
    """Withdraw or restore a near miss or an injury."""
    if typed.last("do") == "put back":
        workflow.put_back(desk, typed.last("entry"))
    else:
        workflow.withdraw(desk, typed.last("entry"), typed.last("reason"))
    return go("/incidents", saved="1", anchor="all")
