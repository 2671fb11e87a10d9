"""The trace of a record: every stroke numbered, gaps shown, nothing off the sheet."""

from __future__ import annotations

import itertools
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from wetend.advice.listening.answer import Listening
from wetend.advice.listening.strokes import judge
from wetend.drawings.listening import shown_until, trace
from wetend.drawings.svg import WIDE
from wetend.stats.signal.follow import Followed, Turn
from wetend.stats.signal.hearing import Heard, follow_taps

NS = "{http://www.w3.org/2000/svg}"


def _heard(count: int = 30, first: str | None = "up") -> Listening:
    times = np.cumsum([0.0] + [1.3, 1.0] * (count // 2))
    return judge(follow_taps([float(t) for t in times]), "taps", first)  # type: ignore[arg-type]


def _texts(svg: str) -> list[str]:
    return [t.text or "" for t in ET.fromstring(svg).iter(f"{NS}text")]


def test_every_stroke_has_its_number_and_way() -> None:
    texts = " ".join(_texts(trace(_heard())))
    for number in range(1, 31):
        assert re.search(rf"\b{number}[↑↓]?(\s|$)", texts), number
    assert "↑" in texts
    assert "↓" in texts


def test_unmarked_strokes_have_no_arrows() -> None:
    texts = " ".join(_texts(trace(_heard(first=None))))
    assert "↑" not in texts
    assert "first 1.30 s" in texts


@pytest.mark.parametrize("slow", [1.0, 0.3, 8.0])
def test_a_moment_can_be_read_off(slow: float) -> None:
    """Marks of whole seconds stand where the strokes say that they do, evenly."""
    times = np.cumsum([0.0] + [1.3 * slow, 1.0 * slow] * 12)
    heard = judge(follow_taps([float(t) for t in times]), "taps", "up")
    svg = ET.fromstring(trace(heard))
    named = [(int((t.text or "")[:-2]), float(t.get("x", 0))) for t in svg.iter(f"{NS}text")
             if re.fullmatch(r"\d+ s", t.text or "")]  # fmt: skip
    assert len(named) >= 4
    row = [pair for pair in named if pair[0] <= 9 * 1.15 * slow]
    steps = [(b[1] - a[1]) / (b[0] - a[0]) for a, b in itertools.pairwise(row) if b[0] > a[0]]
    assert steps == pytest.approx([steps[0]] * len(steps), rel=0.02)


def test_nothing_lies_off_the_sheet() -> None:
    svg = trace(_heard())
    for box in ET.fromstring(svg).iter(f"{NS}rect"):
        x, width = float(box.get("x", 0)), float(box.get("width", 0))
        assert x >= 0
        assert x + width <= WIDE + 0.01


def test_a_long_record_is_cut_and_says_where() -> None:
    heard = _heard(400)
    assert shown_until(heard) < heard.length
    assert len(trace(heard)) < 60_000


def test_gaps_are_shown() -> None:
    known = np.ones(1000, dtype=bool)
    known[300:400] = False
    turns = (Turn(1.0, 0, 0, 5.0), Turn(2.0, 1, 1, 1.0))
    heard = judge(
        Heard(Followed(turns, (1.0, 1.0), np.zeros(1000), 0.0), 0.0, 0.01, 10.0, known, 0.1), "log"
    )
    svg = trace(heard)
    assert svg.count("dw-soft-pale") >= 2
    assert "dw-hidden" in svg


@pytest.mark.parametrize("turns", [(), (Turn(0.0, 0, 0, 0.0),)])
def test_a_record_without_strokes_is_still_drawn(turns: tuple[Turn, ...]) -> None:
    known = np.ones(700, dtype=bool)
    heard = judge(
        Heard(Followed(turns, (1.0, 1.0), np.random.default_rng(0).random(700), 0.0), -2.0, 0.01,
              7.0, known, 0.0), "sound",
    )  # fmt: skip
    root = ET.fromstring(trace(heard))
    assert "0 strokes counted" in (root.findtext(f"{NS}desc") or "")
