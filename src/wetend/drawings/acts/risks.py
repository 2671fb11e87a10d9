"""Surfaces that nothing hard may touch in an act: bare and at risk, or still shielded.

At risk is a heavy line with ticks, shielded a thin dashed one: told apart by pattern and weight.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from itertools import pairwise

from wetend.advice.strip.cautions import SURFACE_WORDS
from wetend.drawings.acts.pieces import PIECE_TITLES, PieceName
from wetend.drawings.pen import Pen, Profile
from wetend.drawings.svg import Point, line, strokes
from wetend.drawings.wet_end.sizes import Sizes
from wetend.pump.description import Pump
from wetend.pump.strip_graph import Operation, Surface
from wetend.units.message import Message, Text, joined


@dataclass(frozen=True)
class Risks:
    """What of the pump must be kept from tools in one act."""

    bare: tuple[Surface, ...] = ()
    """Bare, and near the tool or laid bare by the act."""
    shielded: tuple[Surface, ...] = ()
    """Near the tool, and still shielded."""
    by: str = ""
    """What shields them."""

    @property
    def lines(self) -> tuple[str, ...]:
        """In words, a line each."""
        sentences: list[str] = []
        if self.bare:
            sentences.append(Message("Nothing hard on: {surfaces}", surfaces=_words(self.bare)))
        if self.shielded:
            sentences.append(Message(
                "{surfaces}: shielded by the {part}",
                surfaces=_words(self.shielded).capitalize(), part=self.by,
            ))  # fmt: skip
        return tuple(sentences)


def _words(surfaces: Collection[Surface]) -> Text:
    return joined(", ", (SURFACE_WORDS[s] for s in surfaces))


def risks_of(pump: Pump, operation: Operation, done: Collection[str], *, back: bool) -> Risks:
    """What is at risk in an operation, and what is still shielded and by what.

    Args:
        pump: as described.
        operation: of its strip.
        done: keys of the operations that stand done while it is carried out.
        back: whether it is put back; then it lays nothing more bare.
    """
    operations = pump.strip.operations
    bare = {s for o in operations if o.key in done for s in (*o.exposes, *o.unshields)}
    shield = {s: PIECE_TITLES[o.part] for o in operations if o.key not in done
              for s in o.unshields}  # fmt: skip
    near = operation.swings_near
    fresh = () if back else (*operation.exposes, *operation.unshields)
    at_risk = dict.fromkeys((*(s for s in near if s in bare), *fresh))
    shielded = tuple(s for s in near if s not in at_risk and s in shield)
    return Risks(tuple(at_risk), shielded, shield[shielded[0]] if shielded else "")


def _both(profile: Profile) -> list[list[Point]]:
    return [list(profile), [(-r, z) for r, z in profile]]


Where = tuple[PieceName, list[list[Point]]]


def _rod(s: Sizes) -> list[Where]:
    return [("rod", _both([(s.body.rod, s.piston.top), (s.body.rod, s.body.break_low)]))]


def _rod_end(s: Sizes) -> list[Where]:
    b = s.body
    return [("rod", _both([(b.rod, b.break_high), (b.rod, b.break_high + 0.5 * b.rod),
                           (0.3 * b.rod, b.break_high + 0.5 * b.rod)]))]  # fmt: skip


def _land(s: Sizes) -> list[Where]:
    top = s.foot.rings[-1].high
    return [("foot-housing", _both([(s.foot.pocket, top), (s.foot.thread, top)]))]


def _thread(s: Sizes) -> list[Where]:
    f, c = s.foot, s.cylinder
    held: PieceName = "clamp-ring" if f.clamped else "foot-housing"
    return [
        (held, _both([(f.thread, f.top), (f.thread, f.top + f.grip)])),
        ("cylinder", _both([(c.collar, c.low), (c.collar, c.low + f.grip)])),
    ]


def _seats(s: Sizes) -> list[Where]:
    found: list[Where] = []
    seat, rest, p = (
        next((r for r in s.foot.rings if r.kind == "seat"), None),
        s.foot.resting,
        s.piston,
    )
    if seat and rest:
        cone = [(rest.bore, seat.high - rest.cone), (rest.mouth, seat.high)]
        found.append(("foot-seat", _both(cone)))
    high = p.seat_low + p.seat_height
    cone = [(p.resting.bore, high - p.resting.cone), (p.resting.mouth, high)]
    return [*found, ("piston-seat", _both(cone))]


def _bore(s: Sizes) -> list[Where]:
    c = s.cylinder
    return [("cylinder", _both([(c.bore, c.low + c.lip_height), (c.bore, c.high)]))]


def _balls(s: Sizes) -> list[Where]:
    p = s.piston
    middle = p.seat_low + p.resting.centre
    return [
        ("foot-ball", _both([(1.08 * s.foot.ball, s.foot.ball_z + 0.4 * s.foot.ball),
                             (1.08 * s.foot.ball, s.foot.ball_z - 0.4 * s.foot.ball)])),
        ("piston-ball", _both([(1.08 * p.ball, middle + 0.4 * p.ball),
                               (1.08 * p.ball, middle - 0.4 * p.ball)])),
    ]  # fmt: skip


def _packings(s: Sizes) -> list[Where]:
    b, p = s.body, s.piston
    return [
        ("static-packings", _both([(b.rod, b.box_low), (b.rod, b.box_high)])),
        ("moving-packings", _both([(s.cylinder.bore, p.nut), (s.cylinder.bore, p.packed)])),
    ]


_WHERE: Mapping[Surface, Callable[[Sizes], list[Where]]] = {
    "rod": _rod, "rod-end": _rod_end, "seal-land": _land, "thread": _thread, "seat": _seats,
    "bore": _bore, "ball": _balls, "packings": _packings,
}  # fmt: skip
"""Where each surface lies: the part it is on, and its outlines."""
_OUTSIDE: frozenset[Surface] = frozenset({"rod", "rod-end", "ball"})


def marked(risks: Risks, pen: Pen, s: Sizes, *, shift: Callable[[PieceName], Point | None]) -> str:
    """The surfaces marked on a sheet.

    Args:
        risks: what to mark.
        pen: of that sheet.
        s: sizes of the wet end.
        shift: how far each part is drawn from its place; ``None``: it is not there.
    """
    drawn = []
    for surface in (*risks.bare, *risks.shielded):
        for part, outlines in _WHERE[surface](s):
            moved = shift(part)
            if moved is None:
                continue
            dx, dy = moved
            for outline in outlines:
                points = [(x + dx, y + dy) for x, y in pen.ring(outline)]
                mirror = outline[0][0] < 0
                drawn.append(
                    _at_risk(points, flip=mirror != (surface in _OUTSIDE))
                    if surface in risks.bare
                    else line("dw-shielded", *points)
                )
    return "".join(drawn)


def _at_risk(points: list[Point], *, flip: bool) -> str:
    """A heavy line with ticks on its open side."""
    ticks = []
    for (ax, ay), (bx, by) in pairwise(points):
        long = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        count = min(int(long / 6), 40)
        u, v = ((bx - ax) / long, (by - ay) / long) if long else (0.0, 0.0)
        way = 1 if flip else -1
        for i in range(count):
            x, y = ax + u * (6 * i + 3), ay + v * (6 * i + 3)
            ticks.append(((x, y), (x - 5 * v * way + 2.5 * u, y + 5 * u * way + 2.5 * v)))
    return line("dw-risk", *points) + strokes("dw-tick", ticks)
