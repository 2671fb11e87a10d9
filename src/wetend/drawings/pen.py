"""Draws axisymmetric profiles given in metres, in section or whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wetend.advice.reasons import Verdict
from wetend.drawings.hatching import hatch
from wetend.drawings.svg import Point, area, circle, group, line, strokes
from wetend.drawings.verdict import TONE
from wetend.pump.parts import PartName

Profile = Sequence[Point]
"""Points as (radius, height) in metres; a negative radius lies left of the axis."""


@dataclass(frozen=True)
class Pen:
    """Where axis and datum height stand on the sheet, how large a metre is, what is worn."""

    axis: float
    datum: float
    scale: float
    marked: Mapping[PartName, Verdict]

    def at(self, radius: float, height: float) -> Point:
        """A point of the pump on the sheet."""
        return self.axis + radius * self.scale, self.datum - height * self.scale

    def ring(self, profile: Profile) -> list[Point]:
        """A profile on the sheet."""
        return [self.at(r, z) for r, z in profile]

    def fill(self, part: PartName, plain: str) -> str:
        """The class a part is filled with: its own, or the tone of its verdict."""
        return "dw-tone-pale" if part in self.marked else plain

    def part(self, part: PartName, *inside: str) -> str:
        """All that is drawn of one part."""
        verdict = self.marked.get(part)
        tone = f" dw-{TONE[verdict]}" if verdict else ""
        return group(f"dw-part{tone}", *inside, data_part=part)

    def cut(
        self,
        part: PartName,
        *profiles: Profile,
        plain: str = "dw-metal",
        rising: bool = True,
        spacing: float = 4.0,
    ) -> str:
        """A part cut through: filled, hatched one way throughout, outlined."""
        rings = [self.ring(p) for p in profiles]
        lines = [s for r in rings for s in hatch(r, spacing=spacing, rising=rising)]
        return self.part(
            part, area(f"{self.fill(part, plain)} dw-edge", *rings), strokes("dw-hatch", lines)
        )  # fmt: skip

    def turned(
        self,
        part: PartName,
        profile: Profile,
        *,
        plain: str = "dw-metal",
        rising: bool = True,
        spacing: float = 4.0,
    ) -> str:
        """A part turned about the axis, cut through: the profile and its mirror image."""
        return self.cut(
            part, profile, mirrored(profile), plain=plain, rising=rising, spacing=spacing
        )

    def whole(self, part: PartName, profile: Profile, *, plain: str = "dw-steel") -> str:
        """A part not cut, such as a rod (ISO 128-3)."""
        ring = self.ring(profile)
        return self.part(part, area(f"{self.fill(part, plain)} dw-edge", ring))

    def wash(self, *profiles: Profile, cls: str = "dw-wash") -> str:
        """Where liquid stands."""
        return "".join(area(cls, self.ring(p)) for p in profiles)

    def ball(self, part: PartName, height: float, radius: float) -> str:
        """A ball on the axis, not cut, with its centre lines."""
        x, y = self.at(0, height)
        r = radius * self.scale
        return self.part(
            part, circle(f"{self.fill(part, 'dw-steel')} dw-edge", x, y, r),
            line("dw-fine", (x - 0.45 * r, y), (x + 0.45 * r, y)),
        )  # fmt: skip

    def thread(self, radius: float, low: float, high: float, depth: float) -> str:
        """The thin line of a thread's root, both sides (ISO 6410-1)."""
        return "".join(
            line("dw-fine", self.at(s * (radius - depth), low), self.at(s * (radius - depth), high))
            for s in (-1, 1)
        )


def mirrored(profile: Profile) -> list[Point]:
    """The profile on the other side of the axis."""
    return [(-r, z) for r, z in profile]


def band(outer: float, low: float, high: float, inner: float = 0.0) -> list[Point]:
    """A rectangle on the right of the axis, or across it where ``inner`` is not given."""
    left = inner if inner else -outer
    return [(left, low), (outer, low), (outer, high), (left, high)]
