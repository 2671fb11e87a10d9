"""Beliefs over states against a published network, and against an independent solver."""

from __future__ import annotations

import warnings
from itertools import product

import numpy as np
import pytest

from wetend.stats.discrete import chance_of_each, expected_information, updated

with warnings.catch_warnings():  # its compiled part warns as it loads, and can't take an error then
    warnings.simplefilter("ignore")
    import pyagrum

NODES = ("asia", "smoke", "tub", "lung", "bronc", "either", "xray", "dysp")
# Lauritzen and Spiegelhalter, "Local computations with probabilities on graphical structures and
# their application to expert systems", Journal of the Royal Statistical Society B 50 (1988).
PARENTS = {
    "asia": (), "smoke": (), "tub": ("asia",), "lung": ("smoke",), "bronc": ("smoke",),
    "either": ("tub", "lung"), "xray": ("either",), "dysp": ("bronc", "either"),
}  # fmt: skip
TRUE = {
    "asia": {(): 0.01}, "smoke": {(): 0.5}, "tub": {(0,): 0.01, (1,): 0.05},
    "lung": {(0,): 0.01, (1,): 0.1}, "bronc": {(0,): 0.3, (1,): 0.6},
    "either": {(0, 0): 0.0, (0, 1): 1.0, (1, 0): 1.0, (1, 1): 1.0},
    "xray": {(0,): 0.05, (1,): 0.98},
    "dysp": {(0, 0): 0.1, (0, 1): 0.7, (1, 0): 0.8, (1, 1): 0.9},
}  # fmt: skip


def _states(nodes: tuple[str, ...] = NODES) -> tuple[np.ndarray, np.ndarray]:
    """Every state of the net, and its chance."""
    states = np.array(list(product((0, 1), repeat=len(nodes))))
    weight = np.ones(len(states))
    for k, row in enumerate(states):
        at = dict(zip(nodes, row.tolist(), strict=True))
        for node in nodes:
            true = TRUE[node][tuple(at[p] for p in PARENTS[node])]
            weight[k] *= true if at[node] else 1 - true
    return states, weight


def _chance(node: str, **seen: int) -> float:
    states, weight = _states()
    likelihoods = [states[:, NODES.index(n)] == v for n, v in seen.items()]
    return float(chance_of_each(updated(weight, *likelihoods), states)[NODES.index(node)])


def test_asia_before_anything_is_seen() -> None:
    printed = {"tub": 0.0104, "lung": 0.055, "bronc": 0.45, "either": 0.064828,
               "xray": 0.11029004, "dysp": 0.4359706}  # fmt: skip
    for node, chance in printed.items():
        assert _chance(node) == pytest.approx(chance, abs=1e-7)


def test_asia_after() -> None:
    assert _chance("dysp", smoke=1) == pytest.approx(0.552808)
    assert _chance("smoke", dysp=1) == pytest.approx(0.6339968796)
    assert _chance("smoke", dysp=1, asia=1) == pytest.approx(0.6259198578)
    assert _chance("tub", xray=1) == pytest.approx(0.0924109, abs=1e-7)
    assert _chance("either", xray=1) == pytest.approx(0.5760, abs=1e-4)


def _by_library() -> pyagrum.BayesNet:
    net = pyagrum.BayesNet()
    for node in NODES:
        net.add(pyagrum.LabelizedVariable(node, node, 2))
    for node in NODES:
        for parent in PARENTS[node]:
            net.addArc(parent, node)
        for at, true in TRUE[node].items():
            net.cpt(node)[dict(zip(PARENTS[node], at, strict=True))] = [1 - true, true]
    return net


@pytest.mark.parametrize("seen", [{}, {"dysp": 1}, {"xray": 1, "asia": 1}, {"dysp": 1, "xray": 0}])
def test_asia_by_an_independent_solver(seen: dict[str, int]) -> None:
    """pyAgrum, exact inference by junction tree."""
    net = _by_library()
    engine = pyagrum.LazyPropagation(net)
    engine.setEvidence(seen)
    engine.makeInference()
    for node in NODES:
        if node not in seen:
            assert _chance(node, **seen) == pytest.approx(engine.posterior(node)[1], abs=1e-12)


# Two more small networks as printed, from memory: tables by node and its parents' states.
BURGLARY = {  # Russell and Norvig, Artificial Intelligence: A Modern Approach, section on semantics
    "burglary": ((), {(): 0.001}), "earthquake": ((), {(): 0.002}),
    "alarm": (("burglary", "earthquake"),
              {(0, 0): 0.001, (0, 1): 0.29, (1, 0): 0.94, (1, 1): 0.95}),
    "john": (("alarm",), {(0,): 0.05, (1,): 0.90}), "mary": (("alarm",), {(0,): 0.01, (1,): 0.70}),
}  # fmt: skip
SPRINKLER = {  # Murphy, "The Bayes net toolbox for Matlab", Computing Science and Statistics 33
    "cloudy": ((), {(): 0.5}), "sprinkler": (("cloudy",), {(0,): 0.5, (1,): 0.1}),
    "rain": (("cloudy",), {(0,): 0.2, (1,): 0.8}),
    "wet": (("sprinkler", "rain"), {(0, 0): 0.0, (0, 1): 0.9, (1, 0): 0.9, (1, 1): 0.99}),
}  # fmt: skip
Net = dict[str, tuple[tuple[str, ...], dict[tuple[int, ...], float]]]


@pytest.mark.parametrize(
    ("net", "node", "seen", "printed", "digits"),
    [
        (BURGLARY, "burglary", {"john": 1, "mary": 1}, 0.284, 5e-4),
        (SPRINKLER, "sprinkler", {"wet": 1}, 0.4298, 5e-5),
        (SPRINKLER, "rain", {"wet": 1}, 0.7079, 5e-5),
        # explained away: the rain is cause enough
        (SPRINKLER, "sprinkler", {"wet": 1, "rain": 1}, 0.1945, 5e-5),
    ],
)
def test_other_small_networks_as_printed(
    net: Net, node: str, seen: dict[str, int], printed: float, digits: float
) -> None:
    names = tuple(net)
    states = np.array(list(product((0, 1), repeat=len(names))))
    weight = np.ones(len(states))
    for k, row in enumerate(states):
        at = dict(zip(names, row.tolist(), strict=True))
        for name, (parents, true) in net.items():
            chance = true[tuple(at[p] for p in parents)]
            weight[k] *= chance if at[name] else 1 - chance
    likelihoods = [states[:, names.index(n)] == v for n, v in seen.items()]
    found = chance_of_each(updated(weight, *likelihoods), states)[names.index(node)]
    assert found == pytest.approx(printed, abs=digits)


def test_information_by_an_independent_solver() -> None:
    """What the X-ray tells of tuberculosis or cancer, by pyAgrum's mutual information."""
    states, weight = _states()
    either = states[:, NODES.index("either")]
    belief = [weight[either == 0].sum(), weight[either == 1].sum()]
    told = expected_information(belief, [[0.95, 0.02], [0.05, 0.98]])
    net = _by_library()  # the library's engines do not keep what they are given
    engine = pyagrum.LazyPropagation(net)
    measured = pyagrum.InformationTheory(engine, ["either"], ["xray"]).mutualInformationXY()
    assert told == pytest.approx(measured, abs=1e-9)


def test_nothing_possible_leaves_the_belief() -> None:
    np.testing.assert_allclose(updated([0.2, 0.8], [0.0, 0.0]), [0.2, 0.8])
