"""Laws of the pumps' rows: densities against SciPy's, and a fit to rows drawn from a known law."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from wetend.advice.diagnosis.causes import combinations_of_causes
from wetend.advice.diagnosis.laws import Drawn, Normal, Weighed, columns_of_rows, fitted, normals
from wetend.advice.diagnosis.prior import LUMP, NUISANCES, SIZES
from wetend.advice.faults.record import Cause
from wetend.advice.faults.tables import CAUSE

COLUMNS = np.array([0, 3, NUISANCES + CAUSE["foot"]])


def _law(rng: np.random.Generator) -> Normal:
    square = rng.normal(size=(3, 3))
    mean, root = rng.normal(size=3), np.linalg.cholesky(square @ square.T + np.eye(3))
    return normals([COLUMNS], [mean], [root])[0]


def test_densities_over_the_prior_are_those_of_scipy() -> None:
    """Second route: scipy.stats.multivariate_normal, both densities whole."""
    rng = np.random.default_rng(3)
    laws, own = [_law(rng) for _ in range(4)], rng.normal(size=(50, 3))
    for law in laws:
        row = law.log_ratio(own)
        ours = multivariate_normal(law.mean, law.root @ law.root.T).logpdf(own)
        prior = multivariate_normal(np.zeros(3), np.eye(3)).logpdf(own)
        np.testing.assert_allclose(row, ours - prior, rtol=1e-9, atol=1e-9)


def test_many_rows_drawn_give_their_law_back() -> None:
    rng = np.random.default_rng(5)
    law = _law(rng)
    rows = law.draw(rng, 40000)
    assert rows.shape == (40000, SIZES)
    (again,) = fitted([Weighed(rows[:, COLUMNS], np.ones(len(rows)), COLUMNS)])
    np.testing.assert_allclose(again.mean, law.mean, atol=0.06)  # four standard errors or so
    spread = law.root @ law.root.T
    wider = again.root @ again.root.T / spread
    np.testing.assert_allclose(np.diag(wider), 1.25, rtol=0.05)  # drawn a quarter wider on purpose
    others = np.setdiff1d(np.arange(SIZES), COLUMNS)
    assert np.abs(rows[:, others].mean()) < 0.01  # as the prior has them


def test_few_rows_hardly_move_the_prior() -> None:
    own = np.full((2, 3), 2.0)
    (law,) = fitted([Weighed(own, np.ones(2), COLUMNS)])
    assert np.all(np.abs(law.mean) < 0.5)


def test_pumps_taken_later_stand_in_their_places() -> None:
    rng = np.random.default_rng(1)
    drawn = Drawn(COLUMNS, rng.normal(size=(4, 3)), np.arange(10, 14), [_law(rng)], [2.0])
    drawn.take(rng.normal(size=(3, 3)), 50)
    assert drawn.place.tolist() == [10, 11, 12, 13, 50, 51, 52]
    ratio = drawn.laws[0].log_ratio(drawn.own)
    np.testing.assert_allclose(drawn.log_densities(drawn.own), [ratio + 2.0])


@pytest.mark.parametrize(("cause", "loose"), [(CAUSE["foot"], [LUMP]), (CAUSE["slow"], [])])
def test_columns_that_matter_are_what_varies_anyway_and_the_causes(
    cause: Cause, loose: list[int]
) -> None:
    """And, of what may be a lump, how easily it comes loose."""
    rows = combinations_of_causes()
    alone = int(np.flatnonzero((rows.sum(axis=1) == 1) & rows[:, cause])[0])
    assert columns_of_rows()[alone].tolist() == [*range(NUISANCES), NUISANCES + cause, *loose]


def test_laws_of_several_sizes_made_at_once_are_those_made_alone() -> None:
    rng = np.random.default_rng(11)
    columns = [np.arange(size) for size in (3, 5, 3, 4)]
    means = [rng.normal(size=len(own)) for own in columns]
    squares = [rng.normal(size=(len(own), len(own))) for own in columns]
    roots = [np.linalg.cholesky(s @ s.T + np.eye(len(s))) for s in squares]
    together = normals(columns, means, roots)
    for law, own, mean, root in zip(together, columns, means, roots, strict=True):
        rows = rng.normal(size=(20, len(own)))
        (alone,) = normals([own], [mean], [root])
        np.testing.assert_array_equal(law.columns, own)
        np.testing.assert_allclose(law.log_ratio(rows), alone.log_ratio(rows), rtol=1e-12)
