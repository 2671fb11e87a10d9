"""Stores: stock levels and orders, and the parts box for one call."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.stores.stock import StockPlan
from wetend.drawings.box_curve import box_curve
from wetend.errors import BadInput
from wetend.units import kinds
from wetend.units.message import Message
from wetend.units.parse import read_quantity
from wetend.units.quantity import Ratio, SAsDays
from wetend.web.access import AtDesk, VisitId
from wetend.web.form_data import Texts, query_texts
from wetend.web.forms import Form
from wetend.web.life import costs_form, costs_of
from wetend.web.pages import drawing, render
from wetend.workflows import stores as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
_HAVE = "have."


@dataclass(frozen=True)
class StoresPage:
    """The stores page."""

    stage: workflow.StoresView
    costs: Form
    query: str
    """The address's own query, for the order list."""
    lead: str
    fill: str
    fault: str


@dataclass(frozen=True)
class BoxPage:
    """The page of the parts box for one call."""

    stage: workflow.BoxView
    room: str
    curve: Markup
    fault: str


@dataclass(frozen=True)
class _Asked:
    """What the address asks for."""

    lead: SAsDays
    fill: Ratio | None
    have: dict[str, int]
    fault: str


def _last(texts: Texts, name: str, default: str) -> str:
    return next((t for t in reversed(texts.get(name, ())) if t.strip()), default)


def _asked(texts: Texts) -> _Asked:
    have = {
        name.removeprefix(_HAVE): min(int(values[-1]), 10**6)
        for name, values in texts.items()
        if name.startswith(_HAVE) and values[-1].strip().isdecimal() and len(values[-1]) < 9
    }
    try:
        lead = read_quantity(_last(texts, "lead", "21"), kinds.TIME, bare="d")
        typed = _last(texts, "fill", "")
        fill = read_quantity(typed, kinds.RATIO, bare="%") if typed else None
        if not ((fill is None or 0 < fill < 1) and 86400 <= lead <= 3 * 365 * 86400):
            raise BadInput(Message("Enter a lead time of 1 to 1000 days and a chance under 100 %."))
    except BadInput as bad:
        return _Asked(workflow.LEAD, None, have, str(bad))
    return _Asked(lead, fill, have, "")


@router.get("/stores")
def show(request: Request, desk: AtDesk) -> Response:
    """What to hold in depot and van, and what to order."""
    texts = query_texts(request)
    asked = _asked(texts)
    costs, bad = costs_of(texts, desk)
    view = workflow.view(desk, costs=costs, lead=asked.lead, fill=asked.fill, have=asked.have)
    page = StoresPage(
        view, costs_form("/stores", texts, costs, bad, desk),
        urlencode([(n, v) for n, values in texts.items() for v in values]),
        _last(texts, "lead", "21"), _last(texts, "fill", ""), asked.fault,
    )  # fmt: skip
    status = 422 if asked.fault or bad else 200
    return render(request, "stores.html", page, title=Message("Stores"), status=status)


def _plan(request: Request, desk: Desk) -> StockPlan:
    texts = query_texts(request)
    asked = _asked(texts)
    if asked.fault:
        raise BadInput(asked.fault)
    costs, bad = costs_of(texts, desk)
    if bad:
        raise bad
    return workflow.plan(desk, costs, lead=asked.lead, fill=asked.fill, have=asked.have)


def _file(name: str, data: bytes, media: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type=media, headers=headers)


@router.get("/stores/order.csv")
def order_csv(request: Request, desk: AtDesk) -> Response:
    """The order list as CSV."""
    text = workflow.order_csv(_plan(request, desk))
    return _file("order-list.csv", text.encode(), "text/csv; charset=utf-8")


@router.get("/stores/order.pdf")
def order_pdf(request: Request, desk: AtDesk) -> Response:
    """The order list as PDF."""
    pdf = workflow.order_pdf(desk, _plan(request, desk))
    return _file("order-list.pdf", pdf, "application/pdf")


@router.get("/visits/{visit_id}/box")
def box(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """What to carry on one call."""
    typed, fault = _last(query_texts(request), "room", ""), ""
    room = workflow.ROOM
    unit = "L" if desk.system == "metric" else "gal"
    try:
        room = read_quantity(typed, kinds.VOLUME, bare=unit) if typed else room
        view = workflow.box(desk, visit_id, room=room)
    except BadInput as bad:
        fault = str(bad)
        view = workflow.box(desk, visit_id)
    shown = typed or ("2" if desk.system == "metric" else "0.5")
    page = BoxPage(view, shown, drawing(box_curve(view.box, view.limit, reader=desk.reader)), fault)
    return render(request, "box.html", page, title=Message("Parts box for this call"),
                  status=422 if fault else 200)  # fmt: skip
