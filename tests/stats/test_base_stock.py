"""The base stock by cost: against all states enumerated, and against a simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wetend.errors import BadInput
from wetend.stats.base_stock import base_stock_cost, best_base_stock, erlang_loss

DAY = 86400.0


@pytest.mark.parametrize("demand", [0.05, 0.7, 3.0, 12.5])
@pytest.mark.parametrize("stock", [0, 1, 2, 5, 9])
def test_the_share_lost_is_that_of_the_balance_of_all_states(demand: float, stock: int) -> None:
    """Lead times exponential: the birth and death chain of what is on order, as equations."""
    rates = np.zeros((stock + 1, stock + 1))
    for n in range(stock):
        rates[n, n + 1], rates[n + 1, n] = demand, n + 1.0
    rates -= np.diag(rates.sum(axis=1))
    system = np.vstack((rates.T, np.ones(stock + 1)))
    right = np.zeros(stock + 2)
    right[-1] = 1.0
    shares = np.linalg.lstsq(system, right, rcond=None)[0]
    assert erlang_loss(stock, demand) == pytest.approx(shares[-1], rel=1e-9)


def test_erlangs_table() -> None:
    # 10 erlangs offered to 15 lines: 3.65 % lost, of any table of Erlang B (from memory)
    assert erlang_loss(15, 10.0) == pytest.approx(0.0365, abs=5e-5)


@pytest.mark.parametrize("seed", range(20))
def test_no_stock_costs_less_than_the_best(seed: int) -> None:
    rng = np.random.default_rng(seed)
    demand, price = rng.uniform(0.01, 30), rng.uniform(5, 800)
    lead, holding = rng.uniform(2, 120) * DAY, price * 0.25 / (365.25 * DAY)
    shortage = rng.uniform(1, 3000)
    best = best_base_stock(demand, lead=lead, holding=holding, shortage=shortage)
    costs = [base_stock_cost(s, demand, lead=lead, holding=holding, shortage=shortage).cost
             for s in range(150)]  # fmt: skip
    assert best.stock == int(np.argmin(costs))
    assert best.cost == pytest.approx(min(costs))


def test_a_simulation_of_a_large_one_agrees_within_one_percent() -> None:
    """Lead time always the same: the formula holds for any law of it."""
    demand, lead, holding, shortage, stock = 20.0, 21 * DAY, 1e-5, 900.0, 26
    rng = np.random.default_rng(3)
    times = np.cumsum(rng.exponential(lead / demand, 2_500_000))
    due = np.full(stock, -math.inf)  # when each piece on order comes; sorted by use, as lead is one
    head, lost = 0, 0
    for now in times:
        if due[head] <= now:
            due[head] = now + lead
            head = (head + 1) % stock
        else:
            lost += 1
    served = 1.0 - lost / len(times)
    held_for = stock - demand * served
    cost = holding * held_for + shortage * demand / lead * (1.0 - served)
    exact = base_stock_cost(stock, demand, lead=lead, holding=holding, shortage=shortage)
    assert exact.served == pytest.approx(served, rel=0.01)
    assert exact.cost == pytest.approx(cost, rel=0.01)


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(BadInput):
        best_base_stock(1.0, lead=0.0, holding=1.0, shortage=1.0)
