"""The stylesheet, scripts and icon, held in memory and named by their content's hash."""

from __future__ import annotations

import hashlib
from importlib import resources

from starlette.requests import Request
from starlette.responses import Response

from wetend.drawings.ink import INK_CSS
from wetend.errors import NotFound
from wetend.units.message import Message

_WORKERS = {"steps-worker.js": "/visits/", "injection-worker.js": "/injection"}
"""Workers and the pages they may keep (W3C Service Workers: they lie in another folder)."""
_TYPES = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}


def _load() -> dict[str, tuple[bytes, str]]:
    found = {}
    for file in resources.files("wetend.web").joinpath("static").iterdir():
        kind = _TYPES.get("." + file.name.rpartition(".")[2])
        if kind:
            found[file.name] = (file.read_bytes(), kind)
    sheet, kind = found["site.css"]
    found["site.css"] = (sheet + b"\n" + INK_CSS.encode(), kind)
    return found


STATIC = _load()
"""Every file served under ``/static/``: bytes and media type."""
STATIC_VERSION = hashlib.sha256(
    b"".join(name.encode() + data for name, (data, _) in sorted(STATIC.items()))
).hexdigest()[:12]
"""Changes when any of them does."""


def static(request: Request) -> Response:
    """One static file."""
    name = request.path_params["name"]
    if name not in STATIC:
        raise NotFound(Message("There is no such file."))
    data, kind = STATIC[name]
    headers = {"Cache-Control": "public, max-age=31536000, immutable"}
    if name in _WORKERS:
        headers["Service-Worker-Allowed"] = _WORKERS[name]
    return Response(data, media_type=kind, headers=headers)
