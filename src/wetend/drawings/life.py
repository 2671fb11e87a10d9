"""Remaining life as bars with their interval, and lives on Weibull paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wetend.advice.life.plot import ProbabilityPlot
from wetend.advice.life.remaining import RemainingLife
from wetend.advice.reasons import Verdict
from wetend.drawings import verdict as shapes
from wetend.drawings.svg import WIDE, Point, area, box, circle, group, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, Say, saying, word
from wetend.units.message import Message, Words, joined, raised
from wetend.units.quantity import M3, unit_of
from wetend.units.show import number, pretty, span_text

MONTH = 30.4375 * 86400.0
_LONGEST = 24
"""Months the axis shows."""
_LEFT, _ROW, _TOP = 8.0, 40.0, 24.0
_ROOM = WIDE - 2 * _LEFT


def _x(seconds: float) -> float:
    return _LEFT + _ROOM * min(max(seconds / (MONTH * _LONGEST), 0.0), 1.0)


def _whisker(part: RemainingLife, y: float) -> list[str]:
    left = part.time
    a, m, b = _x(left.low), _x(left.middle), _x(left.high)
    beyond = left.high > MONTH * _LONGEST
    drawn = [box("dw-accent-pale", a, y, max(b - a, 1.5), 10)]
    outline = [(b, y), (a, y), (a, y + 10), (b, y + 10)]
    drawn.append(line("dw-thin", *outline, *([] if beyond else [(b, y)])))
    if beyond:
        tip = WIDE - 2
        drawn.append(area("dw-ink-fill", [(tip - 6, y), (tip, y + 5), (tip - 6, y + 10)]))
    if left.middle <= MONTH * _LONGEST:
        drawn += [line("dw-halo", (m, y - 1), (m, y + 11)),
                  line("dw-accent-thick", (m, y - 2), (m, y + 12))]  # fmt: skip
    return drawn


def _row(part: RemainingLife, y: float, say: Say) -> str:
    tone = shapes.TONE[part.verdict]
    strong = " dw-strong" if part.verdict is not Verdict.KEEP else ""
    said = span_text(part.time.low, part.time.high)
    return group(
        f"dw-{tone}",
        shapes.at(part.verdict, _LEFT + 8, y + 8, 15),
        words(say(raised(part.title)), _LEFT + 20, y + 12, cls=f"dw-text{strong}"),
        words(say(said), WIDE - 8, y + 12, anchor="end", cls="dw-text dw-strong"),
        *_whisker(part, y + 19),
    )


def _axis(height: float, say: Say) -> list[str]:
    drawn = []
    for months in (0, 6, 12, 18, 24):
        x = _x(months * MONTH)
        anchor = "start" if months == 0 else "end" if months == _LONGEST else "middle"
        label: str = Message("now") if months == 0 else f"{months}"
        if months == _LONGEST:
            label = Message("{n} months", n=months)
        drawn += [line("dw-rule", (x, _TOP - 6), (x, height)),
                  words(say(label), x, 12, anchor=anchor,
                        cls="dw-text dw-small dw-quiet")]  # fmt: skip
    return drawn


def bars(parts: Sequence[RemainingLife], *, reader: Words = AS_WRITTEN) -> str:
    """Each part's remaining time: the bar is the 90 % interval, the line the median."""
    say = saying(reader)
    height = _TOP + _ROW * max(len(parts), 1)
    said = joined("; ", (
        Message("{part}: {word}, {time}", part=p.title, word=word(p.word),
                time=span_text(p.time.low, p.time.high))
        for p in parts
    ))  # fmt: skip
    return sheet(
        say(Message("Remaining life of each part")),
        say(Message("{parts}.", parts=said) if parts else Message("No parts.")),
        *_axis(height, say),
        *(_row(part, _TOP + _ROW * i, say) for i, part in enumerate(parts)), height=height,
    )  # fmt: skip


_PAPER = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 0.8, 0.95, 0.99)
_BOX = (38.0, 8.0, WIDE - 10.0, 208.0)


def _weibull_y(failed: float) -> float:
    """Height on Weibull paper: ln(-ln(1-F)), from 1 % to 99 %."""
    low, high = (math.log(-math.log1p(-f)) for f in (_PAPER[0], _PAPER[-1]))
    inside = min(max(failed, _PAPER[0]), _PAPER[-1])
    share = (math.log(-math.log1p(-inside)) - low) / (high - low)
    return _BOX[3] - share * (_BOX[3] - _BOX[1])


class _Across:
    """Litres to places across, by logarithm."""

    def __init__(self, plot: ProbabilityPlot) -> None:
        seen = [p.life for p in plot.points]
        shown = [w for w, f in zip(plot.lives, plot.middle, strict=True) if 0.005 < f < 0.995]
        ends = [*seen, *shown] or list(plot.lives)
        self.low, self.high = math.log(min(ends) * 0.8), math.log(max(ends) * 1.25)

    def at(self, life: float) -> float:
        share = (math.log(life) - self.low) / (self.high - self.low)
        return _BOX[0] + min(max(share, 0.0), 1.0) * (_BOX[2] - _BOX[0])

    def ticks(self, per: float) -> list[float]:
        """Lives at 1, 2, 5 times powers of ten of the unit shown."""
        first = math.floor((self.low - math.log(per)) / math.log(10)) - 1
        found = [m * 10.0**p * per for p in range(first, first + 12) for m in (1, 2, 5)]
        return [t for t in found if self.low <= math.log(t) <= self.high]


def probability(plot: ProbabilityPlot, *, reader: Words = AS_WRITTEN) -> str:
    """Share failed against litres, on Weibull paper: points seen, line believed, band."""
    say, system = saying(reader), reader.system
    across, unit = _Across(plot), unit_of(M3)
    x0, y0, x1, y1 = _BOX
    rows = [
        part
        for share in _PAPER
        for part in (
            line("dw-rule", (x0, _weibull_y(share)), (x1, _weibull_y(share))),
            words(f"{share * 100:.0f} %", x0 - 4, _weibull_y(share) + 4, anchor="end",
                  cls="dw-text dw-small"),
        )
    ]  # fmt: skip
    per = 1e-3 if system == "metric" else 3.785411784e-3
    taken = -1e9
    for tick in across.ticks(per):
        x = across.at(tick)
        rows.append(line("dw-rule", (x, y0), (x, y1)))
        text = number(tick, unit, system)
        if x - taken > 7 * len(text) + 8:
            rows.append(words(text, x, y1 + 15, anchor="middle", cls="dw-text dw-small"))
            taken = x
    under = Message("pumped until failure, {unit}, at this pump's use",
                    unit=pretty(unit.shown_in(system)))  # fmt: skip
    return sheet(
        say(Message("Lives on Weibull paper")), say(_described(plot)), *rows,
        *_curves(plot, across),
        box("dw-thin", x0, y0, x1 - x0, y1 - y0),
        words(say(under), (x0 + x1) / 2, y1 + 32, anchor="middle", cls="dw-text dw-small"),
        height=y1 + 38,
    )  # fmt: skip


def _curves(plot: ProbabilityPlot, across: _Across) -> list[str]:
    inside = [
        i
        for i, w in enumerate(plot.lives)
        if across.low <= math.log(w) <= across.high and 0.009 < plot.middle[i] < 0.992
    ]
    if len(inside) < 2:
        return []

    def path(shares: Sequence[float]) -> list[Point]:
        return [(across.at(plot.lives[i]), _weibull_y(shares[i])) for i in inside]

    upper, lower = path(plot.high), path(plot.low)
    return [
        area("dw-accent-pale", [*upper, *reversed(lower)]),
        line("dw-accent-line", *path(plot.middle)),
        *(circle("dw-dot", across.at(p.life), _weibull_y(p.failed), 3.6) for p in plot.points),
    ]


def _described(plot: ProbabilityPlot) -> str:
    return Message(
        "Share failed against litres pumped: {failed} failed, {running} still running; the band "
        "holds 90 % of the fitted distributions.",
        failed=plot.failures, running=plot.going,
    )  # fmt: skip
