"""Figures of the theory pages: a small chart in SVG, in the ink of the drawings."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from wetend.drawings.svg import num, tag

INKS = ("#1b4965", "#b5541c", "#3d7a3a", "#7a3b69", "#555555", "#a07d00")
DASHES = ("", "6 3", "2 2", "8 3 2 3", "4 2 1 2", "10 4")
_WIDE, _HIGH = 560.0, 360.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 66.0, 14.0, 14.0, 46.0
_FACE = "system-ui, sans-serif"


def _words(
    text: str, x: float, y: float, *, anchor: str = "middle", size: float = 12.0, turn: float = 0.0
) -> str:
    more = {"transform": f"rotate({num(turn)} {num(x)} {num(y)})"} if turn else {}
    return tag("text", _escaped(text), x=x, y=y, text_anchor=anchor, font_size=size, font_family=_FACE,
               fill="#222222", **more)  # fmt: skip


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _figure(value: float) -> str:
    """A tick's number; large and small powers of ten as such."""
    power = round(math.log10(value)) if value > 0 else 0
    if abs(power) >= 4 and math.isclose(value, 10.0**power):
        return "10" + str(power).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))
    return f"{round(value, 9):g}"


def _round_steps(low: float, high: float) -> list[float]:
    rough = (high - low) / 6
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(s * power for s in (1, 2, 2.5, 5, 10) if s * power >= rough * (1 - 1e-9))
    first = math.ceil(low / step - 1e-9)
    return [i * step for i in range(first, math.floor(high / step + 1e-9) + 1)]


@dataclass(frozen=True)
class Axis:
    """A scale with its name, straight or logarithmic."""

    label: str
    low: float
    high: float
    log: bool = False

    def place(self, value: float) -> float:
        """0 at the low end, 1 at the high end."""
        if self.log:
            return math.log(value / self.low) / math.log(self.high / self.low)
        return (value - self.low) / (self.high - self.low)

    def ticks(self) -> list[float]:
        """Values that get a line and a number."""
        if not self.log:
            return _round_steps(self.low, self.high)
        first, last = (
            math.ceil(math.log10(self.low) - 1e-9),
            math.floor(math.log10(self.high) + 1e-9),
        )
        tens = [10.0**i for i in range(first, last + 1)]
        if len(tens) >= 3:
            return tens[:: max(1, len(tens) // 8)]
        return [m * 10.0**i for i in range(first - 1, last + 1) for m in (1, 2, 5)
                if self.low * (1 - 1e-9) <= m * 10.0**i <= self.high * (1 + 1e-9)]  # fmt: skip


@dataclass
class Plot:
    """A chart that grows by curves and points, then tells its SVG."""

    x: Axis
    y: Axis
    title: str
    desc: str
    _drawn: list[str] = field(default_factory=list)
    _legend: list[tuple[str, str]] = field(default_factory=list)

    def _at(self, x: float, y: float) -> tuple[float, float]:
        across, up = self.x.place(x), self.y.place(y)
        return (
            _LEFT + across * (_WIDE - _LEFT - _RIGHT),
            _HIGH - _BOTTOM - up * (_HIGH - _TOP - _BOTTOM),
        )

    def curve(
        self,
        xs: Iterable[float],
        ys: Iterable[float],
        label: str = "",
        *,
        ink: int = 0,
        dash: int = 0,
    ) -> Plot:
        """A line through many places; breaks where it leaves the chart."""
        runs: list[list[str]] = [[]]
        for x, y in zip(xs, ys, strict=True):
            inside = (
                math.isfinite(y)
                and self.y.low <= y <= self.y.high
                and self.x.low <= x <= self.x.high
            )
            if not inside:
                if runs[-1]:
                    runs.append([])
                continue
            px, py = self._at(float(x), float(y))
            runs[-1].append(f"{px:.1f} {py:.1f}")
        path = "".join("M" + "L".join(run) for run in runs if len(run) > 1)
        style = {"stroke": INKS[ink % 6], "stroke_width": 1.6, "fill": "none"}
        if dash:
            style["stroke_dasharray"] = DASHES[dash % 6]
        self._drawn.append(tag("path", d=path, **style))
        if label:
            self._legend.append((tag("path", d="M0 0L22 0", **style), label))
        return self

    def law(
        self,
        of: Callable[[np.ndarray], np.ndarray],
        label: str = "",
        *,
        ink: int = 0,
        dash: int = 0,
        points: int = 161,
    ) -> Plot:
        """A function over the whole width."""
        make = np.geomspace if self.x.log else np.linspace
        xs = make(self.x.low, self.x.high, points)
        return self.curve(xs, np.asarray(of(xs), dtype=float), label, ink=ink, dash=dash)

    def points(
        self, xs: Sequence[float], ys: Sequence[float], label: str = "", *, ink: int = 1
    ) -> Plot:
        """Published figures: open rings."""
        style = {"r": 3.6, "fill": "#ffffff", "stroke": INKS[ink % 6], "stroke_width": 1.6}
        for x, y in zip(xs, ys, strict=True):
            px, py = self._at(x, y)
            self._drawn.append(tag("circle", cx=round(px, 1), cy=round(py, 1), **style))
        if label:
            self._legend.append((tag("circle", cx=11.0, cy=0.0, **style), label))
        return self

    def _frame(self) -> list[str]:
        thin = {"stroke": "#d9d4c8", "stroke_width": 0.7, "fill": "none"}
        parts = [tag("rect", x=0.0, y=0.0, width=_WIDE, height=_HIGH, fill="#fdfcf8")]
        for value in self.x.ticks():
            px, _ = self._at(value, self.y.low)
            parts.append(tag("path", d=f"M{px:.1f} {_TOP}V{_HIGH - _BOTTOM}", **thin))
            anchor = "end" if px > _WIDE - _RIGHT - 8 else "middle"
            parts.append(_words(_figure(value), round(px, 1), _HIGH - _BOTTOM + 16, anchor=anchor))
        for value in self.y.ticks():
            _, py = self._at(self.x.low, value)
            parts.append(tag("path", d=f"M{_LEFT} {py:.1f}H{_WIDE - _RIGHT}", **thin))
            parts.append(_words(_figure(value), _LEFT - 6, round(py + 4, 1), anchor="end"))
        parts.append(tag("rect", x=_LEFT, y=_TOP, width=_WIDE - _LEFT - _RIGHT,
                         height=_HIGH - _TOP - _BOTTOM, fill="none", stroke="#222222"))  # fmt: skip
        parts.append(_words(self.x.label, (_LEFT + _WIDE - _RIGHT) / 2, _HIGH - 10))
        middle = (_TOP + _HIGH - _BOTTOM) / 2
        parts.append(_words(self.y.label, 16.0, middle, turn=-90.0))
        return parts

    def svg(self) -> str:
        """The whole figure; its legend stands below the chart."""
        legend = []
        for i, (sample, label) in enumerate(self._legend):
            y = _HIGH + 8 + 18 * i
            legend.append(tag("g", sample, transform=f"translate({_LEFT} {y})"))
            legend.append(_words(label, _LEFT + 30, y + 4, anchor="start"))
        high = _HIGH + (18 * len(self._legend) + 6 if self._legend else 0)
        back = tag("rect", x=0.0, y=0.0, width=_WIDE, height=high, fill="#fdfcf8")
        inside = [tag("title", _escaped(self.title)), tag("desc", _escaped(self.desc)), back,
                  *self._frame(), *self._drawn, *legend]  # fmt: skip
        return tag("svg", *inside, xmlns="http://www.w3.org/2000/svg", role="img",
                   viewBox=f"0 0 {num(_WIDE)} {num(high)}") + "\n"  # fmt: skip
