"""Assembles the web application: routes, middleware and error handlers."""

from __future__ import annotations

import secrets
import warnings
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager

from fastapi import APIRouter, FastAPI
from fastapi.exceptions import RequestValidationError
from pydantic.warnings import UnsupportedFieldAttributeWarning
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import ClientDisconnect
from starlette.responses import PlainTextResponse, Response

from wetend.background import BACKGROUND
from wetend.errors import WetendError
from wetend.records.exchange import wire
from wetend.records.store import Depot
from wetend.units.message import Message
from wetend.web import (
    calculators,
    checks,
    complaint,
    documents,
    error_pages,
    exchange,
    fault_inside,
    find_pump,
    fitted,
    fleet,
    gallery,
    handover,
    importing,
    injection,
    inspect,
    items,
    job,
    life,
    marks,
    memory,
    photo_length,
    practice,
    preferences,
    prove,
    pump_parts,
    pumps,
    questions,
    rebuild,
    record,
    simulate,
    steps,
    stores,
    strip,
    ten_answers,
    visits,
    what_if,
)
from wetend.web import (
    depot as first_page,
)
from wetend.web.access import FORM
from wetend.web.do import pages as do
from wetend.web.listening import pages as listening
from wetend.web.security import ENDED, TokenSigner, Tries, known_hosts
from wetend.web.security_middleware import SecurityMiddleware
from wetend.web.static import static

# FastAPI silences this warning while it reads a route, but what is silenced belongs to all threads:
# another that ends its own silence meanwhile would let it out.
warnings.filterwarnings("ignore", category=UnsupportedFieldAttributeWarning)

ROUTERS = (
    first_page.router, find_pump.router, ten_answers.router, pumps.router, pump_parts.router,
    visits.router, complaint.router, marks.router, checks.router, strip.router, inspect.router,
    rebuild.router, fitted.router, prove.router, handover.router,
    do.router,
    documents.router, steps.router, what_if.router, photo_length.router, record.router,
    job.router, injection.router,
    calculators.router, practice.router, gallery.router, preferences.router, life.router,
    stores.router, items.router,
    listening.router,
    fleet.router, simulate.router, fault_inside.router, importing.router, memory.router,
    questions.router,
)  # fmt: skip


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """The background works for as long as the pages are served."""
    BACKGROUND.enter()
    try:
        for begin in app.state.at_start:
            begin()
        yield
    finally:
        await run_in_threadpool(BACKGROUND.leave)


_PAGES = APIRouter(dependencies=[FORM])
"""All of them; what each route asks for is gathered once, at the first page of any application."""
for _router in ROUTERS:
    _PAGES.include_router(_router)


def create_app(
    depot: Depot,
    *,
    passcode: str | None = None,
    secret: bytes | None = None,
    hosts: tuple[str, ...] = (),
    at_start: Sequence[Callable[[], object]] = (),
) -> FastAPI:
    """The pages over a depot's records.

    Args:
        depot: the records; the caller opens and closes them.
        passcode: asked of everyone when set; without one only this machine may look in.
        secret: signs tokens and cookies; a fresh one is made when none is given.
        hosts: further names the server is reached by.
        at_start: called when the pages begin to be served; they put work into the background.
    """
    app = FastAPI(
        title=Message("wetend"),
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        dependencies=[FORM],
        lifespan=_lifespan,
    )
    app.state.at_start = tuple(at_start)
    ended = set(depot.noted(ENDED)) if passcode else set()
    keeper = TokenSigner(secret or secrets.token_bytes(32), passcode or None, ended=ended)
    app.state.depot, app.state.keeper, app.state.tries = depot, keeper, Tries()
    app.router.routes.extend(_PAGES.routes)
    app.add_api_route("/health", _health, methods=["GET"])
    app.add_route("/static/{name}", static, methods=["GET"])
    app.add_route(f"{wire.PATH}/{{what:path}}", exchange.answer, methods=["GET", "POST"])
    app.add_exception_handler(WetendError, error_pages.on_wetend)
    app.add_exception_handler(HTTPException, error_pages.on_http)
    app.add_exception_handler(RequestValidationError, error_pages.on_unread)
    app.add_exception_handler(ClientDisconnect, error_pages.on_gone)
    app.add_exception_handler(Exception, error_pages.on_anything)
    app.add_middleware(GZipMiddleware, minimum_size=1000)
    app.add_middleware(
        SecurityMiddleware,
        keeper=keeper,
        hosts=known_hosts(passcode, hosts),
        answer=error_pages.answer,
    )
    return app


def _health() -> Response:
    return PlainTextResponse("ok")
