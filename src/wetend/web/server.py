"""Creates the application from environment variables, for a server process."""

from __future__ import annotations

import os
from pathlib import Path

from fastapi import FastAPI

from wetend.errors import BadInput, StorageFailed
from wetend.records.secret import persistent_secret
from wetend.records.store import Depot
from wetend.units.message import Message
from wetend.web.app import create_app
from wetend.web.arenas import few_arenas
from wetend.web.simulate import MODEL
from wetend.web.warm_up import compute_month, compute_open_visits, look_for_damage
from wetend.workflows.gc_freeze import settle

_SOON = 1.0
"""Seconds after which the fleet plan is computed."""
_QUIET = 5.0
"""Seconds after which the model of the pump in motion is loaded, the pages being up by then."""
_LATER = 120.0
"""Seconds after which the depot is looked through for damage; then each day."""


def from_environment() -> FastAPI:
    """The pages over the depot named by ``WETEND_DEPOT``, guarded by ``WETEND_PASSCODE`` if set.

    ``WETEND_HOSTS`` may list further names the server is reached by, with commas between.

    Raises:
        BadInput: no depot is named.
        NotFound: there is no depot.
        StorageFailed: the depot can't be opened.
    """
    few_arenas()
    where = os.environ.get("WETEND_DEPOT", "")
    if not where:
        raise BadInput(Message("Name the depot's file or database in WETEND_DEPOT."))
    hosts = tuple(h.strip() for h in os.environ.get("WETEND_HOSTS", "").split(",") if h.strip())
    depot = Depot.open(where, create=False)
    app = create_app(
        depot,
        passcode=os.environ.get("WETEND_PASSCODE") or None,
        secret=_secret(depot),
        hosts=hosts,
        at_start=(
            lambda: MODEL.start(after=_QUIET),
            lambda: compute_month(depot, after=_SOON),
            lambda: compute_open_visits(depot, after=_QUIET),
            lambda: look_for_damage(depot, after=_LATER),
        ),
    )
    settle()
    return app


def _secret(depot: Depot) -> bytes:
    """What signs forms, the same at the next start: beside the SQLite file, else in the database.

    Where it can't be kept a fresh one serves.
    """
    if depot.url.get_backend_name() == "sqlite":
        return persistent_secret(Path(depot.url.database or "").with_suffix(".key"))
    try:
        return depot.secret()
    except StorageFailed:
        return persistent_secret(None)
