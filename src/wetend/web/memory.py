"""What this server holds in memory, and what it does in the background."""

from __future__ import annotations

from dataclasses import asdict

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from wetend.units.message import Message
from wetend.web.pages import render
from wetend.workflows import memory as workflow

router = APIRouter()


@router.get("/memory")
def show(request: Request) -> Response:
    """Memories of computed answers with their figures, and the work in the background."""
    return render(request, "memory.html", workflow.view(), title=Message("Memory and background"))


@router.get("/memory.json")
def as_json() -> Response:
    """The same for programs."""
    return JSONResponse(asdict(workflow.view()))
