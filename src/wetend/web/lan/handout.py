"""The page over plain HTTP that hands out the authority's certificate, and does nothing else."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Literal

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.base import BaseHTTPMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from wetend.units.message import Message
from wetend.web.lan.authority import Authority
from wetend.web.pages import PageContext, templates
from wetend.web.person import person_of
from wetend.web.security import host_name
from wetend.web.security_middleware import HEADERS
from wetend.web.static import static

Kind = Literal["android", "iphone", "windows", "mac", "other"]
CERTIFICATE = "/authority.crt"


@dataclass(frozen=True)
class Steps:
    """How one kind of device is made to trust a certificate; common practice, no source."""

    kind: Kind
    title: str
    steps: tuple[str, ...]


STEPS: tuple[Steps, ...] = (
    Steps("android", Message("Android"), (
        Message("Download the certificate."),
        Message("Open the settings and search for “certificate”. Choose to install a CA "
                "certificate, and pick the file downloaded."),
        Message("Compare its fingerprint, then come back here and open the pages."),
    )),
    Steps("iphone", Message("iPhone and iPad"), (
        Message("Download the certificate and allow the profile."),
        Message("Settings, General, VPN and device management: install the profile."),
        Message("Settings, General, About, Certificate trust settings: switch it on."),
        Message("Compare its fingerprint, then come back here and open the pages."),
    )),
    Steps("windows", Message("Windows"), (
        Message("Download the certificate and open the file."),
        Message("Install it for the current user, in the store “Trusted root certification "
                "authorities”."),
        Message("Compare its fingerprint, then open the pages."),
    )),
    Steps("mac", Message("Mac"), (
        Message("Download the certificate and open the file: it goes into the key chain."),
        Message("Open it there, and under “Trust” choose to trust it always."),
        Message("Compare its fingerprint, then open the pages."),
    )),
    Steps("other", Message("Linux, and Firefox anywhere"), (
        Message("Download the certificate."),
        Message("In the browser's settings search for “certificates”, and import it under "
                "“Authorities”, to identify websites."),
        Message("Compare its fingerprint, then open the pages."),
    )),
)  # fmt: skip


def kind_of(agent: str) -> Kind:
    """The kind of device by what its browser says of itself.

    >>> kind_of("Mozilla/5.0 (Linux; Android 14; Pixel 8)"), kind_of("Mozilla/5.0 (X11; Linux)")
    ('android', 'other')
    """
    for mark, kind in _MARKS.items():
        if mark in agent:
            return kind
    return "other"


_MARKS: dict[str, Kind] = {
    "Firefox": "other", "Android": "android", "iPhone": "iphone", "iPad": "iphone",
    "Windows": "windows", "Macintosh": "mac",
}  # fmt: skip


@dataclass(frozen=True)
class HandoutPage:
    """What the page shows."""

    fingerprint: str
    onward: str
    """The same host over HTTPS."""
    mine: Steps
    others: tuple[Steps, ...]
    certificate: str = CERTIFICATE


def handout(authority: Authority, *, port: int) -> Starlette:
    """The application that hands out an authority's certificate.

    Args:
        authority: whose.
        port: where the pages are over HTTPS.
    """

    async def page(request: Request) -> Response:
        name = host_name(request.headers.get("host", "")) or "localhost"
        shown = f"[{name}]" if ":" in name else name
        kind = kind_of(request.headers.get("user-agent", ""))
        view = HandoutPage(
            authority.fingerprint, f"https://{shown}:{port}/",
            next(s for s in STEPS if s.kind == kind),
            tuple(s for s in STEPS if s.kind != kind),
        )  # fmt: skip
        person = person_of(request)
        context = PageContext(
            person.reader.tell(Message("Before the first visit")), person, "", "/", "", (), False
        )
        text = templates().get_template("lan.html").render(page=context, view=view)
        return HTMLResponse(text, headers={"Cache-Control": "no-store"})

    async def certificate(_: Request) -> Response:
        headers = {"Content-Disposition": 'attachment; filename="wetend-authority.crt"'}
        return Response(authority.der, 200, headers, "application/x-x509-ca-cert")

    async def file(request: Request) -> Response:
        return static(request)

    async def elsewhere(_: Request) -> Response:
        return RedirectResponse("/", 303)

    return Starlette(
        routes=[
            Route("/", page), Route(CERTIFICATE, certificate), Route("/static/{name}", file),
            Route("/{anything:path}", elsewhere),
        ],
        middleware=[Middleware(BaseHTTPMiddleware, dispatch=_with_headers)],
    )  # fmt: skip


async def _with_headers(
    request: Request, answer: Callable[[Request], Awaitable[Response]]
) -> Response:
    response = await answer(request)
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    return response
