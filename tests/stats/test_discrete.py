"""What a reading tells of a published network, against an independent solver."""

from __future__ import annotations

import warnings
from itertools import product

import numpy as np
import pytest

from wetend.stats.discrete import information

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


def test_information_by_an_independent_solver() -> None:
    """What the X-ray tells of tuberculosis or cancer, by pyAgrum's mutual information."""
    states, weight = _states()
    either = states[:, NODES.index("either")]
    belief = [weight[either == 0].sum(), weight[either == 1].sum()]
    told = information(np.array([[0.95, 0.02], [0.05, 0.98]]) * belief)
    net = _by_library()  # the library's engines do not keep what they are given
    engine = pyagrum.LazyPropagation(net)
    measured = pyagrum.InformationTheory(engine, ["either"], ["xray"]).mutualInformationXY()
    assert told == pytest.approx(measured, abs=1e-9)
