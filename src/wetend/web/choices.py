"""Form choices from the tables of materials: key to title."""

from __future__ import annotations

from collections.abc import Mapping

from wetend.keeping import constant
from wetend.materials.ball_seat import ball_seat_materials
from wetend.materials.cups import cups
from wetend.materials.solvents import solvents
from wetend.units.message import Message
from wetend.web.forms import sentence

_NONE = {"": Message("Not given")}


@constant("choices of materials")
def materials() -> Mapping[str, str]:
    """Ball and seat materials."""
    return {row.key: sentence(row.title) for row in ball_seat_materials()}


@constant("choices of solvents")
def solvent_names(*, may_lack: bool) -> Mapping[str, str]:
    """Solvents; ``may_lack`` puts a blank first."""
    found = {row.key: sentence(row.title) for row in solvents()}
    return {**_NONE, **found} if may_lack else found


@constant("choices of cups")
def cup_names() -> Mapping[str, str]:
    """Flow cups, a blank first."""
    return {**_NONE, **{row.key: sentence(row.title) for row in cups()}}
