"""The integrator on published stiff problems and on an impact with known times."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.physics.motion import integrator as run

# F. Mazzia and C. Magherini, Test Set for Initial Value Problem Solvers, release 2.4 (2008):
# reference solutions of ROBER at 1e11 s, VDPOL (mu = 1000) at 2000 s and HIRES at 321.8122 s.
PUBLISHED = [
    ("robertson", (1.0, 0.0, 0.0), 1e11, (1e-14,),
     (0.2083340149701255e-7, 0.8333360770334713e-13, 0.9999999791665050)),
    ("van_der_pol", (2.0, 0.0), 2000.0, (1e-4, 1000.0),
     (1.706167732170469, -0.8928097010248125e-3)),
    ("hires", (1, 0, 0, 0, 0, 0, 0, 0.0057), 321.8122, (1e-6,),
     (0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4,
      0.1175651343283149e-2, 0.2386356198831331e-2, 0.6238968252742796e-2,
      0.2849998395185769e-2, 0.2850001604814231e-2)),
]  # fmt: skip


@pytest.mark.parametrize(("name", "y0", "t_end", "p", "printed"), PUBLISHED)
@pytest.mark.parametrize("tolerance", [1e-4, 1e-6, 1e-8])
def test_published_stiff_problems(stiff, name, y0, t_end, p, printed, tolerance):
    how, rows, _, tally = stiff.solve(getattr(stiff, name), y0, t_end, tolerance, p)
    assert how == run.REACHED
    assert rows[-1, 0] == t_end
    error = np.max(np.abs(rows[-1, 1 : 1 + len(y0)] / np.array(printed) - 1))
    assert error < 40 * tolerance  # the global error keeps to the tolerance's size
    tried = tally[run.STEPS] + tally[run.REJECTED]
    assert tried < 450 * (1e-4 / tolerance) ** 0.4  # and steps grow as for order 4


@pytest.mark.parametrize(
    ("t", "printed"),
    [(40.0, (7.1583e-1, 9.1855e-6, 2.8416e-1)), (4e5, (4.9383e-3, 1.9850e-8, 9.9506e-1))],
)
def test_robertson_on_the_way(stiff, t, printed):
    """Figures of the example programs of SUNDIALS (idaRoberts_dns), which carry a loose tolerance,
    brought to four digits by SciPy's Radau at 1e-12: a second route, not a published figure."""
    _, rows, _, _ = stiff.solve(stiff.robertson, (1.0, 0.0, 0.0), t, 1e-7, (1e-12,))
    assert rows[-1, 1:4] == pytest.approx(printed, rel=1e-4)


def test_robertson_keeps_its_mass(stiff):
    """The sum of all three is a linear invariant, which the method keeps to rounding."""
    _, rows, _, _ = stiff.solve(stiff.robertson, (1.0, 0.0, 0.0), 1e6, 1e-3, (1e-8,))
    assert np.abs(rows[:, 1:4].sum(axis=1) - 1.0).max() < 1e-12


@pytest.mark.parametrize("tolerance", [1e-3, 1e-6, 1e-9])
def test_bouncing_ball_meets_the_ground_when_mechanics_says(stiff, tolerance):
    """t_n = sqrt(2h/g) (1 + 2 sum e^k): h = 10 m, e = 0.85, g = 9.81 m/s2; analytic."""
    mode = (0, 5)
    how, _, marks, _ = stiff.solve(
        stiff.falling, (10.0, 0.0), 100.0, tolerance, (1e-3, 9.81, 0.85),
        guards=stiff.above_ground, react=stiff.bounce, count=1, mode=mode,
    )  # fmt: skip
    exact = [1.427843122927, 3.855176431903, 5.918409744533, 7.672158060268, 9.162844128643]
    assert how == run.STOPPED
    assert marks[:, 0] == pytest.approx(exact, rel=1e-11 + 1e-2 * tolerance)


def test_no_bounce_is_missed_on_the_way_to_where_they_pile_up(stiff):
    """h = 1, e = 1/2, g = 1: impacts at sqrt2 (3 - 2^(2-n)); they pile up at 3 sqrt2."""
    _, _, marks, _ = stiff.solve(
        stiff.falling, (1.0, 0.0), 100.0, 1e-8, (1e-6, 1.0, 0.5),
        guards=stiff.above_ground, react=stiff.bounce, count=1, mode=(0, 12),
    )  # fmt: skip
    n = np.arange(12)
    # each bounce carries on the error of those before it: a hundred times one step's tolerance
    assert marks[:, 0] == pytest.approx(np.sqrt(2) * (3 - 2.0 ** (1 - n)), rel=1e-6)


def test_a_budget_of_steps_ends_a_run(stiff):
    how, _, _, tally = stiff.solve(
        stiff.van_der_pol, (2.0, 0.0), 2000.0, 1e-6, (1e-6, 1000.0), budget=50
    )
    assert how == run.BUDGET_SPENT
    assert tally[run.STEPS] + tally[run.REJECTED] == 50


def test_a_full_table_of_rows_ends_a_run(stiff):
    how, rows, _, _ = stiff.solve(
        stiff.van_der_pol, (2.0, 0.0), 2000.0, 1e-6, (1e-6, 1000.0), room=30
    )
    assert how == run.ROWS_FULL
    assert len(rows) == 30
