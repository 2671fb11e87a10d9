"""Closes connections whose request never completes."""

from __future__ import annotations

import asyncio
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_SECONDS = 15.0
"""Seconds in which the head of a request must have come."""


class HeadTimeoutProtocol(H11Protocol):
    """uvicorn's HTTP/1.1 protocol with a time limit for the request head."""

    _due: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        """Begin to wait for a request's head."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Take what came; begin to wait again once a head is there."""
        before = self.cycle
        super().data_received(data)
        if self.cycle is not before:
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        if self._due is not None:
            self._due.cancel()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self._due is not None:
            self._due.cancel()
        self._due = self.loop.call_later(HEAD_SECONDS, self._look)

    def _look(self) -> None:
        answering = self.cycle is not None and not self.cycle.response_complete
        if answering or self.transport.is_closing():
            self._wait()
        elif self.conn.their_state is h11.IDLE and self._half():
            self.transport.close()
        else:
            self._wait()

    def _half(self) -> bool:
        """Whether part of a head is here, or nothing at all has ever come."""
        return self.cycle is None or bool(self.conn.trailing_data[0])
