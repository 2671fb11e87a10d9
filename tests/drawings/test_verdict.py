from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from wetend.advice.reasons import Verdict
from wetend.drawings import verdict


@pytest.mark.parametrize("each", list(Verdict))
def test_every_verdict_has_a_named_shape_inside_its_box(
    each: Verdict, read_back: Callable[[str], Any]
) -> None:
    drawn = read_back(verdict.mark(each))
    assert drawn.root[0].text == each.value
    shape = re.findall(
        r"-?\d+(?:\.\d+)?", " ".join(re.findall(r' d="([^"]+)"', verdict.mark(each)))
    )
    assert all(abs(float(n)) <= 11.5 for n in shape)


def test_no_two_verdicts_share_a_shape() -> None:
    """Told apart without colour: WCAG 2.2, success criterion 1.4.1."""
    bare = {
        re.sub(r'class="dw-(good|turn|dress|bad|ask|none)"', "", verdict.at(v, 0, 0))
        for v in Verdict
    }
    assert len(bare) == len(Verdict)
