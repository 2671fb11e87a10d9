"""Steps of a rebuild that put no part back: the solvent tests, the slide, the wet cup filled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from wetend.drawings.acts.pieces import PieceName
from wetend.drawings.acts.state import Act, Way
from wetend.drawings.pen import Pen, band
from wetend.drawings.svg import line
from wetend.drawings.wet_end import parts
from wetend.drawings.wet_end.sizes import Sizes

Liquid = Callable[[Pen, Sizes], str]


def _pool(pen: Pen, radius: float, low: float, high: float) -> str:
    """Liquid standing in a bore, with its surface."""
    return pen.wash(band(radius, low, high)) + line(
        "dw-thin", pen.at(-radius, high), pen.at(radius, high)
    )


def _over_foot(pen: Pen, s: Sizes) -> str:
    seat = next((ring for ring in s.foot.rings if ring.kind == "seat"), None)
    if seat is None:
        return ""
    return _pool(pen, 1.02 * seat.outer, seat.high, s.foot.ball_z + 1.3 * s.foot.ball)


def _over_piston(pen: Pen, s: Sizes) -> str:
    p = s.piston
    over = p.seat_low + p.resting.centre + 1.2 * p.ball
    return _pool(pen, p.chamber, p.seat_low + p.seat_height, min(over, p.stop))


def _in_cup(pen: Pen, s: Sizes) -> str:
    return parts.gland(pen, s)["wet-cup"]


@dataclass(frozen=True)
class Between:
    """What is drawn of such an act."""

    act: Act
    liquid: Liquid | None = None
    arrows: tuple[Way, ...] = ()


def _still(part: PieceName, shown: tuple[PieceName, ...], lit: tuple[PieceName, ...]) -> Act:
    named = "piston" if part == "piston-nut" else part
    return Act(named, shown, (), lit, "down", turned=False, left_hand=False, bolted=False,
               struck=False)  # fmt: skip


_UPPER: tuple[PieceName, ...] = ("body", "rod", "gland-nut", "static-packings")
_ON_ROD: tuple[PieceName, ...] = (
    "piston", "piston-nut", "piston-seat", "piston-ball", "moving-packings",
)  # fmt: skip

BETWEEN: dict[str, Between] = {
    "solvent-foot": Between(
        _still("foot-seat", ("foot-housing",), ("foot-seat", "foot-ball")), _over_foot
    ),
    "solvent-piston": Between(
        _still("piston-seat", ("piston", "piston-nut"), ("piston-seat", "piston-ball")),
        _over_piston,
    ),
    "slide": Between(_still("cylinder", (*_UPPER, *_ON_ROD), ("cylinder",)), None, ("up", "down")),
    "wet-cup": Between(_still("wet-cup", _UPPER, ("wet-cup",)), _in_cup, ("down",)),
}
"""By how the step's key begins."""


def between_of(key: str) -> Between | None:
    """What is drawn of a step that puts nothing back; none for one that is no single act."""
    return next((made for begin, made in BETWEEN.items() if key.startswith(begin)), None)
