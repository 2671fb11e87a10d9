"""The what-if page: shims tried before they are fitted; nothing is saved."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.rebuild.what_if import ShimsTried
from wetend.drawings import stack
from wetend.errors import BadInput
from wetend.records.fold import Visit
from wetend.units.message import Message, joined
from wetend.units.quantity import M, unit_of
from wetend.units.show import number
from wetend.web.access import AtDesk, VisitId
from wetend.web.form_data import UNITS_FIELD, own_of, query_texts, read_noun
from wetend.web.forms import Form, FormSpec, ask, problems_of
from wetend.web.pages import drawing, render
from wetend.workflows import rebuild

router = APIRouter()
_ASKED = FormSpec(
    ShimsTried,
    key="tried",
    submit="Compare",
    hints={
        "on_top": Message("Separated by commas; blank: none"),
        "under": Message("Where they do not belong"),
    },
)


@dataclass(frozen=True)
class WhatIfPage:
    """The stack as calculated beside the stack as tried."""

    visit: Visit
    form: Form
    stage: rebuild.TriedView
    right: Markup | None
    tried: Markup | None
    back: str
    best: str
    """Query that fills in the calculated shims."""


@router.get("/visits/{visit_id}/rebuild/what-if")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """Shims as the address gives them, computed beside the right ones."""
    texts, system = own_of(query_texts(request), ShimsTried, desk.system)
    tried, bad = None, None
    if texts:
        try:
            tried = read_noun(ShimsTried, texts, system)
        except BadInput as error:
            bad = error
    view = rebuild.try_shims(desk, visit_id, tried)
    path = f"/visits/{visit_id}/rebuild/what-if"
    fit, pump = view.fit, view.visit.pump
    shims = joined(", ", (number(s, unit_of(M), system) for s in fit.shims)) if fit else ""
    page = WhatIfPage(
        visit=view.visit,
        form=ask(_ASKED, path, texts, system=system, problems=problems_of(bad)),
        stage=view,
        right=drawing(stack.variant(view.right, fit, pump, reader=desk.reader))
        if view.right else None,
        tried=drawing(stack.variant(view.tried, fit, pump, reader=desk.reader))
        if view.tried else None,
        back=f"/visits/{visit_id}/rebuild",
        best=urlencode({"on_top": shims, UNITS_FIELD: system}),
    )  # fmt: skip
    status = 422 if bad else 200
    return render(request, "what_if.html", page, title=Message("Other shims"), status=status)
