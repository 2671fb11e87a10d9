"""Figures of a pump with a fault beside a sound one's."""

from __future__ import annotations

import pytest

from wetend.units.quantity import Creep, LeakFlow, Pa, S, unit_of
from wetend.workflows.simulate import FigureRow


@pytest.mark.parametrize(
    ("this", "sound", "differs"),
    [(1.0, 1.04, False), (1.0, 1.06, True), (1.06, 1.0, True), (0.0, 0.0, False), (0.0, 1e-9, True),
     (-1.0, 1.0, True), (None, None, False), (None, 1.0, True), (0.0, None, True)],
)  # fmt: skip
def test_a_figure_stands_out_where_it_is_more_than_a_twentieth_off(this, sound, differs) -> None:
    assert FigureRow("stroke", unit_of(S), this, sound).differs is differs
    assert FigureRow("gauge", unit_of(Pa), this, sound).differs is differs


@pytest.mark.parametrize(
    ("unit", "hair"), [(unit_of(Creep), 1e-4), (unit_of(LeakFlow), 1e-8)], ids=["creep", "leak"]
)
def test_a_creep_or_leak_of_next_to_nothing_does_not_stand_out(unit, hair: float) -> None:
    """A sound pump's is next to zero, so that any share of it is large."""
    assert not FigureRow("it", unit, 0.9 * hair, 0.0).differs
    assert FigureRow("it", unit, 1.1 * hair, 0.0).differs
    assert not FigureRow("it", unit, 100 * hair, 104 * hair).differs
