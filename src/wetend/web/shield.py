"""The shield in front of every page: host, passcode, body size and headers.

Header names and values: W3C Content Security Policy Level 3 and the WHATWG Fetch standard.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable, Mapping

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from wetend.errors import Refused, TooLarge, WetendError
from wetend.web.security import (
    PASS_COOKIE,
    Keeper,
    PasscodeNeeded,
    host_allowed,
    is_loopback,
)

SMALL_BODY = 1_000_000
LARGE_BODY = 20_000_000
_DRAINED = 64_000_000
_OPEN_PATHS = ("/static/", "/passcode", "/health")

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=(self)",
}
"""Sent with every answer."""


def body_limit(path: str, content_type: str) -> int:
    """Most bytes a request may carry: photos and files may be larger than forms."""
    takes_files = path.endswith(("/photos", "/toml", "/import", "/listen"))
    return LARGE_BODY if takes_files and "multipart/form-data" in content_type else SMALL_BODY


def _too_large(limit: int) -> TooLarge:
    return TooLarge(
        f"That is more than {limit // 1_000_000} MB, so nothing was saved. "
        "Send a smaller photo or file; the rest of your visit is as it was."
    )


Answer = Callable[[Request, WetendError], Response]


class Shield:
    """ASGI middleware in front of every page: host, passcode, body size and headers."""

    def __init__(
        self, app: ASGIApp, *, keeper: Keeper, hosts: frozenset[str], answer: Answer
    ) -> None:
        """Stand before ``app``; refusals are shown by ``answer``."""
        self._app, self._keeper, self._hosts, self._answer = app, keeper, hosts, answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check a request, then pass it on."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        sender = _with_headers(send, plain=scope["path"].startswith("/static/"))
        fault = self._fault(request)
        if fault is not None:
            await self._answer(request, fault)(scope, receive, sender)
            return
        limit = body_limit(request.url.path, request.headers.get("content-type", ""))
        declared = request.headers.get("content-length", "0")
        if not declared.isascii() or not declared.isdigit() or int(declared) > limit:
            await _drain(receive)
            await self._answer(request, _too_large(limit))(scope, receive, sender)
            return
        await self._app(scope, _counted(receive, limit), sender)

    def _fault(self, request: Request) -> WetendError | None:
        passcode = self._keeper.passcode
        header = request.headers.get("host", "")
        if not host_allowed(header, self._hosts, any_address=bool(passcode)):
            return Refused("This server does not go by that name. Use the address it was given.")
        client = request.client.host if request.client else ""
        if not passcode and _is_address(client) and not is_loopback(client):
            return Refused("Only this machine may look in, until a passcode is set.")
        path = request.url.path
        if path.startswith(_OPEN_PATHS):
            return None
        if not self._keeper.admitted(request.cookies.get(PASS_COOKIE, "")):
            return PasscodeNeeded("The passcode is needed to look in.")
        return None


def _is_address(text: str) -> bool:
    try:
        ipaddress.ip_address(text)
    except ValueError:
        return False
    return True


def _with_headers(send: Send, *, plain: bool) -> Send:
    """Add the security headers, and keep people's pages out of shared caches."""

    async def sender(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = list(message.get("headers", []))
            present = {name.lower() for name, _ in headers}
            extra = dict(HEADERS) if plain else {**HEADERS, "Cache-Control": "no-store"}
            for name, value in extra.items():
                if name.lower().encode() not in present:
                    headers.append((name.lower().encode(), value.encode()))
            message = {**message, "headers": headers}
        await send(message)

    return sender


async def _drain(receive: Receive) -> None:
    """Read and forget a body that is too large, so that the browser shows the answer."""
    seen = 0
    while seen < _DRAINED:
        message = await receive()
        seen += len(message.get("body", b""))
        if message["type"] != "http.request" or not message.get("more_body", False):
            return


def _counted(receive: Receive, limit: int) -> Receive:
    """Pass a body on and stop it once it is longer than it may be."""
    seen = 0

    async def receiver() -> Message:
        nonlocal seen
        message: Message = await receive()
        seen += len(message.get("body", b""))
        if seen > limit:
            raise _too_large(limit)
        return message

    return receiver
