"""Uncertainty budgets and Monte Carlo against the Guide's own examples."""

from __future__ import annotations

import math
from collections.abc import Mapping
from statistics import fmean, stdev

import numpy as np
import pytest

from wetend.stats.uncertainty import (
    Estimate,
    coverage_factor,
    propagate,
    second_order,
    sensitivities,
)

END_GAUGE = {
    "standard": Estimate(50_000_623.0, 25.0, 18),
    "difference": Estimate(215.0, 9.7, 25.6),
    "alpha_difference": Estimate(0.0, 0.58e-6, 50),
    "theta": Estimate(-0.1, 0.41),
    "alpha": Estimate(11.5e-6, 1.2e-6),
    "theta_difference": Estimate(0.0, 0.029, 2),
}
"""JCGM 100:2008, H.1: calibration of an end gauge, lengths in nm."""


def _end_gauge(x: Mapping[str, float]) -> float:
    thermal = x["alpha_difference"] * x["theta"] + x["alpha"] * x["theta_difference"]
    return x["standard"] + x["difference"] - x["standard"] * thermal


def test_end_gauge_of_the_guide() -> None:
    # JCGM 100:2008, H.1.7: l = 50.000 838 mm, u_c = 32 nm, 16 degrees of freedom, U_99 = 93 nm
    budget = propagate(_end_gauge, END_GAUGE)
    assert budget.value / 1e6 == pytest.approx(50.000838, abs=5e-7)
    assert budget.uncertainty == pytest.approx(32.0, abs=0.5)
    assert math.floor(budget.degrees) == 16
    factor = coverage_factor(budget.degrees, confidence=0.99)
    assert factor * budget.uncertainty == pytest.approx(93.0, abs=0.5)
    shares = {part.name: abs(part.share) for part in budget.contributions}
    # table H.1: 25, 9.7, 2.9 and 16.6 nm (the last cut, not rounded, from 16.67)
    assert shares["standard"] == pytest.approx(25.0, abs=0.05)
    assert shares["difference"] == pytest.approx(9.7, abs=0.05)
    assert shares["alpha_difference"] == pytest.approx(2.9, abs=0.05)
    assert shares["theta_difference"] == pytest.approx(16.6, abs=0.1)


def test_end_gauge_with_second_order_terms() -> None:
    # JCGM 100:2008, H.1.7: the second-order terms raise u_c to 34 nm
    assert second_order(_end_gauge, END_GAUGE) == pytest.approx(34.0, abs=0.5)


def _flat(value: float, half: float) -> Estimate:
    return Estimate(value, half / math.sqrt(3))


VOLTS = [5.007, 4.994, 5.005, 4.990, 4.999]
AMPERES = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3]
PHASES = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]


def test_resistance_and_reactance_of_the_guide() -> None:
    # JCGM 100:2008, H.2, table H.4: R 127.732 (0.071), X 219.847 (0.295), Z 254.260 (0.236) ohm
    series = {"v": VOLTS, "i": AMPERES, "p": PHASES}
    inputs = {
        name: Estimate(fmean(read), stdev(read) / math.sqrt(len(read)), len(read) - 1)
        for name, read in series.items()
    }
    correlations = {
        (a, b): float(np.corrcoef(series[a], series[b])[0, 1])
        for a, b in (("v", "i"), ("v", "p"), ("i", "p"))
    }
    models = {
        "R": (lambda x: x["v"] / x["i"] * math.cos(x["p"]), 127.732, 0.071),
        "X": (lambda x: x["v"] / x["i"] * math.sin(x["p"]), 219.847, 0.295),
        "Z": (lambda x: x["v"] / x["i"], 254.260, 0.236),
    }
    for name, (model, value, uncertainty) in models.items():
        found = propagate(model, inputs, correlations=correlations)
        assert found.value == pytest.approx(value, abs=6e-4), name
        assert found.uncertainty == pytest.approx(uncertainty, abs=7e-4), name


def test_product_and_quotient_budget() -> None:
    # sandialabs/suncal, XRF example: y 0.6967, u 0.00494, 27.7 degrees (rounded there), U95 0.0101
    inputs = {
        "x1": Estimate(0.1820, 0.00093, 9),
        "x2": Estimate(0.1823, 0.00058, 19),
        "y": Estimate(0.6978, 0.0026, 19),
    }
    found = propagate(lambda x: x["x1"] / x["x2"] * x["y"], inputs)
    assert found.value == pytest.approx(0.6967, abs=6e-5)
    assert found.uncertainty == pytest.approx(0.00494, abs=1.5e-5)
    assert found.degrees == pytest.approx(27.7, abs=0.3)
    assert coverage_factor(found.degrees) * found.uncertainty == pytest.approx(0.0101, abs=5e-5)


def test_thermal_expansion_of_nist() -> None:
    # NIST TN 1900, example 13: 1.7266e-5 per kelvin, u 1.76e-6
    inputs = {"l0": Estimate(1.4999, 1e-4), "t0": Estimate(288.15, 0.02),
              "l1": Estimate(1.5021, 2e-4), "t1": Estimate(373.10, 0.05)}  # fmt: skip
    found = propagate(lambda x: (x["l1"] - x["l0"]) / (x["l0"] * (x["t1"] - x["t0"])), inputs)
    assert found.value == pytest.approx(1.7266e-5, rel=3e-5)
    assert found.uncertainty == pytest.approx(1.76e-6, rel=4e-3)


def test_mass_of_the_supplement() -> None:
    # JCGM 101:2008, table 6 (from memory): first order u 0.0539, second order 0.0750 mg
    def mass(x: Mapping[str, float]) -> float:
        air = (x["air"] - 1.2) * (1 / x["weight"] - 1 / x["reference"])
        return (x["mass"] + x["small"]) * (1 + air) - 1e5

    inputs = {"mass": Estimate(1e5, 0.05), "small": Estimate(1.234, 0.02),
              "air": _flat(1.2, 0.1), "weight": _flat(8000.0, 1000.0),
              "reference": _flat(8000.0, 50.0)}  # fmt: skip
    assert propagate(mass, inputs).uncertainty == pytest.approx(0.0539, abs=1e-4)
    assert second_order(mass, inputs) == pytest.approx(0.0750, abs=5e-4)


def test_inputs_known_exactly_add_nothing() -> None:
    known = {"a": Estimate(2.0, 0.0), "b": Estimate(3.0, 0.1)}
    assert sensitivities(lambda x: x["a"] * x["b"], known)["a"] == 0.0
    assert propagate(lambda x: x["a"] * x["b"], known).uncertainty == pytest.approx(0.2)
    assert coverage_factor(math.inf) == pytest.approx(1.96, abs=5e-5)
