"""The picture of an act on its screen, and where and how to measure or look in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from markupsafe import Markup

from wetend.advice.prove.acts import ACTS
from wetend.drawings import packing_set
from wetend.drawings.measuring import running
from wetend.drawings.measuring.benches import BENCHES, measuring
from wetend.records.fold import Visit
from wetend.units.message import Words
from wetend.web.pages import drawing
from wetend.workflows.acts.act import Act

Picture = Callable[[Visit, Words], str]


def _moving(visit: Visit, reader: Words) -> str:
    return packing_set.section(visit.pump, "moving-packings", reader=reader)


def _static(visit: Visit, reader: Words) -> str:
    return packing_set.section(visit.pump, "static-packings", reader=reader)


PICTURES: Final[Mapping[str, Picture]] = {
    "inspect/moving-packings": _moving,
    "inspect/static-packings": _static,
}
"""Pictures by an act's name, ``stage/key``."""


def picture_of(act: Act, visit: Visit, reader: Words) -> Markup | None:
    """An act's picture; ``None`` where none is drawn yet."""
    draw = PICTURES.get(act.name)
    svg = draw(visit, reader) if draw else ""
    return drawing(svg) if svg else None


def where_of(act: Act, visit: Visit, reader: Words) -> Markup | None:
    """Where and how an act's readings are taken; ``None`` where nothing is read on the pump."""
    pump = visit.pump
    if act.stage == "inspect" and act.key in BENCHES:
        return drawing(measuring(pump, act.key, reader=reader))
    if act.name == "rebuild/heights":
        return drawing(measuring(pump, "stack", reader=reader))
    if act.stage == "checks" and act.key in running.CHECKED:
        return drawing(running.check(pump, act.key, reader=reader))
    proved = next((a.key for a in ACTS.values() if set(act.fields) & set(a.fields)), "")
    if act.stage == "prove" and proved:
        return drawing(running.proof(pump, proved, reader=reader))
    return None
