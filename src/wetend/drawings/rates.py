"""Rates or shares with their intervals, row by row, and counts as bars."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.drawings.svg import WIDE, box, circle, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, saying
from wetend.units.message import Message, Words, joined

_X0, _X1, _ROW = 136.0, WIDE - 14.0, 24.0
_LONGEST = 21

Row = tuple[str, float, float, float]
"""Name, lower end, middle and upper end."""


def interval_plot(
    rows: Sequence[Row], *, title: str, unit: str, all_together: float, reader: Words = AS_WRITTEN
) -> str:
    """Each row's middle as a dot on its interval, and the value of all together as a line.

    Args:
        rows: what is compared, the first at the top.
        title: what the picture shows.
        unit: of the values, below the axis.
        all_together: where the line stands.
        reader: whose words and units.
    """
    say = saying(reader)
    most = max((*(middle for _, _, middle, _ in rows), all_together)) * 2.0
    most = most or max(high for _, _, _, high in rows) or 1.0

    def x(value: float) -> float:
        return _X0 + (_X1 - _X0) * min(value / most, 1.0)

    bottom = 8.0 + _ROW * len(rows)
    parts = [line("dw-hidden", (x(all_together), 4.0), (x(all_together), bottom))]
    for place, (name, low, middle, high) in enumerate(rows):
        y = 8.0 + _ROW * (place + 0.5)
        parts += [
            words(_short(say(name)), _X0 - 6, y + 4, anchor="end", cls="dw-text dw-small"),
            line("dw-accent-line", (x(low), y), (x(high), y)), circle("dw-dot", x(middle), y, 4.0),
        ]  # fmt: skip
    said = joined("; ", (Message("{name}: {middle:.3g} ({low:.3g} to {high:.3g})", name=name,
                                 middle=middle, low=low, high=high)
                         for name, low, middle, high in rows))  # fmt: skip
    return sheet(
        say(title), say(said), line("dw-thin", (_X0, bottom), (_X1, bottom)), *parts,
        words("0", _X0, bottom + 14, anchor="middle", cls="dw-text dw-small"),
        words(f"{most:.2g}", _X1, bottom + 14, anchor="end", cls="dw-text dw-small"),
        words(say(unit), (_X0 + _X1) / 2, bottom + 14, anchor="middle",
              cls="dw-text dw-small dw-quiet"),
        height=bottom + 22,
    )  # fmt: skip


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…"


def bars(rows: Sequence[tuple[str, int]], *, title: str, reader: Words = AS_WRITTEN) -> str:
    """Counts as bars from the left, each with its number."""
    say = saying(reader)
    most = max((count for _, count in rows), default=1) or 1
    parts = []
    for place, (name, count) in enumerate(rows):
        y = 6.0 + 20.0 * place
        width = (_X1 - _X0 - 30.0) * count / most
        parts += [
            words(_short(say(name)), _X0 - 6, y + 12, anchor="end", cls="dw-text dw-small"),
            box("dw-steel", _X0, y + 2, max(width, 0.5), 13.0),
            words(str(count), _X0 + width + 5, y + 12, cls="dw-text dw-small"),
        ]  # fmt: skip
    said = joined("; ", (Message("{name}: {count}", name=name, count=count)
                         for name, count in rows))  # fmt: skip
    return sheet(say(title), say(said), *parts, height=12.0 + 20.0 * max(len(rows), 1))
