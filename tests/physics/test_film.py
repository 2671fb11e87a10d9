"""Coverage and film."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.physics.film import (
    practical_coverage,
    theoretical_coverage,
    volume_needed,
    wet_film,
)


@given(st.floats(1e-5, 2e-3), st.floats(0.05, 1.0), st.floats(0.0, 0.9))
def test_volume_laid_is_dry_film_over_solids(dry: float, solids: float, loss: float) -> None:
    # a square metre: dry volume over solids is the wet volume, and loss is of what is sprayed
    volume = volume_needed(1.0, dry, solids, loss)
    assert volume * (1 - loss) * solids == pytest.approx(dry)
    assert practical_coverage(dry, solids, loss) <= theoretical_coverage(dry, solids)


def test_wet_film_of_the_datasheet_question() -> None:
    # question printed at leighspaints.com, estimation of paint coverage; answer by its formula
    assert wet_film(100e-6, 0.65) == pytest.approx(153.85e-6, rel=1e-4)


def test_thinner_thickens_the_wet_film_and_leaves_the_dry() -> None:
    # KTA, PaintSquare news 11397: thinner raises the wet film wanted for the same dry film
    assert wet_film(100e-6, 0.65, 0.10) == pytest.approx(1.10 * wet_film(100e-6, 0.65))


def test_consumption_factor_is_one_over_one_less_loss() -> None:
    # scribd.com document 457535557: practical consumption = area x factor / spreading rate
    factor = theoretical_coverage(1e-4, 0.6) / practical_coverage(1e-4, 0.6, 0.3)
    assert factor == pytest.approx(1 / 0.7)
