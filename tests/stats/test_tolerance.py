"""Tolerance stacks by a second route."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from wetend.errors import BadInput
from wetend.stats.tolerance import Link, capability, share_outside, stack

LINKS = [Link(20, 0.1), Link(15, 0.05, -1), Link(4.8, 0.08, -1), Link(0.2, 0.02, -2)]


def test_worst_case_is_the_worst_corner() -> None:
    corners = [
        sum(link.weight * (link.nominal + sign * link.tolerance)
            for link, sign in zip(LINKS, signs, strict=True))
        for signs in itertools.product((-1, 1), repeat=len(LINKS))
    ]  # fmt: skip
    found = stack(LINKS)
    assert max(corners) == pytest.approx(found.nominal + found.worst_case)
    assert min(corners) == pytest.approx(found.nominal - found.worst_case)


def test_root_sum_square_is_what_drawn_parts_show() -> None:
    random = np.random.default_rng(9)
    drawn = sum(link.weight * random.normal(link.nominal, link.tolerance / 3, 200_000)
                for link in LINKS)  # fmt: skip
    assert stack(LINKS).root_sum_square == pytest.approx(3 * float(np.std(drawn)), rel=0.01)


def test_share_outside_adds_both_tails() -> None:
    both = share_outside(0.2, 1.0, lower=-1.0, upper=1.5)
    parts = share_outside(0.2, 1.0, lower=-1.0) + share_outside(0.2, 1.0, upper=1.5)
    assert both == pytest.approx(parts, rel=1e-12)
    # three standard deviations off the nearer limit: 0.135 % (normal table)
    assert share_outside(0.0, 1.0, upper=3.0) == pytest.approx(0.00135, abs=5e-6)
    assert capability(0.0, 1.0, upper=3.0) == 1.0


def test_an_empty_stack_is_refused() -> None:
    with pytest.raises(BadInput):
        stack([])
