"""Pumps of one build, read once: a fleet has many pumps and few builds."""

from __future__ import annotations

import re
from collections import OrderedDict
from threading import Lock

from wetend.pump.description import Pump
from wetend.units.noun import Line, Name, Noun, Slug

_KEPT = 200
_PLAIN = r'"([^"\\]*)"'
_HEAD = re.compile(rf'{{"key":{_PLAIN},"name":{_PLAIN},"build":({_PLAIN}),"site":{_PLAIN},')
"""How the JSON of a description begins, as this program writes it; one that was written otherwise
is read as any other noun."""


class _Named(Noun):
    """What tells pumps of one build apart."""

    key: Slug
    name: Name
    site: Line = ""


class _Builds:
    """The last builds read, by the JSON of all but the names."""

    def __init__(self) -> None:
        self._held: OrderedDict[str, Pump] = OrderedDict()
        self._lock = Lock()

    def read(self, payload: str) -> Pump:
        """A pump from its JSON, its parts held once for all pumps of the build."""
        head = _HEAD.match(payload)
        if head is None:
            return Pump.model_validate_json(payload)
        build = f"{head[3]}{payload[head.end() :]}"
        with self._lock:
            like = self._held.get(build)
        if like is not None:
            named = _Named(key=head[1], name=head[2], site=head[5])
            return like.model_copy(update=named.model_dump())
        pump = Pump.model_validate_json(payload)
        with self._lock:
            self._held[build] = pump
            while len(self._held) > _KEPT:
                self._held.popitem(last=False)
        return pump


_BUILDS = _Builds()


def pump_said(payload: str) -> Pump:
    """The pump that a description's JSON tells of; pumps of one build share their parts.

    Raises:
        ValidationError: it describes none.
    """
    return _BUILDS.read(payload)
