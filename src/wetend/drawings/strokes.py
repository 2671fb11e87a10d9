"""Stroke times against those of the healthy pump."""

from __future__ import annotations

from wetend.drawings.svg import WIDE, box, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, Say, saying
from wetend.stats.uncertainty import HALF_90
from wetend.units.message import Message, Words
from wetend.units.quantity import S

AS_HEALTHY = Message("as healthy")


def verdict_words(seen: S, healthy: S, spread: S = 0.0) -> str:
    """How a stroke compares: ``"31 % quick"``, ``"12 % slow"`` or ``"as healthy"``.

    A difference within the spread, or under 3 %, counts as none.

    >>> verdict_words(0.98, 1.42), verdict_words(1.42, 1.40), verdict_words(1.6, 1.4, 0.2)
    ('31 % quick', 'as healthy', 'as healthy')
    """
    off = (seen - healthy) / healthy if healthy > 0 else 0.0
    if abs(off) < 0.03 or abs(seen - healthy) <= HALF_90 * spread:
        return AS_HEALTHY
    if off > 0:
        return Message("{off:.0f} % slow", off=off * 100)
    return Message("{off:.0f} % quick", off=-off * 100)


def _row(
    name: str, y: float, per: float, seen: S | None, healthy: S, spread: S, say: Say
) -> list[str]:
    left = 10.0
    rows = [
        words(say(name), left, y + 12, cls="dw-text dw-big"),
        box("dw-paper-fill", left, y + 42, healthy * per, 10),
        box("dw-thin", left, y + 42, healthy * per, 10),
        words(
            say(Message("healthy {time:.2f} s", time=healthy)), left, y + 67, cls="dw-text dw-quiet"
        ),
    ]
    if seen is None:
        return [*rows, words(say(Message("not timed")), left, y + 34, cls="dw-text dw-quiet")]
    off = verdict_words(seen, healthy, spread)
    clear = off == AS_HEALTHY
    rows += [
        words(f"{seen:.2f} s", left + 62, y + 12, cls="dw-text dw-big"),
        words(say(off), WIDE - 10, y + 12, anchor="end",
              cls="dw-text dw-big" + ("" if clear else " dw-accent-text")),
        box("dw-accent-pale" if clear else "dw-accent", left, y + 20, seen * per, 20),
        box("dw-thin", left, y + 20, seen * per, 20),
    ]  # fmt: skip
    if spread > 0:
        reach = HALF_90 * spread * per
        a, b = max(left + seen * per - reach, left), left + seen * per + reach
        middle = y + 30
        for cls in ("dw-halo", "dw-outline"):
            rows.append(line(cls, (a, middle), (b, middle)))
            rows += [line(cls, (x, middle - 5), (x, middle + 5)) for x in (a, b)]
    return rows


def _time(seen: S | None) -> str:
    return Message("not timed") if seen is None else f"{seen:.2f} s"


def compare(
    up: S | None,
    down: S | None,
    healthy_up: S,
    healthy_down: S,
    up_spread: S = 0.0,
    down_spread: S = 0.0,
    *,
    reader: Words = AS_WRITTEN,
) -> str:
    """Bars of the up and down stroke against the healthy pump's.

    Args:
        up: mean up-stroke time; ``None`` where not timed.
        down: mean down-stroke time.
        healthy_up: what the sound pump would take.
        healthy_down: the same going down.
        up_spread: standard uncertainty of the mean; whiskers hold it with 90 % probability.
        down_spread: the same going down.
        reader: whose language it is in.
    """
    say = saying(reader)
    longest = max(
        healthy_up, healthy_down, (up or 0) + HALF_90 * up_spread,
        (down or 0) + HALF_90 * down_spread, 1e-9,
    )  # fmt: skip
    per = (WIDE - 24) / longest
    sentence = Message(
        "up-stroke {up}, healthy {healthy_up:.2f} s; "
        "down-stroke {down}, healthy {healthy_down:.2f} s.",
        up=_time(up), healthy_up=healthy_up, down=_time(down), healthy_down=healthy_down,
    )  # fmt: skip
    return sheet(
        say(Message("Stroke times against the healthy pump")), say(sentence),
        *_row(Message("UP"), 6, per, up, healthy_up, up_spread, say),
        *_row(Message("DOWN"), 92, per, down, healthy_down, down_spread, say),
        height=168,
    )  # fmt: skip
