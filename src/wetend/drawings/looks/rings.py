"""What soft rings look like: free height against new, and against the least to refit."""

from __future__ import annotations

from wetend.advice.rebuild.soft_rings import RingLook
from wetend.drawings.hatching import hatch
from wetend.drawings.looks.tile import MIDDLE, bracket, magnified, tile
from wetend.drawings.svg import Point, area, line, strokes
from wetend.drawings.words import AS_WRITTEN
from wetend.units.message import Message, Words

_BASE, _FULL = 88.0, 62.0


def _section(x: float, tall: float, bulge: float) -> list[Point]:
    """One side of a ring cut through, pressed out by so much."""
    half = 22.0
    return [
        (x - half, _BASE), (x - half - bulge, _BASE - 0.25 * tall),
        (x - half - bulge, _BASE - 0.75 * tall), (x - half, _BASE - tall),
        (x + half, _BASE - tall), (x + half + bulge, _BASE - 0.75 * tall),
        (x + half + bulge, _BASE - 0.25 * tall), (x + half, _BASE),
    ]  # fmt: skip


def ring_picture(look: RingLook, *, reader: Words = AS_WRITTEN) -> str:
    """A soft ring cut through, as high as it is left, drawn from this pump's sizes."""
    scale = _FULL / look.new
    tall, least = look.height * scale, look.least * scale
    bulge = min(0.35 * (_FULL - tall), 10.0)
    sides = [_section(x, tall, bulge) for x in (38.0, 112.0)]
    drawn = (
        area("dw-soft-pale dw-edge", *sides)
        + strokes("dw-hatch", [s for side in sides for s in hatch(side, spacing=6)])
        + line("dw-outline", (4, _BASE), (146, _BASE))
        + line("dw-sound", (8, _BASE - _FULL), (142, _BASE - _FULL))
        + bracket((MIDDLE, _BASE), (MIDDLE, _BASE - least))
    )
    counted = Message("ring ×{times}", times=magnified(scale))
    return tile(look.ring, look.title, look.verdict, drawn, counted, reader)
