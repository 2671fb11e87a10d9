"""Bar chart of the cost of each maintenance policy with its interval."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.fleet.month import Outcome
from wetend.advice.reasons import Interval
from wetend.drawings.svg import WIDE, box, group, line, sheet, words

_LEFT, _ROW = 8.0, 52.0
_ROOM = WIDE - 2 * _LEFT


def thousands(value: float) -> str:
    """A sum to two figures, thousands set apart.

    >>> thousands(54275.0), thousands(820.0)
    ('54 000', '820')
    """
    digits = max(len(f"{abs(value):.0f}") - 2, 0)
    return f"{round(value, -digits):,.0f}".replace(",", " ")


def _row(outcome: Outcome, span: Interval, y: float, per: float, *, best: bool) -> str:
    strong = " dw-strong" if best else ""
    a, m, b = (_LEFT + value * per for value in (span.low, span.middle, span.high))
    middle = y + 30
    return group(
        "dw-policy",
        words(outcome.policy.capitalize(), _LEFT, y + 14, cls=f"dw-text{strong}"),
        words(f"{thousands(span.low)} to {thousands(span.high)}", WIDE - _LEFT, y + 14,
              anchor="end", cls=f"dw-text{strong}"),
        box("dw-accent" if best else "dw-accent-pale", _LEFT, y + 21, m - _LEFT, 18),
        box("dw-thin", _LEFT, y + 21, m - _LEFT, 18),
        *(line(cls, (a, middle), (b, middle)) for cls in ("dw-halo", "dw-outline")),
        *(line("dw-outline", (x, middle - 5), (x, middle + 5)) for x in (a, b)),
    )  # fmt: skip


def costs(outcomes: Sequence[Outcome], *, title: str = "Cost of each policy") -> str:
    """Cost by policy: the bar is the median, the whisker holds it with 90 % probability."""
    most = max((o.cost.high for o in outcomes), default=1.0) or 1.0
    per = _ROOM / most
    least = min((o.cost.middle for o in outcomes), default=0.0)
    said = "; ".join(
        f"{o.policy}: {thousands(o.cost.low)} to {thousands(o.cost.high)}" for o in outcomes
    )
    rows = (_row(o, o.cost, 2 + _ROW * i, per, best=o.cost.middle == least)
            for i, o in enumerate(outcomes))  # fmt: skip
    return sheet(
        title, f"{said or 'Nothing simulated'}.", *rows, height=_ROW * max(len(outcomes), 1)
    )
