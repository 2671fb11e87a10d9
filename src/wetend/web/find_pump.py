"""Finds a pump by words from anywhere: the form in the navigation of every page."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from wetend.web.access import AtDesk
from wetend.workflows import pumps

router = APIRouter()


@router.get("/find")
def find(request: Request, desk: AtDesk) -> Response:
    """Open the one pump that these words fit; with several or none, the first page lists them."""
    words = request.query_params.get("q", "")[:200]
    found = pumps.find_pumps(pumps.list_pumps(desk), words)
    exact = [x for x in found if words.strip().lower() in (x.pump.key, x.pump.name.lower())]
    only = exact if len(exact) == 1 else found
    if words.strip() and len(only) == 1:
        return RedirectResponse(f"/pumps/{only[0].pump.key}", status_code=303)
    return RedirectResponse(f"/?{urlencode({'q': words})}#pumps-h", status_code=303)
