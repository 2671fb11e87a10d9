"""What to buy: exact against all ways to buy, and a kit never dearer than what it replaces."""

from __future__ import annotations

import itertools

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.stores.ordering import NO_NUMBER, NO_PRICE, Offer, OrderLine, buy, order_rows
from wetend.errors import NoAnswer

PRICES = st.integers(0, 40).map(float)


def cost(packs: tuple[int, ...], wares: list[Offer]) -> float:
    return sum(n * ware.price for n, ware in zip(packs, wares, strict=True))


def enough(packs: tuple[int, ...], wares: list[Offer], wanted: list[int]) -> bool:
    return all(
        sum(n * ware.gives.get(place, 0) for n, ware in zip(packs, wares, strict=True)) >= count
        for place, count in enumerate(wanted)
    )


@st.composite
def shops(draw) -> tuple[list[int], list[Offer]]:
    """Two or three parts wanted, each to be had singly, and a kit or two of several."""
    count = draw(st.integers(2, 3))
    wanted = [draw(st.integers(0, 3)) for _ in range(count)]
    wares = [Offer(draw(PRICES), {place: draw(st.integers(1, 2))}) for place in range(count)]
    for _ in range(draw(st.integers(1, 2))):
        held = draw(st.sets(st.integers(0, count - 1), min_size=2))
        wares.append(Offer(draw(PRICES), dict.fromkeys(sorted(held), draw(st.integers(1, 2)))))
    return wanted, wares


@costly(15)
@given(shops())
def test_nothing_cheaper_would_do(shop: tuple[list[int], list[Offer]]) -> None:
    """Second route: every way to buy up to three packs of each."""
    wanted, wares = shop
    packs = buy(wanted, wares)
    assert enough(packs, wares, wanted)
    every = itertools.product(range(4), repeat=len(wares))
    least = min(cost(way, wares) for way in every if enough(way, wares, wanted))
    assert cost(packs, wares) == pytest.approx(least, abs=1e-9)


@costly(15)
@given(shops())
def test_a_kit_is_chosen_only_where_it_is_no_dearer_than_the_singles_it_replaces(
    shop: tuple[list[int], list[Offer]],
) -> None:
    wanted, wares = shop
    count = len(wanted)
    with_kits, alone = buy(wanted, wares), buy(wanted, wares[:count])
    assert cost(with_kits, wares) <= cost(alone, wares[:count]) + 1e-9
    for place, packs in enumerate(with_kits[count:], start=count):
        if packs:
            without = [ware for k, ware in enumerate(wares) if k != place]
            assert cost(with_kits, wares) <= cost(buy(wanted, without), without) + 1e-9


def test_of_equals_the_fewest_packs_are_taken() -> None:
    singles = [Offer(90.0, {0: 1}), Offer(60.0, {1: 1})]
    assert buy([1, 1], [*singles, Offer(150.0, {0: 1, 1: 1})]) == (0, 0, 1)
    assert buy([1, 1], [*singles, Offer(150.01, {0: 1, 1: 1})]) == (1, 1, 0)


def test_packs_are_bought_whole() -> None:
    assert buy([5], [Offer(10.0, {0: 2}), Offer(7.0, {0: 1})]) == (2, 1)
    assert buy([0, 0], [Offer(10.0, {0: 2})]) == (0,)


def test_what_nothing_gives_can_not_be_bought() -> None:
    with pytest.raises(NoAnswer):
        buy([1, 1], [Offer(1.0, {0: 1})])


def test_the_rows_say_what_is_bought_and_nothing_else() -> None:
    line = OrderLine("HS-22", "Ball", "Harbour", 3, 2, 64.0, ("ball, 22 mm",))
    asked = OrderLine("", "rod, 35 mm", "", 1, 1, None, ("rod, 35 mm",))
    head, first, second = order_rows([line, asked])
    assert head[:2] == ["number", "name"]
    assert first == ["HS-22", "Ball", "Harbour", "3", "2", "64.00", "192.00", "ball, 22 mm"]
    assert second[0] == NO_NUMBER
    assert second[5:7] == [NO_PRICE, ""]
