"""A quantity that a sentence states stands, the other system's behind it."""

from __future__ import annotations

import pytest

from wetend.errors import UnknownName
from wetend.telling.reader import Reader
from wetend.units.message import Message
from wetend.units.stated import stated


@pytest.mark.parametrize(
    ("said", "beside"),
    [
        ("180 bar", "2611 psi"), ("150–180 bar", "2176–2611 psi"),  # 14.5038 psi to the bar
        ("10 mm", "0.39 in"), ("100 mm", "3.94 in"),  # 25.4 mm to the inch
    ],
)  # fmt: skip
def test_a_stated_quantity_brings_the_other_unit_in_brackets(said: str, beside: str) -> None:
    told = Message("Set {p}.", p=stated(said))
    assert str(told) == f"Set {said}."
    assert Reader("imperial").tell(told) == f"Set {said} ({beside})."


def test_a_sign_of_no_unit_is_refused() -> None:
    with pytest.raises(UnknownName):
        stated("3 hogsheads").render(Reader("imperial"))
