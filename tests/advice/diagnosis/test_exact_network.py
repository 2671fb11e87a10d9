"""The weighed pumps against an exact network, solved by an independent library, where both can say
the same: causes that come and go by themselves, and sights that hang on one cause's size alone.
"""

from __future__ import annotations

import warnings
from itertools import product

import numpy as np
import pytest
from scipy.stats import norm

from wetend.advice.diagnosis.causes import chances, combinations_of_causes
from wetend.advice.diagnosis.evidence import evidence
from wetend.advice.diagnosis.observables import Sizes, sights
from wetend.advice.diagnosis.posterior import weigh
from wetend.advice.diagnosis.prior import NUISANCES, SIZES, Setting
from wetend.advice.faults.record import Cause, Key
from wetend.advice.faults.tables import CAUSE, CAUSES
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump

with warnings.catch_warnings():  # its compiled part warns as it loads, and can't take an error then
    warnings.simplefilter("ignore")
    import pyagrum

PUMP, EPOXY = demo_pump("quay-air"), demo_coatings()[0]
SEEN_BY: dict[Key, Cause] = {
    "air_seen": CAUSE["air"], "filter_looked": CAUSE["filter"], "creep_place": CAUSE["bore"],
}  # fmt: skip
FREE = [c for c in CAUSES if c not in SEEN_BY.values()]


def _chance_to_see(key: Key, *, there: bool) -> float:
    """A sight's chance with its cause there or not, over all sizes, by quadrature."""
    cause, grid = SEEN_BY[key], np.linspace(-6, 6, 4001)
    z, present = np.zeros((len(grid), SIZES)), np.zeros((len(grid), len(CAUSES)), dtype=bool)
    z[:, NUISANCES + cause], present[:, cause] = grid, there
    none = dict.fromkeys(
        (CAUSE["static"], CAUSE["foot"], CAUSE["piston"], CAUSE["outside"]), np.zeros(len(grid))
    )
    zero = np.zeros(len(grid))
    seen = sights(z, present, Sizes(zero, zero, zero, zero), share=none)[key]
    weight = norm.pdf(grid)
    return float(seen @ weight / weight.sum())


def _network() -> pyagrum.BayesNet:
    """Each cause that is seen, how many of the rest (three at most count), and what is allowed."""
    rows = combinations_of_causes()
    prior = chances(EPOXY)
    watched = list(SEEN_BY.values())
    net = pyagrum.BayesNet()
    # the watched causes' joint chances, as a chain of conditional tables over the allowed sets
    joint = np.zeros((2,) * len(watched))
    for row, chance in zip(rows, prior, strict=True):
        joint[tuple(int(row[c]) for c in watched)] += chance
    for cause in watched:
        net.add(pyagrum.LabelizedVariable(cause.id, cause.id, 2))
    for place, cause in enumerate(watched):
        for parent in watched[:place]:
            net.addArc(parent.id, cause.id)
        upto = joint.sum(axis=tuple(range(place + 1, len(watched))))
        for at in product((0, 1), repeat=place):
            two = upto[at]
            total = two.sum()
            table = (two / total).tolist() if total > 0 else [1.0, 0.0]
            given = {watched[k].id: v for k, v in enumerate(at)}
            net.cpt(cause.id)[given] = table
    for key, cause in SEEN_BY.items():
        net.add(pyagrum.LabelizedVariable(key, key, 2))
        net.addArc(cause.id, key)
        for there in (0, 1):
            chance = _chance_to_see(key, there=bool(there))
            net.cpt(key)[{cause.id: there}] = [1 - chance, chance]
    return net


@pytest.mark.parametrize(
    ("fields", "seen"),
    [
        ({"air_seen": "yes"}, {"air_seen": 1}),
        ({"air_seen": "yes", "filter_looked": "blocked"}, {"air_seen": 1, "filter_looked": 1}),
        ({"creep_place": "differs along the stroke", "filter_looked": "clean"},
         {"creep_place": 1, "filter_looked": 0}),
        ({"air_seen": "no", "filter_looked": "blocked", "creep_place": "the same everywhere"},
         {"air_seen": 0, "filter_looked": 1, "creep_place": 0}),
    ],
)  # fmt: skip
def test_chances_agree_with_an_exact_network(fields: dict[str, str], seen: dict[str, int]) -> None:
    net = _network()
    engine = pyagrum.LazyPropagation(net)
    engine.setEvidence(seen)
    engine.makeInference()
    readings = CheckReadings.model_validate(fields)
    cloud = weigh(Setting.of(PUMP, EPOXY, readings), evidence(readings), particles=40_000, seed=3)
    for cause in SEEN_BY.values():
        exact = engine.posterior(cause.id)[1]
        mine = float(cloud.weight[cloud.present[:, cause]].sum())
        assert mine == pytest.approx(exact, abs=0.02)


def test_the_prior_is_the_network_of_independent_causes_cut_at_three() -> None:
    """Second route: the chance of a cause alone among those that may come with it."""
    rows, prior = combinations_of_causes(), chances(EPOXY)
    none = prior[rows.sum(axis=1) == 0][0]
    for cause in FREE:
        alone = prior[(rows.sum(axis=1) == 1) & rows[:, cause]][0]
        assert alone / none == pytest.approx(cause.chance / (1 - cause.chance))
