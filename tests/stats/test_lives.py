"""Lives, repairs, replacement and stock: published fits are in tests/reference."""

import math

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm, poisson

from wetend.errors import BadInput, NoAnswer
from wetend.stats.life.fit import (
    fit_life,
    log_likelihood,
    log_likelihoods_and_gradients,
    weibull_parameters,
)
from wetend.stats.life.shapes import LOGNORMAL, SHAPES, WEIBULL, LifeShape
from wetend.stats.lifetimes import lifetimes
from wetend.stats.renewal import renewals, weibull_mean
from wetend.stats.repair_trend import fit_power_law, laplace
from wetend.stats.replacement import replacement_age
from wetend.stats.stock import critical_stock, fill_probability, spares_for_fill

# Motorettes at four temperatures, hours; failures and units still going.
# Source: W. Nelson, G. J. Hahn (1972), as in R package MASS, data set motors.
MOTORS = {
    150: ([], [8064] * 10),
    170: ([1764, 2772, 3444, 3542, 3780, 4860, 5196], [5448] * 3),
    190: ([408, 408, 1344, 1344, 1440], [1680] * 5),
    220: ([408, 408, 504, 504, 504], [528] * 5),
}


def test_regression_on_temperature_gives_the_published_fit() -> None:
    # Published: 16.3185, -0.04531, log scale -1.0956, log likelihood -147.4.
    # Source: Venables & Ripley, Modern Applied Statistics with S, 4th ed., 13.2 (from memory).
    failed = [t for f, _ in MOTORS.values() for t in f]
    failed_x = [[temp] for temp, (f, _) in MOTORS.items() for _ in f]
    going = [t for _, g in MOTORS.values() for t in g]
    going_x = [[temp] for temp, (_, g) in MOTORS.items() for _ in g]
    fit = fit_life(lifetimes(failed, going=going, failed_x=failed_x, going_x=going_x))
    assert fit.coefficients == pytest.approx([16.3185, -0.04531], rel=1e-4)
    assert math.log(fit.scale) == pytest.approx(-1.0956, abs=5e-5)
    assert fit.log_likelihood == pytest.approx(-147.4, abs=0.05)


def test_lognormal_is_chosen_or_not_by_the_published_criterion() -> None:
    # AIC 154.27 for the Weibull, 154.39 for the lognormal: NIST/SEMATECH e-Handbook, 8.4.1.3.
    lives = lifetimes([54, 187, 216, 240, 244, 335, 361, 373, 375, 386], going=[500] * 10)
    for shape, printed in ((WEIBULL, 154.27), (LOGNORMAL, 154.39)):
        aic = 2 * 2 - 2 * fit_life(lives, shape).log_likelihood
        assert aic == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.name)
def test_gradient_is_the_slope_of_the_likelihood(shape: LifeShape) -> None:
    lives = lifetimes(
        [10.0, 30.0], going=[25.0], between=[(5.0, 9.0), (0.0, 4.0)],
        failed_x=[[1.0], [0.0]], going_x=[[0.5]], between_x=[[0.2], [0.9]],
    )  # fmt: skip
    theta = np.array([2.5, 0.3, -0.2])
    _, gradient = log_likelihood(theta, lives, shape)
    for i in range(3):
        step = np.zeros(3)
        step[i] = 1e-6
        slope = (
            log_likelihood(theta + step, lives, shape)[0]
            - log_likelihood(theta - step, lives, shape)[0]
        ) / 2e-6
        assert gradient[i] == pytest.approx(slope, rel=1e-6, abs=1e-7)
    rows = np.array([theta, theta + 0.1, theta - 0.2])
    values, gradients = log_likelihoods_and_gradients(rows, lives, shape)
    for row, value, slope in zip(rows, values, gradients, strict=True):
        alone, its_slope = log_likelihood(row, lives, shape)
        assert value == pytest.approx(alone, rel=1e-12)
        assert slope == pytest.approx(its_slope, rel=1e-12)


def test_found_worn_at_visits_agrees_with_seen_to_fail_when_visits_are_close() -> None:
    rng = np.random.default_rng(5)
    lives = 100.0 * rng.weibull(2.0, 60)
    exact = weibull_parameters(fit_life(lifetimes(lives)))
    close = weibull_parameters(fit_life(lifetimes(between=[(t * 0.999, t * 1.001) for t in lives])))
    assert close.shape == pytest.approx(exact.shape, rel=2e-3)
    assert close.scale == pytest.approx(exact.scale, rel=2e-3)


def test_too_few_failures_are_said() -> None:
    with pytest.raises(NoAnswer, match="too few"):
        fit_life(lifetimes([3.0], going=[4.0]))
    with pytest.raises(NoAnswer):
        fit_life(lifetimes([3.0, 3.0, 3.0]))
    with pytest.raises(BadInput):
        lifetimes([3.0, -1.0])
    with pytest.raises(BadInput):
        lifetimes(between=[(5.0, 4.0)])


@costly(15)
@given(
    st.lists(st.floats(1.0, 1e4), min_size=2, max_size=12),
    st.lists(st.floats(1.0, 1e4), max_size=8),
    st.floats(0.01, 100.0),
)
def test_scaling_lives_scales_the_fit(failed: list[float], going: list[float], k: float) -> None:
    try:
        one = weibull_parameters(fit_life(lifetimes(failed, going=going)))
        other = weibull_parameters(
            fit_life(lifetimes([k * t for t in failed], going=[k * t for t in going]))
        )
    except NoAnswer:
        return
    assert other.shape == pytest.approx(one.shape, rel=1e-3)
    assert other.scale == pytest.approx(k * one.scale, rel=1e-3)


def test_repairs_without_trend_have_none() -> None:
    evenly = [float(i) for i in range(1, 21)]
    assert abs(laplace(evenly, 21.0).statistic) < 1e-9
    assert fit_power_law(evenly, 21.0).shape == pytest.approx(1.0, abs=0.25)
    with pytest.raises(BadInput):
        laplace([5.0, 9.0], 8.0)
    with pytest.raises(NoAnswer):
        fit_power_law([5.0])


def test_renewal_table_of_erlang_like_shape() -> None:
    assert renewals(1.0, 5.0, 20.0) == pytest.approx(4.0)
    far = renewals(3.0, 1.0, 11.9 * weibull_mean(3.0, 1.0))
    beyond = renewals(3.0, 1.0, 12.1 * weibull_mean(3.0, 1.0))
    assert beyond - far == pytest.approx(0.2, abs=1e-3)


@pytest.mark.parametrize(
    ("shape", "time", "expected"),
    [
        (0.2, 1e-12, 0.0039882137581), (0.2, 1.0, 1.595928492881), (0.2, 10.0, 3.3652665812756),
        (0.25, 0.1, 0.71727598331854), (0.3, 3.0, 2.4318429707443), (0.3, 10.0, 4.4305573300387),
        (0.5, 0.001, 0.031908920080642), (0.5, 10.0, 6.6528458227266),
        (0.7, 3.0, 2.8669194086895), (0.9, 10.0, 9.6234458143053),
        (0.99, 0.1, 0.1023809790187),
        (1.2, 0.94065586, 0.863210492342), (1.5, 4.5137265, 4.73049895951),
    ],
)  # fmt: skip
def test_renewals_agree_with_the_power_series_in_many_figures(shape, time, expected) -> None:
    """Smith and Leadbetter's series (Technometrics 5 (1963) 393, from memory), summed once by
    mpmath 1.4.1 at 300 to 400 digits, where it does not cancel."""
    assert renewals(shape, 1.0, time) == pytest.approx(expected, rel=1e-7)
    assert renewals(shape, 40.0, 40.0 * time) == pytest.approx(expected, rel=1e-7)


@costly(8)
@given(st.floats(0.2, 4.0), st.floats(0.05, 3.0))
def test_renewals_solve_their_own_equation(shape: float, time: float) -> None:
    """M(t) = F(t) + int_0^t M(t-x) dF(x) by adaptive quadrature over w = x^shape, F = 1 - e^-w."""

    def part(w: float) -> float:
        return math.exp(-w) * renewals(shape, 1.0, max(time - w ** (1 / shape), 0.0))

    top = time**shape
    whole = quad(part, 0.0, top, epsabs=1e-7, epsrel=1e-7, limit=30)[0]
    assert renewals(shape, 1.0, time) == pytest.approx(whole - math.expm1(-top), rel=1e-5)


@pytest.mark.parametrize("shape", [0.2, 0.3, 0.6, 0.95, 1.05, 2.0, 6.0, 20.0, 50.0])
def test_renewals_reach_their_asymptote_without_a_step(shape: float) -> None:
    """t/mu + (c^2-1)/2 far out (Tijms (2003), 8.1), and no jump where the method changes."""
    mean = weibull_mean(shape, 1.0)
    squared = math.gamma(1 + 2 / shape) / mean**2 - 1
    for many, close in ((1e6, 1e-6), (1e9, 1e-6)):
        exact = many + (squared - 1) / 2
        assert renewals(shape, 1.0, many * mean) == pytest.approx(exact, rel=close)
    edges = [0.1 ** (1 / shape), (12 + 0.6 / squared) * mean]
    for edge in edges:
        step = renewals(shape, 1.0, edge * (1 + 1e-9)) - renewals(shape, 1.0, edge * (1 - 1e-9))
        assert abs(step) < 1e-6 * max(1.0, edge / mean)


def test_steep_lives_are_used_up_in_steps() -> None:
    """Lives all but alike: after twelve and a half of them twelve are used up, no fewer."""
    assert renewals(50.0, 1.0, 12.5 * weibull_mean(50.0, 1.0)) == pytest.approx(12.0, abs=0.01)


def _cost_rate(shape: float, scale: float, ratio: float, age: float) -> float:
    """Barlow and Proschan: cost of a cycle over the mean of the life or the age."""
    kept = math.exp(-((age / scale) ** shape))
    lived, _ = quad(lambda t: math.exp(-((t / scale) ** shape)), 0.0, age, epsabs=0, epsrel=1e-12)
    return (kept + ratio * (1 - kept)) / lived


@costly(10)
@given(st.floats(1.1, 6.0), st.floats(1.5, 30.0), st.floats(0.01, 1e4))
def test_replacement_properties(shape: float, ratio: float, scale: float) -> None:
    best = replacement_age(shape, scale, planned=1.0, unplanned=ratio)
    assert best.cost_rate <= best.run_to_failure * (1 + 1e-12)
    if math.isfinite(best.age) and best.age < 50 * scale:
        assert best.age / scale == pytest.approx(
            replacement_age(shape, 1.0, planned=1.0, unplanned=ratio).age, rel=1e-9
        )
        for near in (0.97, 1.03):
            worse = _cost_rate(shape, scale, ratio, best.age * near)
            assert worse >= best.cost_rate * (1 - 1e-12)


def test_run_to_failure_is_an_answer() -> None:
    assert math.isinf(replacement_age(0.9, 100.0, planned=1.0, unplanned=9.0).age)
    assert math.isinf(replacement_age(3.0, 100.0, planned=2.0, unplanned=2.0).age)


def test_published_hydraulic_seal_shares_with_inferred_costs() -> None:
    # Optimal age 45 % of eta and cost 56 % of replace-on-failure. Source:
    # N. A. J. Hastings in Blischke & Murthy (eds), Case Studies in Reliability and Maintenance
    # (2003), chapter 16. The inputs are not printed: shape 2.5 and cost ratio 6 are our inference.
    age = replacement_age(2.5, 1.0, planned=1.0, unplanned=6.0)
    assert (age.age, 1 - age.saving) == pytest.approx((0.45, 0.56), abs=0.005)


@pytest.mark.parametrize("unplanned", [1.0 + 1e-9, 2.0, 1e6, 1e15, 1e200])
@pytest.mark.parametrize("shape", [1.0001, 1.5, 6.0, 20.0])
def test_the_age_is_found_however_far_apart_the_costs_lie(shape: float, unplanned: float) -> None:
    """Small ages: h(T) int R - F goes as (shape - 1) x^shape, set equal to Cp/(Cf - Cp)."""
    best = replacement_age(shape, 100.0, planned=1.0, unplanned=unplanned)
    assert best.cost_rate <= best.run_to_failure * (1 + 1e-12)
    if unplanned >= 1e15:
        near = 100.0 * (1 / (unplanned * (shape - 1))) ** (1 / shape)
        assert best.age == pytest.approx(near, rel=1e-3)


@pytest.mark.parametrize("mean", [0.0, 0.3, 4.32, 50.0, 700.0])
def test_the_cost_of_a_stock_is_that_of_each_demand_by_its_chance(mean: float) -> None:
    level = critical_stock(shortage=0.7, holding=0.18, mean=mean)
    each = [(n, float(poisson.pmf(n, mean))) for n in range(2000)]
    cost = math.fsum(c * (0.18 * max(level.stock - n, 0) + 0.7 * max(n - level.stock, 0))
                     for n, c in each)  # fmt: skip
    assert level.cost == pytest.approx(cost, rel=1e-9, abs=1e-12)


def test_a_demand_of_thousands_of_millions_takes_no_memory() -> None:
    """For a large mean Poisson demand is normal: cost (p + h) sigma phi(z)."""
    poisson_like = critical_stock(shortage=0.7, holding=0.18, mean=1e9)
    normal = critical_stock(shortage=0.7, holding=0.18, mean=1e9, deviation=math.sqrt(1e9))
    assert poisson_like.stock == pytest.approx(normal.stock, abs=2)
    assert poisson_like.cost == pytest.approx(normal.cost, rel=1e-3)


def test_no_stock_is_less_than_none() -> None:
    """Dear to hold and cheap to lack: none. Its cost is the shortage of the demand there is."""
    level = critical_stock(shortage=1e-6, holding=1e9, mean=10.0, deviation=4.0)
    assert level.stock == 0.0
    over, short = (quad(lambda d, s=s: max(s * (0.0 - d), 0.0) * norm.pdf(d, 10.0, 4.0), -60, 90,
                        points=[0.0])[0] for s in (1, -1))  # fmt: skip
    assert level.cost == pytest.approx(1e9 * over + 1e-6 * short, rel=1e-6)
    balance = critical_stock(shortage=1e12, holding=1e-6, mean=10.0, deviation=4.0)
    assert math.isfinite(balance.stock)


def test_stock_is_the_smallest_that_fills() -> None:
    stock = spares_for_fill(4.32, 0.95)
    assert fill_probability(4.32, stock) >= 0.95 > fill_probability(4.32, stock - 1)
    assert spares_for_fill(0.0, 0.99) == 0
    assert critical_stock(shortage=0.7, holding=0.18, mean=50.0).stock == 56
    with pytest.raises(BadInput):
        spares_for_fill(3.0, 1.0)


def test_late_repairs_of_an_old_pump_are_fitted_without_overflow() -> None:
    """Four repairs in the last thousandth of 2e10 m bar of wear: beta near 2,000.

    Checked against the closed form in exact decimals: by the end exactly n repairs are expected.
    """
    end = 2.0e10
    times = [end * (1 - share) for share in (8e-4, 6e-4, 4e-4, 2e-4)]
    fit = fit_power_law(times, end)
    assert fit.shape == pytest.approx(4 / sum(math.log(end / t) for t in times))
    assert fit.shape > 1000
    assert fit.expected(end) == pytest.approx(4.0, rel=1e-9)
    assert fit.mtbf() == pytest.approx(end / (4 * fit.shape), rel=1e-9)
