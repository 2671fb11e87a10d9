"""Request dependencies: the user's session with the depot, and the form with its token checked."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import Depends, Path
from starlette.requests import Request

from wetend.errors import NotFound, Refused
from wetend.units.message import Message
from wetend.web.form_data import ACT_FIELD, WAS_FIELD, Typed, typed_from
from wetend.web.form_queue import FORMS
from wetend.web.pages import signer_of
from wetend.web.person import person_of
from wetend.web.security import FORM_COOKIE, TOKEN_FIELD
from wetend.workflows.desk import Desk
from wetend.workflows.form_sent import FormSent
from wetend.workflows.validation import judge

_ACT = re.compile(r"[0-9a-f]{32}")
_LONGEST_WAS = 100_000
_SLUG = re.compile(r"[a-z0-9][a-z0-9-]{0,62}\Z")


class StaleForm(Refused):
    """A form whose token is missing or expired; its content is kept for resending."""

    def __init__(self, sentence: str, typed: Typed) -> None:
        """Hold what was typed with the reason it was refused."""
        super().__init__(sentence)
        self.typed = typed


async def sent_form(request: Request) -> AsyncIterator[Typed]:
    """The form sent with a request, once its token is found good and its turn has come.

    Raises:
        StaleForm: the token is missing, old or of another browser.
    """
    if request.method in ("GET", "HEAD", "OPTIONS"):
        yield Typed(request.url.path, {})
        return
    async with request.form(max_files=4, max_fields=2000) as form:
        typed = await typed_from(request.url.path, form, person_of(request).system)
    keeper = signer_of(request)
    session = keeper.session_of(request.cookies.get(FORM_COOKIE, ""))
    fault = keeper.token_fault(session, typed.last(TOKEN_FIELD))
    if fault:
        raise StaleForm(fault, typed)
    request.state.typed = typed  # given back if it can't be kept after all
    async with FORMS.taken() as turn:
        request.state.turn = turn
        yield typed


FORM = Depends(sent_form, scope="function")
"""Ends, and gives its turn back, before the answer is sent, however slowly that is read."""


def visit_id_of(visit_id: Annotated[str, Path()]) -> str:
    """A visit's id from the address.

    Raises:
        NotFound: it is no visit's id.
    """
    plain = visit_id.lower()
    if len(plain) != 32 or any(c not in "0123456789abcdef" for c in plain):
        raise NotFound(Message("There is no such visit in this depot."))
    return plain


def pump_key_of(key: Annotated[str, Path()]) -> str:
    """A pump's key from the address.

    Raises:
        NotFound: it can be no pump's key.
    """
    if not _SLUG.match(key):
        raise NotFound(Message("There is no such pump in this depot."))
    return key


Sent = Annotated[Typed, FORM]


def desk_of(request: Request, typed: Sent) -> Desk:
    """The desk of the user, with the form they sent."""
    person = person_of(request)
    act = typed.last(ACT_FIELD)
    sent = FormSent(
        act if _ACT.fullmatch(act) else "", typed.last(WAS_FIELD)[:_LONGEST_WAS], typed.system
    )
    return Desk(
        request.app.state.depot, who=person.who, place=person.place, device=person.device,
        system=person.system, language=person.language, sent=sent, judge=judge,
    )  # fmt: skip


AtDesk = Annotated[Desk, Depends(desk_of)]
PumpKey = Annotated[str, Depends(pump_key_of)]
VisitId = Annotated[str, Depends(visit_id_of)]
