"""A pump drawn by one call: whole, taken apart, at any step; and by the command."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from wetend.drawings.acts.draw import draw, steps_drawn
from wetend.errors import UnknownName
from wetend.pump.toml import DEMO_PUMPS, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}


@pytest.mark.parametrize("key", PUMPS)
def test_everything_that_can_be_asked_for_is_an_svg_of_its_own(key: str) -> None:
    pump = PUMPS[key]
    for step in ("", *steps_drawn(pump)):
        for back in (False, True):
            svg = draw(pump, step, back=back)
            root = ElementTree.fromstring(svg)
            assert root.tag == "{http://www.w3.org/2000/svg}svg"
            assert "href" not in svg
            assert "var(" not in svg
            assert step in ("", "parts") or len(svg) < 30_000  # 20 kB, and its style


def test_what_has_to_come_before_a_step_is_off_and_nothing_else() -> None:
    svg = draw(PUMPS["quay-air"], "seat-out")
    assert 'data-part="foot-housing"' in svg
    assert 'data-part="cylinder"' not in svg
    assert 'data-part="cage"' not in svg
    assert 'data-part="cage"' in draw(PUMPS["quay-air"], "seat-out", done=())


def test_the_tools_may_be_others() -> None:
    one = draw(PUMPS["quay-air"], "cylinder-crack", used=("strap-wrench",))
    assert 'data-tool="strap-wrench"' in one
    assert one != draw(PUMPS["quay-air"], "cylinder-crack", used=("chain-wrench",))


def test_an_unknown_step_is_told_with_what_there_is() -> None:
    with pytest.raises(UnknownName, match="foot-crack"):
        draw(PUMPS["quay-air"], "foot-crak")
