"""Lives, stocks, decisions and measured limits against SciPy, lifelines and enumeration."""

from __future__ import annotations

import importlib
import itertools
import math
from functools import cache
from typing import Any

import numpy as np
from checked import Check
from scipy import stats
from scipy.integrate import quad
from scipy.optimize import linprog, minimize_scalar

from wetend.stats.life.fit import fit_life
from wetend.stats.lifetimes import lifetimes
from wetend.stats.survival_curve import turnbull
from wetend.stats.uncertainty import Estimate, propagate

CHECKS: list[Check] = []


@cache
def lifelines() -> Any:
    """The library, which takes a second to read in."""
    return importlib.import_module("lifelines")


@cache
def _waltons() -> tuple[list[float], list[float]]:
    data = importlib.import_module("lifelines.datasets").load_waltons()
    seen = data["E"].to_numpy(bool)
    lives = data["T"].to_numpy(float)
    return lives[seen].tolist(), lives[~seen].tolist()


def _weibull(failed: list[float], going: list[float]) -> dict[str, float]:
    fit = lifelines().WeibullFitter().fit(
        np.array(failed + going), np.array([1] * len(failed) + [0] * len(going)))  # fmt: skip
    return {"shape": fit.rho_, "scale": fit.lambda_, "log_likelihood": fit.log_likelihood_}


_VALVES = ([61, 76, 84, 87, 92, 98, 120, 139, 165, 166, 202, 206, 249, 254], [265] * 9)


def _each(counts: dict[int, int]) -> list[int]:
    return [age for age, count in counts.items() for _ in range(count)]


_FANS = (
    [450, 1150, 1150, 1600, 2070, 2070, 2080, 3100, 3450, 4600, 6100, 8750],
    _each({460: 1, 1560: 1, 1660: 1, 1850: 5, 2030: 3, 2200: 1, 3000: 4, 3200: 1, 3750: 2,
           4150: 4, 4300: 4, 4850: 4, 5000: 3, 6100: 3, 6300: 1, 6450: 2, 6700: 1, 7450: 1,
           7800: 2, 8100: 2, 8200: 1, 8500: 3, 8750: 2, 9400: 1, 9900: 1, 10100: 3, 11500: 1}),
)  # fmt: skip
_CAGES = (
    [230, 334, 423, 990, 1009, 1510],
    _each({50: 288, 150: 148, 250: 124, 350: 111, 450: 106, 550: 99, 650: 110, 750: 114,
           850: 119, 950: 127, 1050: 123, 1150: 93, 1250: 47, 1350: 41, 1450: 27, 1550: 11,
           1650: 6, 1850: 1, 2050: 2}),
)  # fmt: skip
CHECKS.append(Check(
    "waltons", "wetend.stats.life.fit.fit_life", {"data": "lifelines.datasets.load_waltons"},
    lambda: _weibull(*_waltons()), 2e-5, "both maximise one likelihood",
    "lifelines, WeibullFitter, on its Walton data",
    run=lambda: _fitted(*_waltons()),
))  # fmt: skip
for _name, _lives, _what in (
    ("censored-lives", _VALVES, "ages of first diesel valve seats, cut off at 265 days"),
    ("diesel-fans", _FANS, "12 failures among 70 fans still running"),
    ("bearing-cage", _CAGES, "6 failures among 1,703 cages"),
):
    CHECKS.append(Check(
        _name, "calc weibull-fit",
        {"failures": ",".join(map(str, _lives[0])), "censored": ",".join(map(str, _lives[1]))},
        lambda lives=_lives: _weibull(*lives), 2e-5, "both maximise one likelihood",
        f"lifelines, WeibullFitter; {_what}",
    ))  # fmt: skip


def _fitted(failed: list[float], going: list[float]) -> dict[str, float]:
    fit = fit_life(lifetimes(failed, going=going))
    return {"shape": 1 / fit.scale, "scale": math.exp(fit.coefficients[0]),
            "log_likelihood": fit.log_likelihood}  # fmt: skip


@cache
def _rossi() -> tuple[Any, Any]:
    data = importlib.import_module("lifelines.datasets").load_rossi()
    names = [n for n in data.columns if n not in ("week", "arrest")]
    fit = lifelines().WeibullAFTFitter().fit(data, "week", "arrest")
    theirs = [fit.params_["lambda_"][n] for n in ("Intercept", *names)]
    seen = data["arrest"].to_numpy(bool)
    x, weeks = data[names].to_numpy(float), data["week"].to_numpy(float)
    ours = fit_life(lifetimes(
        weeks[seen].tolist(), going=weeks[~seen].tolist(),
        failed_x=x[seen].tolist(), going_x=x[~seen].tolist(),
    ))  # fmt: skip
    return ours, {"coefficients": np.array(theirs), "log_likelihood": fit.log_likelihood_}


CHECKS.append(Check(
    "rossi", "wetend.stats.life.fit.fit_life", {"data": "lifelines.datasets.load_rossi"},
    lambda: _rossi()[1], 2e-3, "both maximise one likelihood; small coefficients",
    "lifelines, WeibullAFTFitter, seven covariates of its Rossi data", run=lambda: _rossi()[0],
))  # fmt: skip


def _drawn(seed: int) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    life, watch = rng.weibull(2.0, 60).round(2) + 0.01, rng.uniform(0.2, 2.0, 60).round(2)
    return np.minimum(life, watch), life <= watch


def _product_limit(seed: int) -> np.ndarray:
    seen, failed = _drawn(seed)
    fit = lifelines().KaplanMeierFitter().fit(seen, failed)
    return np.array([float(fit.predict(t)) for t in (0.3005, 0.6005, 0.9005)])


for _seed in (1, 2):
    CHECKS.append(Check(
        f"product-limit-{_seed}", "wetend.stats.survival_curve.turnbull",
        {"lives": ("drawn", _seed)}, lambda s=_seed: _product_limit(s), 1e-3,
        "an iteration settled to 1e-8", "lifelines, KaplanMeierFitter, of sixty drawn lives",
        run=lambda s=_seed: _staircase(s),
    ))  # fmt: skip


def _staircase(seed: int) -> np.ndarray:
    seen, failed = _drawn(seed)
    curve = turnbull(lifetimes(seen[failed].tolist(), going=seen[~failed].tolist()))
    return np.array([curve.at(t) for t in (0.3005, 0.6005, 0.9005)])


for _weib in (True, False):
    CHECKS.append(Check(
        f"survival-{'weibull' if _weib else 'lognormal'}",
        "wetend.stats.life.belief.log_survival_at",
        {"z": np.array([-1.5, 0.0, 1.2]), "weibull": np.array([_weib] * 3)},
        lambda w=_weib: stats.gumbel_l.logsf(np.array([-1.5, 0.0, 1.2]) + math.log(math.log(2)))
        if w else stats.norm.logsf([-1.5, 0.0, 1.2]), 1e-9, "the same law, from its median",
        "SciPy gumbel_l and norm",
    ))  # fmt: skip


def _age_cost(age: float, shape: float, ratio: float) -> float:
    kept = math.exp(-(age**shape))
    lived, _ = quad(lambda t: math.exp(-(t**shape)), 0, age, epsabs=0, epsrel=1e-12)
    return (kept + ratio * (1 - kept)) / lived


for _shape, _ratio in ((2.0, 5.0), (3.0, 10.0), (4.0, 10.0)):
    CHECKS.append(Check(
        f"age-{_shape:g}-{_ratio:g}", "calc replacement-age",
        {"shape": f"{_shape}", "scale": "1", "planned_cost": "1", "unplanned_cost": f"{_ratio}"},
        lambda b=_shape, r=_ratio: {"cost_rate": minimize_scalar(
            lambda t: _age_cost(t, b, r), bounds=(0.05, 3), method="bounded",
            options={"xatol": 1e-10}).fun}, 1e-8, "a minimum is flat",
        "Barlow and Proschan 1965, cost rate by SciPy quad and minimize_scalar",
    ))  # fmt: skip


def _volterra(shape: float, time: float, steps: int = 4000) -> float:
    """M(t) = F(t) + int M(t - x) dF(x), midpoints, extrapolated from two steps."""

    def at(n: int) -> float:
        edges = np.linspace(0, time, n + 1)
        made = 1 - np.exp(-(edges**shape))
        half = 1 - np.exp(-((edges[:-1] + time / n / 2) ** shape))
        m = np.zeros(n + 1)
        for i in range(1, n + 1):
            inner = np.dot(np.diff(m[:i]), half[i - 1 : 0 : -1]) if i > 1 else 0.0
            m[i] = (made[i] + inner - m[i - 1] * half[0]) / (1 - half[0])
        return float(m[n])

    return (4 * at(steps) - at(steps // 2)) / 3


for _shape, _time in ((1.5, 2.0), (3.0, 1.5)):
    CHECKS.append(Check(
        f"renewals-{_shape:g}", "calc renewals",
        {"shape": f"{_shape}", "scale": "1", "time": f"{_time}"},
        lambda b=_shape, t=_time: {"expected": _volterra(b, t),
                                   "mean_life": stats.weibull_min(b).mean()}, 1e-4,
        "midpoint recursion of 4,000 steps, extrapolated",
        "the renewal equation by the recursion of Xie (1989); SciPy weibull_min for the mean",
    ))  # fmt: skip
CHECKS.append(Check(
    "renewals-exponential", "calc renewals", {"shape": "1", "scale": "5", "time": "20"},
    lambda: {"expected": 4.0, "mean_life": 5.0}, 1e-6, "exact",
    "renewals of an exponential life: t over its mean", "closed form",
))  # fmt: skip
for _demand, _fill in ((2.3, 0.9), (17.0, 0.99)):
    CHECKS.append(Check(
        f"poisson-{_demand:g}", "calc spares-stock", {"demand": f"{_demand}", "fill": f"{_fill}"},
        lambda d=_demand, p=_fill: {"stock": stats.poisson(d).ppf(p),
                                    "fill": stats.poisson(d).cdf(stats.poisson(d).ppf(p))}, 1e-9,
        "the same law", "SciPy poisson",
    ))  # fmt: skip


def _tried(mean: float, short: float, hold: float) -> dict[str, float]:
    law = stats.poisson(mean)
    demand = np.arange(0, 400)
    costs = [float(np.sum(law.pmf(demand) * (hold * np.maximum(s - demand, 0)
             + short * np.maximum(demand - s, 0)))) for s in range(120)]  # fmt: skip
    return {"stock": float(np.argmin(costs)), "cost": min(costs)}


for _mean in (3.5, 50.0):
    CHECKS.append(Check(
        f"newsvendor-{_mean:g}", "calc critical-stock",
        {"shortage_cost": "0.70", "holding_cost": "0.18", "mean": f"{_mean}"},
        lambda m=_mean: _tried(m, 0.70, 0.18), 1e-9, "every stock tried",
        "expected cost of every stock, SciPy poisson",
    ))  # fmt: skip
_A, _B = [1.42, 1.38, 1.51, 1.44, 1.40, 1.47], [1.05, 1.11, 0.98, 1.02, 1.20]
CHECKS.append(Check(
    "welch-strokes", "wetend.stats.robust.welch", {"first": _A, "second": _B},
    lambda: {"t": stats.ttest_ind(_A, _B, equal_var=False).statistic,
             "p": stats.ttest_ind(_A, _B, equal_var=False).pvalue,
             "degrees": stats.ttest_ind(_A, _B, equal_var=False).df}, 1e-9, "the same test",
    "SciPy ttest_ind, unequal variances",
))  # fmt: skip
CHECKS.append(Check(
    "rank-strokes", "wetend.stats.robust.rank_shift", {"first": _A, "second": _B},
    lambda: {"p_greater": stats.mannwhitneyu(_A, _B, alternative="greater", method="exact").pvalue,
             "shift": np.median(np.subtract.outer(_A, _B))}, 1e-9, "the same test",
    "SciPy mannwhitneyu, exact; median of all differences",
))  # fmt: skip
_OVERLAP = ([0.80, 0.83, 1.89, 1.04, 1.45, 1.38], [1.15, 0.88, 0.90, 0.74, 1.21])
CHECKS.append(Check(
    "rank-overlap", "wetend.stats.robust.rank_shift",
    {"first": _OVERLAP[0], "second": _OVERLAP[1]},
    lambda: {"p_greater": stats.mannwhitneyu(*_OVERLAP, alternative="greater",
                                             method="exact").pvalue}, 1e-9, "the same test",
    "SciPy mannwhitneyu, exact",
))  # fmt: skip
CHECKS.append(Check(
    "spread-by-median", "wetend.stats.robust.spread_by_median", {"values": [*_A, 9.0]},
    lambda: stats.median_abs_deviation([*_A, 9.0], scale="normal"), 1e-3,
    "the factor is rounded to 1.4826", "SciPy median_abs_deviation",
))  # fmt: skip
CHECKS.append(Check(
    "hodges-lehmann", "wetend.stats.robust.hodges_lehmann", {"values": _OVERLAP[0]},
    lambda: np.median([(a + b) / 2 for a, b in itertools.combinations_with_replacement(
        _OVERLAP[0], 2)]), 1e-12, "exact", "median of all 21 Walsh averages", "closed form",
))  # fmt: skip
for _degrees, _sure in ((4.0, 0.95), (10.0, 0.99), (math.inf, 0.9)):
    CHECKS.append(Check(
        f"students-t-{_degrees:g}", "wetend.stats.uncertainty.coverage_factor",
        {"degrees": _degrees, "confidence": _sure},
        lambda n=_degrees, p=_sure: stats.norm.ppf((1 + p) / 2) if math.isinf(n)
        else stats.t.ppf((1 + p) / 2, n), 1e-9, "the same law", "SciPy t and norm",
    ))  # fmt: skip
CHECKS.append(Check(
    "correlated", "wetend.stats.uncertainty.propagate",
    {"model": "a - b", "inputs": {"a": 0.3, "b": 0.4}, "correlation": 0.8},
    lambda: {"uncertainty": math.sqrt(0.3**2 + 0.4**2 - 2 * 0.8 * 0.3 * 0.4)}, 1e-9, "exact",
    "JCGM 100:2008, 5.2.2: the difference of two correlated readings", "closed form",
    run=lambda: propagate(
        lambda x: x["a"] - x["b"], {"a": Estimate(1.0, 0.3), "b": Estimate(2.0, 0.4)},
        correlations={("a", "b"): 0.8}),
))  # fmt: skip
CHECKS.append(Check(
    "conformance", "calc conformance",
    {"value": "38.09", "uncertainty": "0.02", "lower": "38", "upper": "38.12"},
    lambda: {"probability": stats.norm(38.09, 0.02).cdf(38.12) - stats.norm(38.09, 0.02).cdf(38)},
    1e-9, "the same law", "SciPy norm",
))  # fmt: skip


def _risks() -> dict[str, float]:
    part, error = stats.norm(0, 1), stats.norm(0, 0.3)

    def passes(x: float) -> float:
        return float(error.cdf(1.8 - x) - error.cdf(-1.8 - x))

    bad = [quad(lambda x: part.pdf(x) * passes(x), a, b, epsabs=1e-12)[0]
           for a, b in ((-9, -1.8), (1.8, 9))]  # fmt: skip
    good = quad(lambda x: part.pdf(x) * (1 - passes(x)), -1.8, 1.8, epsabs=1e-12)[0]
    return {"out_of_limits": 2 * part.sf(1.8), "consumer_risk": sum(bad), "producer_risk": good}


CHECKS.append(Check(
    "both-risks", "calc acceptance-risk",
    {"mean": "0", "spread": "1", "uncertainty": "0.3", "lower": "-1.8", "upper": "1.8"},
    _risks, 1e-6, "quadrature to 1e-12", "SciPy quad over norm",
))  # fmt: skip
_POINTS = [(19.02, 0.0), (13.45, 13.44), (0.0, 19.01), (-13.43, 13.43), (-19.03, 0.0),
           (-13.44, -13.45), (0.0, -19.00), (13.44, -13.43)]  # fmt: skip


def _zone() -> dict[str, float]:
    """The narrowest ring, as linear programs about the last centre."""
    x0 = y0 = 0.0
    width = math.inf
    for _ in range(30):
        rows, ends = [], []
        for x, y in _POINTS:
            r = math.hypot(x - x0, y - y0)
            cx, cy = -(x - x0) / r, -(y - y0) / r
            rows += [[cx, cy, -1.0, 0.0], [-cx, -cy, 0.0, 1.0]]
            ends += [-r, r]
        found = linprog([0, 0, 1, -1], A_ub=rows, b_ub=ends, bounds=[(None, None)] * 4)
        x0, y0, width = x0 + found.x[0], y0 + found.x[1], found.fun
    return {"minimum_zone_roundness": width / 1000}


CHECKS.append(Check(
    "minimum-zone", "calc roundness",
    {"points": "; ".join(f"{x}, {y}" for x, y in _POINTS) + " mm"}, _zone, 1e-6,
    "linear programs repeated until they stand", "SciPy linprog (HiGHS), minimum zone",
))  # fmt: skip
CHECKS.append(Check(
    "entropy", "wetend.stats.discrete.entropy", {"weights": [0.41, 0.35, 0.24]},
    lambda: stats.entropy([0.41, 0.35, 0.24], base=2), 1e-9, "the same sum", "SciPy entropy",
))  # fmt: skip
