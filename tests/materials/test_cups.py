"""The table of flow cups."""

from __future__ import annotations

import typing

import pytest

from wetend.errors import UnknownName
from wetend.materials.cups import CupName, cups, find_cup


def test_every_cup_that_can_be_chosen_is_in_the_table_and_no_other() -> None:
    assert set(typing.get_args(CupName)) == set(cups().rows)


def test_time_limits_of_astm_d1200() -> None:
    # ASTM D1200-94 (2005): 55 to 100 s for cup 1, 40 to 100 s for cup 2, 20 to 100 s for 3 to 5
    limits = {k: (find_cup(k).shortest, find_cup(k).longest) for k in cups().rows if "ford" in k}
    assert limits == {
        "ford-1": (55.0, 100.0), "ford-2": (40.0, 100.0), "ford-3": (20.0, 100.0),
        "ford-4": (20.0, 100.0), "ford-5": (20.0, 100.0),
    }  # fmt: skip


def test_zahn_cups_carry_their_reproducibility() -> None:
    # ASTM D4212 as quoted at dgaequipment.com: 33 % of the mean
    assert {c.reproducibility for c in cups() if c.key.startswith("zahn")} == {0.33}


def test_an_unknown_cup_is_refused() -> None:
    with pytest.raises(UnknownName, match="iso-6mm"):
        find_cup("iso-7mm")
