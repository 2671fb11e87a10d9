"""Measurement uncertainty: budgets to first order, and the same by Monte Carlo.

Sources: JCGM 100:2008 (GUM) for budgets, JCGM 101:2008 for propagation of distributions.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wetend.lazy_import import special
from wetend.units.quantity import Ratio

Floats = NDArray[np.float64]
Model = Callable[[Mapping[str, float]], float]
"""From named input values to the result."""


HALF_90 = 1.645
"""Standard uncertainties either way of the 90 % interval about a value spread normally."""


@dataclass(frozen=True)
class Estimate:
    """A value with its standard uncertainty and the degrees of freedom behind it."""

    value: float
    uncertainty: float
    degrees: float = math.inf


@dataclass(frozen=True)
class Contribution:
    """What one input adds to the uncertainty: its sensitivity times its own uncertainty."""

    name: str
    sensitivity: float
    share: float
    """In the unit of the result, signed."""


@dataclass(frozen=True)
class Budget:
    """A result with its combined standard uncertainty, traced to its inputs."""

    value: float
    uncertainty: float
    degrees: float
    contributions: tuple[Contribution, ...]


def coverage_factor(degrees: float, *, confidence: Ratio = 0.95) -> float:
    """Student's t for a two-sided interval; degrees of freedom cut down to a whole number.

    Source: JCGM 100:2008, G.3 and G.4.1.

    >>> coverage_factor(16.7, confidence=0.99)
    2.9208
    """
    tail = (1 + confidence) / 2
    if math.isinf(degrees):
        return float(special.ndtri(tail))
    return float(special.stdtrit(max(math.floor(degrees + 1e-9), 1), tail))


def effective_degrees(uncertainty: float, parts: Sequence[tuple[float, float]]) -> float:
    r"""Effective degrees of freedom of a combined uncertainty.

    .. math:: \nu_{eff}=\frac{u_c^4}{\sum_i u_i^4/\nu_i}

    ``parts`` are pairs of contribution and its degrees of freedom. Independent contributions.
    Source: Welch-Satterthwaite, JCGM 100:2008, G.4.1.

    >>> effective_degrees(math.sqrt(2), [(1.0, 5), (1.0, 5)])
    10.0
    """
    if uncertainty == 0:
        return math.inf
    total = sum((u / uncertainty) ** 4 / degrees for u, degrees in parts)
    return 1.0 / total if total > 0 else math.inf


def _values(inputs: Mapping[str, Estimate]) -> dict[str, float]:
    return {name: estimate.value for name, estimate in inputs.items()}


def _step(estimate: Estimate, share: float) -> float:
    return estimate.uncertainty * share


def sensitivities(model: Model, inputs: Mapping[str, Estimate]) -> dict[str, float]:
    """Slope of the result in each input, by central difference over a tenth of its uncertainty.

    Source: JCGM 100:2008, 5.1.3, note 2, on a smaller step.

    >>> sensitivities(lambda x: x["a"] ** 2, {"a": Estimate(3.0, 0.1)})
    {'a': 6.0}
    """
    centre = _values(inputs)
    slopes = {}
    for name, estimate in inputs.items():
        step = _step(estimate, 0.1)
        if step == 0:
            slopes[name] = 0.0
            continue
        up = model({**centre, name: estimate.value + step})
        down = model({**centre, name: estimate.value - step})
        slopes[name] = (up - down) / (2 * step)
    return slopes


def propagate(
    model: Model,
    inputs: Mapping[str, Estimate],
    *,
    correlations: Mapping[tuple[str, str], float] | None = None,
) -> Budget:
    r"""First-order budget of a result computed from uncertain inputs.

    .. math:: u_c^2=\sum_i (c_iu_i)^2+2\sum_{i<j} c_ic_ju_iu_jr_{ij}

    Good where the model is close to straight over the inputs' uncertainty; otherwise see
    :func:`second_order`. Degrees of freedom are Welch-Satterthwaite's and mean little with
    correlated inputs. Source: JCGM 100:2008, 5.1.2, 5.2.2 and G.4.1.

    >>> area = propagate(lambda x: x["a"] * x["b"],
    ...                  {"a": Estimate(2.0, 0.1), "b": Estimate(3.0, 0.1)})
    >>> area.value, area.uncertainty
    (6.0, 0.36056)
    """
    slopes = sensitivities(model, inputs)
    shares = {name: slopes[name] * inputs[name].uncertainty for name in inputs}
    plain = math.hypot(*shares.values())
    variance = 1.0  # in terms of the plain one, as its square may be too large to hold
    for (one, other), correlation in (correlations or {}).items():
        variance += (
            2 * (shares[one] / plain) * (shares[other] / plain) * correlation if plain else 0
        )
    combined = plain * math.sqrt(max(variance, 0.0))
    parts = [(shares[name], inputs[name].degrees) for name in inputs]
    contributions = tuple(Contribution(name, slopes[name], shares[name]) for name in inputs)
    return Budget(
        model(_values(inputs)), combined, effective_degrees(combined, parts), contributions
    )


def second_order(model: Model, inputs: Mapping[str, Estimate]) -> float:
    r"""Standard uncertainty with the next terms of the series added to the first-order one.

    .. math:: u_c^2=\sum_i(c_iu_i)^2+\sum_i\sum_j\left[\tfrac12 c_{ij}^2+c_ic_{ijj}\right]
              u_i^2u_j^2

    The third derivatives are left out, so that this is exact for models of at most second degree.
    Independent, normal inputs. Source: JCGM 100:2008, 5.1.2, note.

    >>> second_order(lambda x: x["a"] * x["b"], {"a": Estimate(0.0, 1.0), "b": Estimate(0.0, 2.0)})
    2.0
    """
    first = propagate(model, inputs)
    centre = _values(inputs)
    parts = [first.uncertainty]
    for name, estimate in inputs.items():
        step = _step(estimate, 1.0)
        up = model({**centre, name: estimate.value + step})
        down = model({**centre, name: estimate.value - step})
        parts.append((up - 2 * first.value + down) / math.sqrt(2.0))
    for one, other in combinations(inputs, 2):
        corners = sum(
            sign_one * sign_other * model({
                **centre,
                one: inputs[one].value + sign_one * inputs[one].uncertainty,
                other: inputs[other].value + sign_other * inputs[other].uncertainty,
            })
            for sign_one in (1, -1) for sign_other in (1, -1)
        )  # fmt: skip
        parts.append(corners / 4)
    return math.hypot(*parts)  # its squares may be too large to hold
