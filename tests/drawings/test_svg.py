from __future__ import annotations

import math
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.drawings import svg


@given(st.text())
def test_any_text_comes_back_as_text_and_never_as_markup(text: str) -> None:
    drawn = svg.sheet("t", "d", svg.words(text, 1, 2), height=10)
    root = ElementTree.fromstring(drawn)
    assert [e.tag.split("}")[1] for e in root] == ["title", "desc", "text"]
    kept = "".join(c for c in text if c == "\t" or c >= " ")
    said = "".join(root[2].itertext())
    for character in kept.replace("\r", ""):
        if character.isprintable():
            assert character in said


@given(st.text(), st.text())
def test_attributes_and_names_cannot_be_broken_out_of(title: str, value: str) -> None:
    root = ElementTree.fromstring(svg.sheet(title, value, svg.tag("g", "", x=value), height=5))
    assert len(root) == 3
    assert set(root[2].attrib) == {"x"}


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9))
def test_a_coordinate_is_kept_to_a_hundredth_without_idle_noughts(value: float) -> None:
    text = svg.num(value)
    assert float(text) == pytest.approx(value, abs=0.00501)
    assert text != "-0"
    assert "e" not in text
    assert not (("." in text) and text.endswith("0"))


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_no_drawing_holds_a_number_that_is_none(value: float) -> None:
    with pytest.raises(ValueError, match="ordinary number"):
        svg.num(value)


@given(st.text(min_size=1, max_size=80), st.floats(20, 300))
def test_shortened_text_fits_its_room(text: str, room: float) -> None:
    cut = svg.shortened(text, 12, room)
    assert len(cut) == 1 or svg.text_width(cut, 12) <= room + 1e-6


@given(st.text(alphabet="ab -", max_size=60), st.floats(40, 300), st.integers(1, 4))
def test_wrapped_lines_fit_and_are_never_more_than_asked(text: str, room: float, most: int) -> None:
    lines = svg.wrapped(text, 12, room, most=most)
    assert 1 <= len(lines) <= most
    assert all(svg.text_width(each, 12) <= room + 1e-6 for each in lines)


def test_a_box_is_never_of_negative_size() -> None:
    assert 'width="0"' in svg.box("x", 0, 0, -4, 2)
