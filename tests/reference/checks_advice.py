"""Each kind of answer: diagnosis, strip, inspection, stack, proof, set-up, stores, fleet, motion,
listening; against published cases, SciPy, SUNDIALS and closed forms."""

from __future__ import annotations

import importlib
import io
import itertools
import math
import warnings
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import other_solvers as others
from checked import Check
from fluids.friction import one_phase_dP
from loaded import loaded
from random_pumps import random_pump
from scipy import stats
from scipy.integrate import quad, solve_ivp
from scipy.io import wavfile
from scipy.optimize import minimize
from scipy.signal import correlate

from wetend.advice.diagnosis.laws import normals
from wetend.advice.fleet.arrays import Chunk, Policy, Prices
from wetend.advice.fleet.simulation import play
from wetend.advice.handover.duty import stall_at
from wetend.advice.inspect.limits import Limit, Reading
from wetend.advice.prove.limits import Allowed, allowed, decay_limit
from wetend.advice.stores.ordering import Offer
from wetend.advice.strip.sequence import cheapest_order
from wetend.advice.working_point import Line, working_point
from wetend.physics.motion.simulate import simulate
from wetend.physics.motion.start import at_bottom
from wetend.physics.rheology.newtonian import newtonian
from wetend.pump.parts import HoseLength
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.stats.signal.two_lengths import two_normals
from wetend.stats.signal.wav import read_wav
from wetend.units.quantity import M, unit_of

TESTS = Path(__file__).parents[1]
CHECKS: list[Check] = []
CLOSED = "closed form"

# --- diagnosis -----------------------------------------------------------------------------------
BOXES = "cs.stackexchange.com/questions/144646: chances 0.8 and 0.2, costs 3 and 2"
_NEEDED = [0.0, 0.8, 0.2, 0.0]
for _order, _cost in (((0, 1), 3.4), ((1, 0), 4.4)):
    CHECKS.append(Check(
        f"two-boxes-{_order[0]}", "wetend.stats.decision.expected_cost",
        {"order": _order, "needed": _NEEDED, "costs": [3.0, 2.0]}, lambda c=_cost: c, 1e-12,
        "exact", BOXES + ", likelier first costs 3.4, cheaper first 4.4", "seen",
    ))  # fmt: skip
CHECKS.append(Check(
    "two-boxes-best", "wetend.stats.decision.ratio_order",
    {"chances": [0.8, 0.2], "costs": [3.0, 2.0]}, lambda: [0, 1], 1e-12, "exact",
    BOXES + ", by falling chance over cost", "seen",
))  # fmt: skip


def _by_all_orders() -> float:
    """Three jobs, more than one of which may be needed, every order tried."""
    needed = [0.1, 0.3, 0.15, 0.1, 0.2, 0.05, 0.06, 0.04]
    costs = [5.0, 9.0, 3.0]
    found = []
    for order in itertools.permutations(range(3)):
        total, done = 0.0, 0
        for job in order:
            left = sum(p for s, p in enumerate(needed) if s & ~done)
            total += costs[job] * left
            done |= 1 << job
        found.append(total)
    return min(found)


CHECKS.append(Check(
    "jobs-by-enumeration", "wetend.stats.decision.least_cost_order",
    {"needed": [0.1, 0.3, 0.15, 0.1, 0.2, 0.05, 0.06, 0.04], "costs": [5.0, 9.0, 3.0]},
    _by_all_orders, 1e-12, "exact", "all six orders", CLOSED,
    picks=lambda plan: plan.cost[0], picked="least expected cost",
))  # fmt: skip


@cache
def agrum() -> Any:
    """pyAgrum; its compiled part warns as it loads."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return importlib.import_module("pyagrum")


def _channel() -> float:
    """A fault in 6.4828 % of cases, read wrongly in 5 % and missed in 2 %."""
    gum = agrum()
    net = gum.BayesNet()
    for node in ("fault", "seen"):
        net.add(gum.LabelizedVariable(node, node, 2))
    net.addArc("fault", "seen")
    net.cpt("fault").fillWith([1 - 0.064828, 0.064828])
    net.cpt("seen")[{"fault": 0}] = [0.95, 0.05]
    net.cpt("seen")[{"fault": 1}] = [0.02, 0.98]
    engine = gum.LazyPropagation(net)
    return float(gum.InformationTheory(engine, ["fault"], ["seen"]).mutualInformationXY())


CHECKS.append(Check(
    "chest-clinic", "wetend.stats.discrete.information",
    {"joint": np.array([[0.95, 0.02], [0.05, 0.98]]) * [1 - 0.064828, 0.064828]}, _channel, 1e-9,
    "the same sum", "pyAgrum, mutual information of X-ray and disease; tables of Lauritzen and "
    "Spiegelhalter, JRSS B 50 (1988)",
))  # fmt: skip
(_LAW,) = normals([np.array([0, 3])], [np.array([0.4, -0.7])], [np.array([[1.2, 0.0], [0.3, 0.8]])])
_OWN = np.array([[0.1, -0.2], [1.5, 0.4], [-2.0, 1.0]])
CHECKS.append(Check(
    "law-over-prior", "wetend.advice.diagnosis.laws.log_ratios", {"laws": [_LAW], "own": _OWN},
    lambda: [stats.multivariate_normal(_LAW.mean, _LAW.root @ _LAW.root.T).logpdf(_OWN)
             - stats.multivariate_normal(np.zeros(2), np.eye(2)).logpdf(_OWN)], 1e-9,
    "the same law", "SciPy multivariate_normal",
))  # fmt: skip
CHECKS.append(Check(
    "calm-likelihood", "wetend.advice.diagnosis.evidence.student",
    {"misfit": np.array([0.5, 2.0, 6.0])},
    lambda: stats.t(4).logpdf([0.5, 2.0, 6.0]) - stats.t(4).logpdf(0), 1e-9, "the same law",
    "SciPy t of four degrees",
))  # fmt: skip

# --- strip ---------------------------------------------------------------------------------------
_SEQUENCES = TESTS / "advice" / "strip" / "test_sequence.py"
for _name, _optimum in (("ESC07", 2125), ("ESC11", 2075)):
    CHECKS.append(Check(
        _name.lower(), "wetend.advice.strip.sequence.cheapest_order", {"instance": _name},
        lambda best=_optimum: {"cost": best}, 1e-12, "a whole number",
        f"TSPLIB, sequential ordering problem {_name} of Escudero, optimum as published there",
        "seen", run=lambda name=_name: _ordered(name),
    ))  # fmt: skip


def _ordered(name: str) -> Any:
    module = loaded(_SEQUENCES)
    return cheapest_order(module.jobs_of(module.matrix_of(getattr(module, name))), 0)


# --- inspection ----------------------------------------------------------------------------------
_READ = Reading("bore", 0.03810, 0.03810, "bore", "bore gauge")
CHECKS.append(Check(
    "bore-within", "wetend.advice.inspect.limits.check",
    {"reading": _READ, "limit": Limit(unit_of(M), upper=0.03811)},
    lambda: {"probability": stats.norm(0.03810, 8e-6 / math.sqrt(3)).cdf(0.03811)}, 1e-9,
    "the same law", "SciPy norm; an instrument good to 8 um either way (JCGM 100:2008, 4.3.7)",
))  # fmt: skip

# --- proof ---------------------------------------------------------------------------------------
PUMP, COATING = demo_pump("quay-air"), demo_coatings()[0]


@cache
def _allow() -> Allowed:
    return allowed(PUMP, COATING)


def _lost() -> float:
    """Pressure lost in three minutes, step by step: dp/dt = -q(p)/C, q as p."""
    allow = _allow()
    rate = allow.outside_leak / allow.point.pump_pressure / allow.compliance
    found = solve_ivp(lambda _, p: -rate * p, (0, 180), [2e7], rtol=1e-11, atol=1e-3)
    return 2e7 - float(found.y[0, -1])


CHECKS.append(Check(
    "hold-limit", "wetend.advice.prove.limits.decay_limit",
    {"pump": "quay-air", "start": 2e7, "time": 180.0}, _lost, 1e-8, "integrated to 1e-11",
    "SciPy solve_ivp of the volume balance", run=lambda: decay_limit(_allow(), 2e7, 180.0),
))  # fmt: skip

# --- set-up sheet --------------------------------------------------------------------------------
_LINE = Line(
    0.533e-3, 0.85, hoses=(HoseLength(bore=0.0095, length=15.0, rated_pressure=5e7),), lift=6.0
)


def _asked() -> dict[str, float]:
    flow = 0.85 * math.pi / 4 * 0.533e-3**2 * math.sqrt(2 * 15e6 / 1300)
    lost = one_phase_dP(m=flow * 1300, rho=1300.0, mu=0.2, D=0.0095, roughness=0.0, L=15.0)
    return {"flow": flow, "hose_loss": lost, "lift_loss": 1300 * 9.80665 * 6.0}


CHECKS.append(Check(
    "line-at-work", "wetend.advice.working_point.working_point",
    {"pump": "quay-air", "line": _LINE, "nozzle_pressure": 15e6}, _asked, 1e-6,
    "the same laws, laminar", "fluids library, one_phase_dP; Torricelli; hydrostatics",
    run=lambda: working_point(PUMP, newtonian(0.2, 1300.0), nozzle_pressure=15e6, line=_LINE),
))  # fmt: skip
CHECKS.append(Check(
    "stall-statics", "wetend.advice.handover.duty.stall_at", {"pump": "quay-air", "supply": 4e5},
    lambda: 4e5 * PUMP.drive.ratio * PUMP.bore_area / 2 / min(
        PUMP.bore_area - math.pi / 4 * PUMP.rod.diameter**2, math.pi / 4 * PUMP.rod.diameter**2),
    1e-9, "exact", "balance of forces on the stroke of smaller area", CLOSED,
    run=lambda: stall_at(PUMP, 4e5),
))  # fmt: skip

# --- stores --------------------------------------------------------------------------------------
_WARES = (Offer(90.0, {0: 1}), Offer(150.0, {0: 2}), Offer(120.0, {1: 1}), Offer(40.0, {2: 3}),
          Offer(260.0, {0: 1, 1: 1, 2: 2}))  # fmt: skip


def _cheapest() -> float:
    def given(packs: tuple[int, ...], thing: int) -> int:
        return sum(n * w.gives.get(thing, 0) for n, w in zip(packs, _WARES, strict=True))

    return min(
        sum(n * w.price for n, w in zip(packs, _WARES, strict=True))
        for packs in itertools.product(range(5), repeat=len(_WARES))
        if all(given(packs, k) >= want for k, want in enumerate((3, 1, 4)))
    )


CHECKS.append(Check(
    "order-list", "wetend.advice.stores.ordering.buy", {"wanted": (3, 1, 4), "wares": _WARES},
    _cheapest, 1e-12, "exact", "all 3,125 ways to buy up to four packs of five wares", CLOSED,
    picks=lambda packs: sum(n * w.price for n, w in zip(packs, _WARES, strict=True)),
    picked="price of the list",
))  # fmt: skip

# --- fleet ---------------------------------------------------------------------------------------


def _months(shape: float, plan: float, days: float, count: int, replicas: int) -> Any:
    """One part of a known Weibull law (scale 1 wear, 0.01 wear a day) in many pumps."""
    prices = Prices(
        part=np.array([1.0]), labour=np.zeros(1), failure=np.array([4.0]),
        standing=np.array([3600.0]), visit=0.0, opens=np.array([True]),
    )  # fmt: skip
    never = np.full((count, 1), math.inf)
    policy = Policy("rule", np.full((count, 1), plan), never, np.full(count, math.inf),
                    np.array([False]))  # fmt: skip
    median = math.log(math.log(2.0) ** (1 / shape))
    return play(Chunk(
        seeds=tuple(np.random.SeedSequence(5).spawn(count)), pace=np.full(count, 0.01),
        pace_spread=np.zeros(count), ages=np.zeros((count, 1)), age_spread=np.zeros((count, 1)),
        location=np.full((count, 1, replicas), median), scale=np.full((1, replicas), 1 / shape),
        weibull=np.ones((1, replicas), dtype=bool), policies=(policy,), prices=prices, days=days,
    ))  # fmt: skip


def _rate() -> float:
    kept = math.exp(-(0.493**2.5))
    return (kept + 5 * (1 - kept)) / quad(lambda t: math.exp(-(t**2.5)), 0, 0.493)[0]


CHECKS.append(Check(
    "age-rule-played", "wetend.advice.fleet.simulation.play",
    {"shape": 2.5, "plan": 0.493, "days": 40000.0}, lambda: _rate(), 0.01,
    "drawn months, two thousand of 400 lives each", "Barlow and Proschan 1965, cost rate of age "
    "replacement; public example of MatthewReid854/reliability", CLOSED,
    run=lambda: float(_months(2.5, 0.493, 40000.0, 200, 10).cost[0].mean()) / 400,
))  # fmt: skip
# mean 1 and squared variation 0.25: shape 2.10134909, scale 1.12906339, here a hundred days
for _printed, _days in ((0.6091, 100 / 1.12906339), (2.125, 250 / 1.12906339)):
    CHECKS.append(Check(
        f"tijms-played-{_printed:g}", "wetend.advice.fleet.simulation.play",
        {"shape": 2.10134909, "plan": math.inf, "days": _days}, lambda m=_printed: m, 0.02,
        "drawn months, sixteen thousand; three standard errors",
        "H. C. Tijms, A First Course in Stochastic Models (2003), table 8.1.1, p. 312", "seen",
        run=lambda d=_days: float(
            _months(2.10134909, math.inf, d, 400, 40).failures[0].mean()),
    ))  # fmt: skip

# --- motion --------------------------------------------------------------------------------------
_PROBLEMS = TESTS / "physics" / "motion" / "stiff_problems.py"
# F. Mazzia and C. Magherini, Test Set for Initial Value Problem Solvers, release 2.4 (2008)
_PRINTED = {
    "robertson": ((1.0, 0.0, 0.0), 1e11, (1e-14,),
                  (0.2083340149701255e-7, 0.8333360770334713e-13, 0.9999999791665050)),
    "van_der_pol": ((2.0, 0.0), 2000.0, (1e-4, 1000.0),
                    (1.706167732170469, -0.8928097010248125e-3)),
    "hires": ((1, 0, 0, 0, 0, 0, 0, 0.0057), 321.8122, (1e-6,),
              (0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4,
               0.1175651343283149e-2, 0.2386356198831331e-2, 0.6238968252742796e-2,
               0.2849998395185769e-2, 0.2850001604814231e-2)),
}  # fmt: skip


@cache
def _problems() -> ModuleType:
    return loaded(_PROBLEMS)


def _solved(name: str) -> np.ndarray:
    start, end, p, _ = _PRINTED[name]
    _, rows, _, _ = _problems().solve(getattr(_problems(), name), start, end, 1e-7, p)
    return np.asarray(rows[-1, 1 : 1 + len(start)])


for _name, (_, _end, _, _answer) in _PRINTED.items():
    CHECKS.append(Check(
        _name, "wetend.physics.motion.integrator.advance", {"problem": _name, "end": _end},
        lambda a=_answer: np.array(a), 4e-6, "forty times the tolerance of a step",
        "F. Mazzia and C. Magherini, Test Set for Initial Value Problem Solvers, release 2.4 "
        "(2008), reference solution", "seen", run=lambda n=_name: _solved(n),
    ))  # fmt: skip


@cache
def _made() -> Any:
    return random_pump(np.random.default_rng(5), give=1.0)


def _played() -> np.ndarray:
    strokes = simulate(_made(), cycles=1, rtol=1e-6).strokes
    return np.array([s.time for s in strokes] + [s.delivered for s in strokes])


CHECKS.append(Check(
    "cycle-by-cvode", "wetend.physics.motion.simulate.simulate", {"pump": "drawn with seed 5"},
    lambda: others.strokes_of(others.march(
        at_bottom(_made(), trips=2), others.by_cvode(1e-6, others.stiff_weights(_made())))),
    1e-5, "both at a relative tolerance of 1e-6", "SUNDIALS CVODE (scikit-sundae), one cycle",
    run=_played,
))  # fmt: skip

# --- listening -----------------------------------------------------------------------------------
_RNG = np.random.default_rng(3)
_HEARD = np.sin(np.arange(400) * 0.21) + 0.3 * _RNG.standard_normal(400)


def _file(kind: str) -> bytes:
    whole = {"16 bit": (_HEARD * 12000).astype(np.int16), "float": _HEARD.astype(np.float32) / 2}
    out = io.BytesIO()
    wavfile.write(out, 8000, whole[kind])
    return out.getvalue()


for _kind, _scale in (("16 bit", 32768.0), ("float", 1.0)):
    CHECKS.append(Check(
        f"wav-{_kind.replace(' ', '-')}", "wetend.stats.signal.wav.read_wav", {"data": _kind},
        lambda k=_kind, s=_scale: wavfile.read(io.BytesIO(_file(k)))[1] / s, 1e-6,
        "the same samples", "SciPy wavfile", run=lambda k=_kind: read_wav(_file(k)).channels[0],
    ))  # fmt: skip


def _agreement() -> np.ndarray:
    x = _HEARD - _HEARD.mean()
    whole = correlate(x, x, method="direct")[399:]
    return np.asarray((whole / np.arange(400, 0, -1))[:102] / (whole[0] / 400))


CHECKS.append(Check(
    "self-agreement", "wetend.stats.signal.guesses.self_agreement",
    {"signal": _HEARD, "step": 0.01, "longest": 1.0}, _agreement, 1e-7, "the same sums",
    "SciPy correlate, direct",
))  # fmt: skip
_SERIES = [1.0, 1.2, 0.8, 1.1, 0.9, 1.6, 1.9, 1.7, 2.0, 1.8, 1.75]
CHECKS.append(Check(
    "least-squares-step", "wetend.stats.signal.change_point.step", {"values": _SERIES},
    lambda: {"before": min(range(2, 10), key=lambda k: np.var(_SERIES[:k]) * k
                           + np.var(_SERIES[k:]) * (11 - k))}, 1e-12, "a whole number",
    "every place of the step tried", CLOSED,
))  # fmt: skip
_TIMES = np.concatenate([_RNG.normal(1.0, 0.05, 60), _RNG.normal(1.4, 0.08, 40)])


def _best_mixture() -> dict[str, float]:
    def loss(theta: np.ndarray) -> float:
        share = 1 / (1 + math.exp(-theta[0]))
        one = stats.norm(theta[1], math.exp(theta[2])).pdf(_TIMES)
        two = stats.norm(theta[3], math.exp(theta[4])).pdf(_TIMES)
        return -float(np.log(share * one + (1 - share) * two).sum())

    found = minimize(loss, [0.4, 1.0, -3.0, 1.4, -2.5], method="Nelder-Mead",
                     options={"xatol": 1e-9, "fatol": 1e-10, "maxiter": 20000})  # fmt: skip
    return {"log_likelihood": -found.fun}


CHECKS.append(Check(
    "two-stroke-lengths", "wetend.stats.signal.two_lengths.two_normals", {"values": _TIMES},
    _best_mixture, 1e-6, "both maximise one likelihood", "SciPy minimize (Nelder-Mead)",
    run=lambda: two_normals(_TIMES.tolist()),
))  # fmt: skip
