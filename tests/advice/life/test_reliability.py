"""What the proof of the forecasts rests on: the unmet depots, and the shares counted from them.

The whole table is in docs/life.md; here a few depots keep the bench itself true.
"""

import life_reliability
import numpy as np
import pytest
from scipy import stats
from unmet_depots import DAYS, Circumstances, depot_of, seen, truth_of


def _lived(how: Circumstances, seed: int = 3):
    return depot_of(np.random.default_rng(seed), how)


def test_shares_have_the_interval_of_another_library() -> None:
    for hits, count in ((0, 20), (7, 20), (270, 300)):
        theirs = stats.binomtest(hits, count).proportion_ci(method="wilson")
        # 1.96 for 1.959964: the fifth digit
        assert life_reliability.wilson(hits, count) == pytest.approx(tuple(theirs), abs=1e-4)


def test_lives_are_weibull_from_where_they_start() -> None:
    """The law left to a part of some age, by SciPy: Kolmogorov and Smirnov's test."""
    rng = np.random.default_rng(5)
    truth = truth_of(rng, Circumstances())
    part, shape = "nozzle", truth.shapes["nozzle"]
    eta, start = truth.medians[part] / np.log(2) ** (1 / shape), 0.7 * truth.medians[part]
    drawn = [truth.life(rng, part, start) for _ in range(2000)]
    law = stats.weibull_min(shape, scale=eta)
    assert stats.kstest(drawn, lambda x: 1 - law.sf(start + x) / law.sf(start)).pvalue > 0.01


def test_circumstances_do_what_they_say() -> None:
    def short(how: Circumstances) -> float:
        spans = [e[1] - e[0] for b in _lived(how) for own in b.ends.values() for e in own]
        return float(np.mean(np.array(spans) < 40))

    assert short(Circumstances(bad=0.5)) > short(Circumstances()) + 0.2
    worse = [own for b in _lived(Circumstances(worsening=1.0, each=0.7)) for own in b.ends.values()]
    early = np.mean([own[0][1] - own[0][0] for own in worse if len(own) > 6])
    late = np.mean([own[6][1] - own[6][0] for own in worse if len(own) > 6])
    assert late < 0.3 * early  # 0.7 ** 6 is 0.12
    kinds = {u.coating for b in _lived(Circumstances(changing=0.2)) for u in b.usages}
    assert len(kinds) == 4


def test_the_program_sees_only_what_was_before_the_day() -> None:
    for bench in _lived(Circumstances(unknown=0.5)):
        one = seen(bench, 500)
        assert all(life.ended is None or life.ended <= one.ledger.last for life in one.lives)
        ends = [e[2] for own in bench.ends.values() for e in own]
        assert any(500 < end <= DAYS for end in ends)


@pytest.mark.slow
def test_with_one_coating_for_ever_the_intervals_hold() -> None:
    found = [f for seed in range(12) for f in life_reliability.depot("one coating for ever", seed)]
    inside = np.mean([0.05 <= f.rank <= 0.95 for f in found])
    assert len(found) >= 40
    # 90 % of 48, to three standard errors and the likeness of lives of one depot
    assert inside > 0.72
    assert min(f.effective for f in found) > 400
