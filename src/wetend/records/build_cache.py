"""Caches parsed pump descriptions by build: a fleet has many pumps and few builds."""

from __future__ import annotations

import re

from wetend.keeping import MB, Keep
from wetend.pump.description import Pump
from wetend.units.message import Message
from wetend.units.noun import Line, Name, Noun, Slug

_PLAIN = r'"([^"\\]*)"'
_HEAD = re.compile(rf'{{"key":{_PLAIN},"name":{_PLAIN},"build":({_PLAIN}),"site":{_PLAIN},')
"""How the JSON of a description begins, as this program writes it; one that was written otherwise
is read as any other noun."""


class _Named(Noun):
    """What tells pumps of one build apart."""

    key: Slug
    name: Name
    site: Line = ""


_BUILDS = Keep[Pump](Message("pumps of one build"), most=8 * MB)
"""The builds read lately, by the JSON of all but the names."""


def parse_pump(payload: str) -> Pump:
    """The pump that a description's JSON tells of; pumps of one build share their parts.

    Raises:
        ValidationError: it describes none.
    """
    head = _HEAD.match(payload)
    if head is None:
        return Pump.model_validate_json(payload)
    build = f"{head[3]}{payload[head.end() :]}"
    like = _BUILDS.get(build, lambda: Pump.model_validate_json(payload))
    named = _Named(key=head[1], name=head[2], site=head[5])
    return like.model_copy(update=named.model_dump())
