"""Bar chart of fault probabilities, each with a word, a shape and a figure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wetend.advice.diagnosis.diagnose import Finding
from wetend.drawings.svg import WIDE, area, box, circle, group, sheet, words, wrapped
from wetend.drawings.words import AS_WRITTEN, Say, saying, word
from wetend.units.message import Message, Words, joined
from wetend.units.show import chance_text

_ROOM = WIDE - 168


def moon(x: float, y: float, share: float, radius: float = 7.0) -> str:
    """A disc filled from the left as far as the probability goes, in quarters."""
    quarter = min(max(round(share * 4), 0), 4)
    if share > 0.02:
        quarter = max(quarter, 1)
    edge = -radius + 2 * radius * quarter / 4
    turns = [2 * math.pi * step / 48 for step in range(48)]
    points = [(x + min(radius * math.cos(t), edge), y + radius * math.sin(t)) for t in turns]
    filled = area("dw-accent", points) if quarter else ""
    return group("dw-moon", circle("dw-paper-fill", x, y, radius), filled,
                 circle("dw-outline", x, y, radius))  # fmt: skip


def _row(finding: Finding, y: float, say: Say) -> tuple[list[str], float]:
    share = min(max(finding.probability, 0.0), 1.0)
    names = wrapped(say(finding.fault.title), 12, _ROOM, most=3)
    drawn = [
        moon(13, y + 10, share),
        *(words(n, 28, y + 14 + 14 * i, cls="dw-text" + (" dw-strong" if share >= 0.5 else ""))
          for i, n in enumerate(names)),
        words(say(chance_text(share)), WIDE - 8, y + 14, cls="dw-text dw-strong", anchor="end"),
        words(say(word(finding.word)), WIDE - 80, y + 14, anchor="end"),
    ]  # fmt: skip
    below = y + 14 * len(names) + 7
    full = WIDE - 36
    drawn += [
        box("dw-accent", 28, below, full * share, 8),
        box("dw-thin", 28, below, full, 8),
    ]
    return drawn, below + 18


def faults(findings: Sequence[Finding], *, reader: Words = AS_WRITTEN) -> str:
    """The faults with their probabilities, in the order given."""
    say = saying(reader)
    inside: list[str] = []
    y = 2.0
    for finding in findings:
        drawn, y = _row(finding, y, say)
        inside += drawn
    said = joined(
        "; ",
        (
            Message(
                "{fault}: {word}, {chance}",
                fault=f.fault.title, word=word(f.word), chance=chance_text(f.probability),
            )
            for f in findings
        ),
    )  # fmt: skip
    return sheet(
        say(Message("Probability of each fault")),
        say(Message("{faults}.", faults=said) if findings else Message("No faults weighed.")),
        *inside, height=y,
    )  # fmt: skip
