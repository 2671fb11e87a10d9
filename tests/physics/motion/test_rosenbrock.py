"""Order, stability and convergence of the one-step method."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from wetend.jit.compiling import made
from wetend.jit.kinds import Nothing, Real, Reals, Table, Whole
from wetend.physics.motion import integrator as run
from wetend.physics.motion import rosenbrock as method
from wetend.physics.motion.rosenbrock import invert, multiply


def tableau():
    """alpha, Gamma, b and the embedded b, out of the coefficients for the transformed stages.

    With u = Gamma k: C = diag(1/gamma) - Gamma^-1, A = alpha Gamma^-1, m = b Gamma^-1.
    Source: E. Hairer and G. Wanner, Solving ODEs II, 2nd ed. (1996), section IV.7, eq. 7.25.
    """
    s = method.STAGES
    lower = np.zeros((s, s))
    lower[:, : s - 1] = method.C
    gamma = np.linalg.inv(np.eye(s) / method.GAMMA - lower)
    wide = np.zeros((s, s))
    wide[:, : s - 1] = method.A
    m = wide[-1] + np.eye(s)[-1]
    return wide @ gamma, gamma, m @ gamma, wide[-1] @ gamma


def conditions(alpha, beta, b):
    """Residuals of the eight order conditions, by order (same source, table 7.1)."""
    a, c = alpha.sum(axis=1), beta.sum(axis=1)
    return {
        1: [b.sum() - 1],
        2: [b @ c - 1 / 2],
        3: [b @ a**2 - 1 / 3, b @ beta @ c - 1 / 6],
        4: [b @ a**3 - 1 / 4, b @ (a * (alpha @ c)) - 1 / 8, b @ beta @ a**2 - 1 / 12,
            b @ beta @ beta @ c - 1 / 24],
    }  # fmt: skip


def test_the_result_has_order_four_and_the_embedded_one_order_three():
    alpha, gamma, b, embedded = tableau()
    main, inner = conditions(alpha, alpha + gamma, b), conditions(alpha, alpha + gamma, embedded)
    assert np.diag(gamma) == pytest.approx(method.GAMMA)
    assert max(abs(r) for rs in main.values() for r in rs) < 1e-13
    assert max(abs(r) for order in (1, 2, 3) for r in inner[order]) < 1e-13
    assert max(abs(r) for r in inner[4]) > 1e-3  # else there were no error to see


def test_stiff_parts_die_out_and_slow_ones_stay():
    """R(z) = 1 + z b (I - z beta)^-1 1: zero at infinity, at most 1 on the imaginary axis."""
    alpha, gamma, b, _ = tableau()
    s = method.STAGES

    def r(z):
        return 1 + z * b @ np.linalg.solve(np.eye(s) - z * (alpha + gamma), np.ones(s))

    assert abs(r(-1e9)) < 1e-6
    assert abs(r(-0.01) - np.exp(-0.01)) < 1e-11
    assert max(abs(r(1j * w)) for w in np.geomspace(1e-3, 1e4, 400)) <= 1 + 1e-12


@cache
def fixed_steps(stiff):
    step = made(method.step)

    @stiff.compiled(Nothing(method.FIELD, Real, Whole, method.RUN, method.SCRATCH))
    def run_steps(field, h, count, carried, s):
        for _ in range(count):
            field(carried.y, carried.p, carried.mode, s.slope, s.jacobian, True)
            step(field, h, carried, s)
            for i in range(carried.y.shape[0]):
                carried.y[i] = s.stages[method.NEW, i]

    return run_steps()


@cache
def between(stiff):
    step, prepare_between, at_share = (
        made(function) for function in (method.step, method.prepare_between, method.at_share)
    )

    @stiff.compiled(Nothing(method.FIELD, Real, method.RUN, method.SCRATCH, Reals, Table))
    def look_between(field, h, carried, s, shares, out):
        field(carried.y, carried.p, carried.mode, s.slope, s.jacobian, True)
        step(field, h, carried, s)
        prepare_between(carried, s)
        for k in range(shares.shape[0]):
            at_share(s.between, shares[k], out[k])

    return look_between()


def exact(y0, t):
    def slope(_, y):
        return [y[1], 3.0 * (1 - y[0] ** 2) * y[1] - y[0]]

    return solve_ivp(slope, (0, t), y0, method="DOP853", rtol=1e-13, atol=1e-14, dense_output=True)


def carried_at(y0):
    return method.Run(np.array(y0), np.array([1e-9, 3.0]), np.zeros(1, np.int64), np.zeros(1))


def test_errors_fall_with_the_fourth_power_of_the_step(stiff):
    """Van der Pol with mu = 3, fixed steps, against SciPy's DOP853 at 1e-13."""
    y0, t = (1.5, 0.3), 1.0
    true = exact(y0, t).y[:, -1]
    errors = []
    for count in (32, 64, 128, 256):
        carried = carried_at(y0)
        scratch = run.new_scratch(2, sums=0, guards=0)
        fixed_steps(stiff)(stiff.van_der_pol(), t / count, count, carried, scratch)
        errors.append(np.abs(carried.y - true).max())
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert orders == pytest.approx(4.0, abs=0.25)


def test_the_dense_output_has_order_three(stiff):
    """Its local error falls with the fourth power of the step."""
    y0, shares = (1.5, 0.3), np.linspace(0.1, 0.9, 9)
    errors = []
    for h in (0.08, 0.04, 0.02):
        out = np.empty((9, 2))
        scratch = run.new_scratch(2, sums=0, guards=0)
        between(stiff)(stiff.van_der_pol(), h, carried_at(y0), scratch, shares, out)
        errors.append(np.abs(out.T - exact(y0, 1.0).sol(shares * h)).max())
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert orders.min() > 3.6


def test_linear_systems_against_numpy():
    rng = np.random.default_rng(1)
    for n in (1, 2, 5, 14):
        for _ in range(20):
            matrix = rng.normal(size=(n, n)) * (rng.random((n, n)) < 0.5) + np.diag(
                rng.normal(size=n) * (rng.random(n) < 0.8)
            )
            if abs(np.linalg.det(matrix)) < 1e-6:
                continue
            right = rng.normal(size=n)
            inverse, x = np.hstack([matrix.T, rng.normal(size=(n, 3))]), np.zeros(n + 3)
            aside = inverse[:, n:].copy()
            assert invert(inverse, np.zeros(n, np.int64)) == 0
            multiply(right, inverse, x)
            solved = np.linalg.solve(matrix, right)
            assert x[:n] == pytest.approx(solved, rel=1e-7, abs=1e-9)
            assert x[n:] == pytest.approx(solved @ aside, rel=1e-7, abs=1e-9)


def test_a_singular_system_is_told():
    assert invert(np.array([[1.0, 2.0], [2.0, 4.0]]), np.zeros(2, np.int64)) == 1
