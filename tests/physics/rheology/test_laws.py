"""Every flow law is whole: what it says in closed form agrees with its own stress curve, and where
it does not hold a sentence says so.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from wetend.errors import BadInput, NoAnswer
from wetend.physics.channels import liquid_flow, rectangle
from wetend.physics.hose import hose_loss
from wetend.physics.rheology import flow, laws
from wetend.physics.rheology.casson import casson
from wetend.physics.rheology.fit import fit
from wetend.physics.rheology.friction import fanning_friction
from wetend.physics.rheology.law import PLACES, Law
from wetend.physics.rheology.laws import LAWS
from wetend.physics.rheology.liquid import Liquid, thickened
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.scored import Score, score_flow
from wetend.physics.slits import annulus_leak

EVERY = pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
STRESSES = np.geomspace(0.5, 5e4, 30)


def sample(law: Law, share: float = 0.5) -> Liquid:
    """A liquid with each parameter part of the way through what a sprayed coating can have."""
    figures = {}
    for parameter in law.parameters:
        low, high = parameter.sprayed
        figures[parameter.name] = low + (min(high, 5.0) - low) * share * 0.3
    return law.make(**figures, density=1300.0)


def by_quadrature(liquid: Liquid, wall: float, power: float) -> float:
    """The moment by SciPy's adaptive rule, from the law's rate alone."""
    law, low = LAWS[liquid.law], min(liquid.yield_stress / wall, 1.0)
    found, _ = quad(lambda y: y ** (power - 1) * float(law.rate(np.array(y * wall), liquid)),
                    low, 1.0, epsabs=0.0, epsrel=1e-11, limit=400)  # fmt: skip
    return float(found)


@EVERY
def test_a_law_is_whole(law: Law) -> None:
    """What a new law still lacks is named here."""
    lacks = []
    if not law.parameters:
        lacks.append("parameters")
    lacks += [f"a range for {p.name}" for p in law.parameters if not p.least < p.most]
    lacks += [f"a sprayed range within its own for {p.name}" for p in law.parameters
              if not p.least <= p.sprayed[0] < p.sprayed[1] <= p.most]  # fmt: skip
    if (law.work is None or law.slope is None) and "score" not in law.limits:
        lacks.append("slope and work, or a sentence why a score can't be solved with it")
    if not law.fitted and "fit" not in law.limits:
        lacks.append("what a fit finds, or a sentence why it can't be fitted")
    lacks += [f"a place that is known: {place}" for place in law.limits if place not in PLACES]
    lacks += [f"a whole sentence for {place}" for place, said in law.limits.items()
              if len(said) < 40 or not said.endswith(".")]  # fmt: skip
    assert lacks == []
    assert sample(law).law == law.name
    assert laws.law_of(sample(law)) is law


@EVERY
def test_rate_turns_stress_round_and_slope_and_work_belong_to_it(law: Law) -> None:
    liquid, rates = sample(law), np.geomspace(1e-2, 1e5, 25)
    stress = law.stress(rates, liquid)
    assert law.rate(stress, liquid) == pytest.approx(rates, rel=1e-6)
    assert float(law.rate(np.array(0.999 * liquid.yield_stress), liquid)) == 0.0
    if law.slope is not None:
        h = 1e-5 * rates
        rise = (law.stress(rates + h, liquid) - law.stress(rates - h, liquid)) / (2 * h)
        assert law.slope(rates, liquid) == pytest.approx(rise, rel=1e-5)
    if law.work is not None:
        done, _ = quad(lambda r: float(law.stress(np.array(r), liquid)), 0.0, 300.0, epsrel=1e-10)
        assert float(law.work(np.array(300.0), liquid)) == pytest.approx(done, rel=1e-7)


@EVERY
def test_closed_forms_agree_with_the_integral(law: Law) -> None:
    """SciPy's adaptive quadrature of the law's own rate: bore, slit, and a duct between them."""
    liquid = sample(law)
    for wall in (1.02 * liquid.yield_stress + 0.01, 3.0 * liquid.yield_stress + 1.0, 4e3):
        bore, slit = by_quadrature(liquid, wall, 3.0), by_quadrature(liquid, wall, 2.0)
        assert float(flow.nominal_rate(wall, liquid)) == pytest.approx(4 * bore, rel=1e-8)
        assert float(flow.slit_rate(wall, liquid)) == pytest.approx(slit, rel=1e-8)
        duct = by_quadrature(liquid, wall, 2.4)
        assert float(flow.moment(wall, liquid, 2.4)) == pytest.approx(duct, rel=1e-7)


@EVERY
def test_wall_stress_and_slope_turn_the_bore_round(law: Law) -> None:
    liquid = sample(law)
    rates = np.geomspace(1e-4, 1e6, 40)
    walls = flow.wall_stress(rates, liquid)
    assert flow.nominal_rate(walls, liquid) == pytest.approx(rates, rel=1e-8)
    assert (np.diff(walls) > 0).all()
    assert float(flow.wall_stress(0.0, liquid)) == liquid.yield_stress
    h = 1e-5
    rise = np.log(flow.nominal_rate(walls * (1 + h), liquid)
                  / flow.nominal_rate(walls * (1 - h), liquid))  # fmt: skip
    slope = (np.log1p(h) - np.log1p(-h)) / rise
    seen = walls > 1.1 * liquid.yield_stress
    assert flow.local_index(walls, liquid)[seen] == pytest.approx(slope[seen], rel=1e-4)


@EVERY
def test_thickening_scales_every_stress(law: Law) -> None:
    liquid, rates = sample(law), np.geomspace(0.1, 1e4, 9)
    thick = thickened(liquid, 3.0)
    assert law.stress(rates, thick) == pytest.approx(3.0 * law.stress(rates, liquid))
    assert flow.wall_stress(rates, thick) == pytest.approx(3.0 * flow.wall_stress(rates, liquid))


@EVERY
def test_hose_loss_rises_without_a_step(law: Law) -> None:
    liquid = sample(law, 0.05)
    losses = hose_loss(liquid, np.geomspace(1e-7, 1e-3, 60), 0.0095, 15.0)
    assert (np.diff(losses) > 0).all()


@EVERY
def test_every_place_answers_or_says_why_not(law: Law) -> None:
    liquid = sample(law, 0.05)
    assert annulus_leak(liquid, 0.038, 60e-6, length=0.022, pressure=1e7, eccentricity=0.5) > 0
    assert float(liquid_flow(rectangle(6e-5, 2e-3), liquid, length=0.022, pressure=1e7)) > 0
    assert np.isfinite(fanning_friction(liquid, 30.0, 0.0095).wall_stress)
    score = Score("rectangle", 1e-4, 1e-4)
    if "score" in law.limits:
        with pytest.raises(NoAnswer):
            score_flow(score, liquid, length=0.022, pressure=1e7)
    else:
        assert score_flow(score, liquid, length=0.022, pressure=1e7) > 0
    rates = np.geomspace(1.0, 1000.0, 8)
    if law.fitted:
        assert fit(rates, flow.shear_stress(liquid, rates), law.name).spread < 1e-3
    else:
        with pytest.raises(BadInput):
            fit(rates, rates, law.name)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 100.0), st.floats(0.01, 5.0), st.floats(1.0001, 1e4))
def test_casson_in_closed_form_is_the_integral(
    stress: float, viscosity: float, over: float
) -> None:
    """Near its yield stress and far above it."""
    liquid, wall = casson(stress, viscosity), stress * over
    assert float(flow.nominal_rate(wall, liquid)) == pytest.approx(
        4 * by_quadrature(liquid, wall, 3.0), rel=1e-6
    )
    assert float(flow.slit_rate(wall, liquid)) == pytest.approx(
        by_quadrature(liquid, wall, 2.0), rel=1e-6
    )


def test_casson_without_a_yield_stress_is_newtonian() -> None:
    plain, thin = casson(0.0, 0.4, 1300.0), newtonian(0.4, 1300.0)
    flows = np.geomspace(1e-6, 2e-3, 12)
    assert hose_loss(plain, flows, 0.0095, 30.0) == pytest.approx(
        hose_loss(thin, flows, 0.0095, 30.0), rel=1e-9
    )
    walls = np.array([1.0, 100.0])
    assert flow.local_index(walls, plain) == pytest.approx(1.0)


def test_casson_lies_between_its_limit_and_the_bingham_of_as_much_stress() -> None:
    """(sqrt a + sqrt b)^2 is a + b + 2 sqrt(a b): more than either alone, or both added."""
    rates = np.geomspace(1.0, 1e4, 9)
    found = flow.shear_stress(casson(9.0, 0.25), rates)
    assert (found > 9.0 + 0.25 * rates).all()
    assert float(flow.shear_stress(casson(9.0, 0.25), 16.0)) == pytest.approx(25.0)  # (3 + 2)^2


def bare(law: Law) -> Law:
    """The law with nothing but its stress and its rate."""
    return replace(
        law, slope=None, work=None, viscosity=None, bore_rate=None, bore_stress=None,
        bore_index=None, slit_rate=None, moment=None, fitted=(), power_law_unyielding=False,
        limits={"score": "A score can't be solved with this law here, which has no slope.",
                "fit": "This law can't be fitted to readings, which takes more than a stress."},
    )  # fmt: skip


@EVERY
def test_a_law_of_stress_and_rate_alone_works_by_quadrature(
    law: Law, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The least a new law must bring: each of ours stripped to that gives what it gave."""
    liquid, rates = sample(law), np.geomspace(1e-2, 1e5, 12)
    walls = flow.wall_stress(rates, liquid)
    flows = np.geomspace(1e-7, 3e-4, 12)
    before = (
        flow.nominal_rate(walls, liquid), flow.slit_rate(walls, liquid),
        flow.moment(walls, liquid, 2.4), walls, flow.local_index(walls, liquid),
        hose_loss(liquid, flows, 0.0095, 15.0), flow.effective_viscosity(liquid, rates),
    )  # fmt: skip
    monkeypatch.setitem(laws.LAWS, law.name, bare(law))
    after = (
        flow.nominal_rate(walls, liquid), flow.slit_rate(walls, liquid),
        flow.moment(walls, liquid, 2.4), flow.wall_stress(rates, liquid),
        flow.local_index(walls, liquid), hose_loss(liquid, flows, 0.0095, 15.0),
        flow.effective_viscosity(liquid, rates),
    )  # fmt: skip
    for one, other in zip(before, after, strict=True):
        assert other == pytest.approx(one, rel=1e-5)
    assert not math.isnan(float(after[5][0]))
