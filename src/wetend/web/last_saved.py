"""What a person saved just now, so that the page that says so offers to take it back.

Nothing is erased: taking back is a further entry, and the record restores it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from starlette.requests import Request

from wetend.web.person import person_of
from wetend.workflows import record
from wetend.workflows.desk import Desk

_OF_RECORD = re.compile(
    r"/(?:visits/(?P<visit>[0-9a-f]{32})|pumps/(?P<pump>[a-z0-9][a-z0-9-]*))(?:/|$)"
)
_UNDONE_BY = frozenset({"1", "photo", "note"})
"""Notices of a save that the page lets one take back."""
_JUST_NOW = timedelta(minutes=1)


@dataclass(frozen=True)
class LastSaved:
    """An entry made just now: what it is, and how it is taken back."""

    said: str
    entry: str
    path: str
    back: str


def last_saved(request: Request) -> LastSaved | None:
    """What this person saved just now, on the page that says so; nothing after a minute."""
    found = _OF_RECORD.match(request.url.path)
    if request.query_params.get("saved", "") not in _UNDONE_BY or found is None:
        return None
    desk, person = Desk(request.app.state.depot), person_of(request)
    read = record.of_visit if found["visit"] else record.of_pump
    view = read(desk, found["visit"] or found["pump"])
    now = datetime.now(UTC)
    line = next((x for x in view.lines if x.can_withdraw and x.entry.kind != "visit-started"), None)
    if line is None or line.entry.who != person.who or (now - line.entry.at) > _JUST_NOW:
        return None
    base = f"/visits/{found['visit']}" if found["visit"] else f"/pumps/{found['pump']}"
    return LastSaved(line.what, line.entry.id[-8:], f"{base}/record", request.url.path)
