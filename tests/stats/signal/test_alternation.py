"""Two strokes in turn fitted to marks, some of them false, some missing."""

from __future__ import annotations

import itertools

import numpy as np
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.stats.signal.alternation import Chain, ChainParameters, Marks, chain, fit


def _train(first: float, second: float, count: int) -> np.ndarray:
    return np.cumsum([0.5] + [first, second] * (count // 2))


def _marks(times: np.ndarray, worth: float = 5.0) -> Marks:
    order = np.sort(times)
    return Marks(order, np.full((order.size, 2), worth))


def _spans(found: Chain, marks: Marks) -> list[float]:
    return [
        float(marks.times[b.mark] - marks.times[a.mark])
        for a, b in itertools.pairwise(found.links)
        if b.strokes == 1
    ]


@costly(15)
@given(
    first=st.floats(0.5, 3.0),
    ratio=st.floats(0.5, 2.0),
    lost=st.sets(st.integers(3, 36), max_size=5),
    seed=st.integers(0, 1000),
)
def test_true_strokes_survive_lost_and_false_marks(
    first: float, ratio: float, lost: set[int], seed: int
) -> None:
    rng = np.random.default_rng(seed)
    true = _train(first, first * ratio, 40)
    kept = np.delete(true, sorted(lost))
    false = rng.uniform(true[0], true[-1], 6)
    times = np.r_[kept, false]
    evidence = np.r_[np.full(kept.size, 5.0), np.full(false.size, 0.5)]
    order = np.argsort(times)
    marks = Marks(times[order], np.repeat(evidence[order][:, None], 2, axis=1))
    found, lengths = fit(marks, (first * 1.03, first * ratio * 0.97))
    at = marks.times[[k.mark for k in found.links]]
    assert np.mean([np.min(np.abs(at - t)) < 1e-9 for t in kept]) > 0.9
    assert np.allclose(sorted(lengths), sorted((first, first * ratio)), rtol=0.06)


def test_stroke_times_guessed_a_little_off_are_mended_by_the_marks() -> None:
    found, lengths = fit(_marks(_train(1.0, 1.5, 20)), (1.06, 1.42))
    assert np.allclose(lengths, (1.0, 1.5), atol=1e-9)
    assert len(found.links) == 21


def test_one_missing_turn_shows_as_two_strokes() -> None:
    times = np.delete(_train(1.0, 1.5, 12), 5)
    found = chain(_marks(times), (1.0, 1.5), ChainParameters())
    assert sorted(k.strokes for k in found.links)[-1] == 2
    assert len(found.links) == times.size


def test_a_pause_breaks_the_chain_and_not_the_times() -> None:
    train = _train(1.0, 1.5, 14)
    times = np.r_[train, train + train[-1] + 9.3]
    found, lengths = fit(_marks(times), (1.0, 1.5))
    assert [k.strokes for k in found.links].count(0) == 2
    assert np.allclose(lengths, (1.0, 1.5))


def test_kinds_alternate_unless_a_turn_is_missing() -> None:
    found = chain(_marks(_train(0.8, 1.3, 20)), (0.8, 1.3), ChainParameters())
    kinds = [k.kind for k in found.links]
    assert all(a != b for a, b in itertools.pairwise(kinds))


def test_no_marks_make_no_chain() -> None:
    assert chain(Marks(np.zeros(0), np.zeros((0, 2))), (1.0, 1.0), ChainParameters()) == Chain(
        (), 0.0
    )
