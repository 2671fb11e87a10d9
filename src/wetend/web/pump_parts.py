"""A pump taken apart on a page: each part leads to its inspection, its life and its order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import get_args

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.drawings.acts.exploded import Named, exploded, named
from wetend.drawings.acts.pieces import PieceName
from wetend.pump.description import Pump
from wetend.pump.usage import FittedPart, LifePart
from wetend.units.message import Message
from wetend.web.access import AtDesk, PumpKey
from wetend.web.inspect import BENCHES
from wetend.web.pages import drawing, render
from wetend.workflows import catalogue
from wetend.workflows import pumps as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
_MEASURED: dict[PieceName, str] = {"foot-housing": "seal-land"}
"""Where a part's inspection goes by another name."""
_FITTED: dict[PieceName, FittedPart] = {"soft-ring": "soft-rings"}
"""Where what is fitted goes by another name."""


@dataclass(frozen=True)
class PartLinks:
    """Where a part leads; ``""`` where it leads nowhere."""

    inspect: str = ""
    life: str = ""
    order: str = ""
    item: str = ""
    """The part number that is ordered."""


@dataclass(frozen=True)
class PartsPage:
    """A pump taken apart along its axis, and its parts in a list."""

    pump: Pump
    drawn: Markup
    parts: tuple[Named, ...]
    links: dict[PieceName, PartLinks]


def _items(desk: Desk, pump: Pump) -> Iterator[tuple[str, str]]:
    """What of this pump can be bought: the part, and the owner's number; single parts first."""
    fitting = [s.item for s in catalogue.items_of(desk) if pump.key in s.item.pumps]
    for item in sorted(fitting, key=lambda i: -len(i.parts)):
        for part in item.parts:
            yield part, item.number


def _links(
    desk: Desk, pump: Pump, shown: tuple[Named, ...]
) -> Iterator[tuple[PieceName, PartLinks]]:
    visit = next(iter(workflow.view(desk, pump.key).history), None)
    items = dict(_items(desk, pump))
    for each in shown:
        part = each.part
        bench = _MEASURED.get(part, str(part))
        number = items.get(_FITTED.get(part, str(part)), "")
        yield (
            part,
            PartLinks(
                f"/visits/{visit.id}/inspect?part={bench}#measure"
                if visit and bench in BENCHES
                else "",
                f"/pumps/{pump.key}/life?plot={part}#plot-h" if part in get_args(LifePart) else "",
                "/stores/items#items" if number else "",
                number,
            ),
        )


@router.get("/pumps/{key}/parts")
def parts(request: Request, desk: AtDesk, key: PumpKey) -> Response:
    """A pump taken apart: every part named, counted, and leading to inspection, life and order."""
    pump = desk.pump(key)
    shown = named(pump)
    drawn = drawing(exploded(pump, reader=desk.reader))
    page = PartsPage(pump, drawn, shown, dict(_links(desk, pump, shown)))
    return render(
        request, "pump-parts.html", page, title=Message("Parts of {name}", name=pump.name)
    )
