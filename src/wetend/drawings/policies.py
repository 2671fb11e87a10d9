"""Bar chart of the cost of each maintenance policy with its interval."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.fleet.month import Outcome
from wetend.advice.reasons import Interval
from wetend.drawings.svg import WIDE, box, group, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, Say, saying, word
from wetend.units.message import Message, Words, joined, raised

_LEFT, _ROW = 8.0, 52.0
_ROOM = WIDE - 2 * _LEFT


def thousands(value: float) -> str:
    """A sum to two figures, thousands set apart.

    >>> thousands(54275.0), thousands(820.0)
    ('54 000', '820')
    """
    digits = max(len(f"{abs(value):.0f}") - 2, 0)
    return f"{round(value, -digits):,.0f}".replace(",", " ")


def _span(span: Interval) -> Message:
    return Message("{low} to {high}", low=thousands(span.low), high=thousands(span.high))


def _row(outcome: Outcome, y: float, per: float, say: Say, *, best: bool) -> str:
    span = outcome.cost
    strong = " dw-strong" if best else ""
    a, m, b = (_LEFT + value * per for value in (span.low, span.middle, span.high))
    middle = y + 30
    return group(
        "dw-policy",
        words(say(raised(word(outcome.policy))), _LEFT, y + 14, cls=f"dw-text{strong}"),
        words(say(_span(span)), WIDE - _LEFT, y + 14,
              anchor="end", cls=f"dw-text{strong}"),
        box("dw-accent" if best else "dw-accent-pale", _LEFT, y + 21, m - _LEFT, 18),
        box("dw-thin", _LEFT, y + 21, m - _LEFT, 18),
        *(line(cls, (a, middle), (b, middle)) for cls in ("dw-halo", "dw-outline")),
        *(line("dw-outline", (x, middle - 5), (x, middle + 5)) for x in (a, b)),
    )  # fmt: skip


_TITLE = Message("Cost of each policy")


def costs(outcomes: Sequence[Outcome], *, title: str = _TITLE, reader: Words = AS_WRITTEN) -> str:
    """Cost by policy: the bar is the median, the whisker holds it with 90 % probability."""
    say = saying(reader)
    most = max((o.cost.high for o in outcomes), default=1.0) or 1.0
    per = _ROOM / most
    least = min((o.cost.middle for o in outcomes), default=0.0)
    said = joined(
        "; ",
        (Message("{policy}: {cost}", policy=word(o.policy), cost=_span(o.cost)) for o in outcomes),
    )
    rows = (_row(o, 2 + _ROW * i, per, say, best=o.cost.middle == least)
            for i, o in enumerate(outcomes))  # fmt: skip
    return sheet(
        say(title),
        say(Message("{costs}.", costs=said) if outcomes else Message("Nothing simulated.")),
        *rows,
        height=_ROW * max(len(outcomes), 1),
    )
