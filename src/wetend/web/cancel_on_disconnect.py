"""Cancels long work when the client disconnects."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from threading import Event

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from wetend.errors import WetendError
from wetend.progress import Progress
from wetend.units.message import Message
from wetend.web.form_queue import FILES

_LOOKED: float = 0.25
"""Seconds between looks whether somebody still waits."""


class Left(WetendError):
    """The client has disconnected; nothing was saved and no answer is sent."""

    status = 499
    personal = True


async def run_until_disconnect(request: Request, work: Callable[[Progress], Response]) -> Response:
    """Run long work for a request; cancel it at its next progress report if the client leaves.

    Some files are worked on at once; the others wait for their turn, and hold no form up.

    Args:
        request: whose sender is waited for; its body is read already.
        work: done in a thread of its own; calls the progress it is given as it goes on.

    Raises:
        Left: they hung up.
    """
    gone = Event()

    def progress(done: int, of: int) -> None:  # noqa: ARG001 - a page has no bar to show it in
        if gone.is_set():
            raise Left(Message("The page was closed; nothing was saved."))

    async def watch() -> None:
        while not await request.is_disconnected():
            await asyncio.sleep(_LOOKED)
        gone.set()

    turn = getattr(request.state, "turn", None)
    if turn is not None:
        turn.give_back()  # a file's work takes seconds; no form is to wait for it
    watching = asyncio.create_task(watch())
    try:
        async with FILES.taken():
            return await run_in_threadpool(work, progress)
    finally:
        watching.cancel()
