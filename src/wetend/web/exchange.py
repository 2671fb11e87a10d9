"""Answers another depot that exchanges with this one; each question carries a device's token."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from pydantic import ValidationError
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from wetend.errors import BadInput, NotFound, Refused, TooLarge, WetendError
from wetend.records.device_tokens import device_of
from wetend.records.exchange import wire
from wetend.records.exchange.sides import DepotSide
from wetend.units.message import Message
from wetend.units.noun import Noun

NounT = TypeVar("NounT", bound=Noun)
_BEARER = "bearer "


async def answer(request: Request) -> Response:
    """One question, answered as JSON or, a photo, as its bytes.

    Source: RFC 6750, section 2.1, for the token in the Authorization header.
    """
    try:
        body = await _body(request)
        return await run_in_threadpool(_answered, request, body)
    except WetendError as error:
        fault = wire.Fault(fault=str(error)).model_dump_json()
        headers = {"WWW-Authenticate": "Bearer"} if isinstance(error, Refused) else {}
        return Response(fault, error.status, headers, "application/json")


async def _body(request: Request) -> bytes:
    whole = bytearray()
    async for piece in request.stream():
        whole += piece
        if len(whole) > wire.MOST_BYTES:
            raise TooLarge(Message("That is more than is taken at once; nothing was saved."))
    return bytes(whole)


def _answered(request: Request, body: bytes) -> Response:
    given = request.headers.get("authorization", "")
    token = given[len(_BEARER) :].strip() if given.lower().startswith(_BEARER) else ""
    depot = request.app.state.depot
    if not token or device_of(depot, token) is None:
        raise Refused(Message("This token opens nothing here; the depot's lead can make one."))
    side, what = DepotSide(depot), str(request.path_params["what"])
    if request.method == "POST":
        do = _POSTED.get(what)
        if do is not None:
            return do(side, body)
    elif what == "about":
        replaced = tuple(sorted(side.replaced()))
        return _json(wire.About(purpose=side.purpose, replaced=replaced))
    elif what.startswith("photos/"):
        return Response(side.photo(what.removeprefix("photos/")) or b"")
    raise NotFound(Message("There is nothing to exchange under this address."))


def _json(said: Noun) -> Response:
    return Response(said.model_dump_json(), media_type="application/json")


def _read(asked: type[NounT], body: bytes) -> NounT:
    try:
        return asked.model_validate_json(body)
    except ValidationError as error:
        raise BadInput(
            Message("This question can't be read; the other program may be of another version.")
        ) from error


def _tallies(side: DepotSide, body: bytes) -> Response:
    asked = _read(wire.AskTallies, body)
    return _json(wire.Tallies.of(side.tallies(asked.name, asked.spans)))


def _listed(side: DepotSide, body: bytes) -> Response:
    asked = _read(wire.AskList, body)
    return _json(wire.Listed(keyed=tuple(side.listed(asked.name, asked.span))))


def _entries(side: DepotSide, body: bytes) -> Response:
    return _json(wire.Some(entries=tuple(side.entries(_read(wire.AskEntries, body).ids))))


def _keep(side: DepotSide, body: bytes) -> Response:
    new, refused = side.keep(_read(wire.Some, body).entries)
    return _json(wire.Kept(new=new, refused=refused))


def _keep_photo(side: DepotSide, body: bytes) -> Response:
    side.keep_photo(body)
    return Response(b"", media_type="application/json")


_POSTED: dict[str, Callable[[DepotSide, bytes], Response]] = {
    "tallies": _tallies, "listed": _listed, "entries": _entries, "keep": _keep,
    "photos": _keep_photo,
}  # fmt: skip
