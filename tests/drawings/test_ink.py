from __future__ import annotations

import re

import pytest

from wetend.advice.reasons import Verdict
from wetend.drawings import verdict
from wetend.drawings.ink import COLOURS, INK_CSS, PAPER_CSS, standalone
from wetend.drawings.svg import sheet, words


def _luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, "relative luminance" in the glossary."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2, "contrast ratio" in the glossary."""
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_21_for_black_on_white() -> None:
    """The greatest ratio there is, WCAG 2.2."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("tone", ["good", "turn", "dress", "bad", "ask", "accent", "faint", "ink"])
@pytest.mark.parametrize("ground", ["paper", "metal", "steel", "wash"])
def test_every_inked_tone_reads_as_text_on_every_ground(tone: str, ground: str) -> None:
    """WCAG 2.2, success criterion 1.4.3: 4.5 to 1; shapes need 3 to 1 (1.4.11)."""
    assert contrast(COLOURS[tone], COLOURS[ground]) >= 4.5


@pytest.mark.parametrize("tone", ["good", "turn", "dress", "bad", "ask"])
def test_ink_reads_on_the_pale_tone_of_a_marked_part(tone: str) -> None:
    assert contrast(COLOURS["ink"], COLOURS[f"{tone}-pale"]) >= 7
    assert contrast(COLOURS[tone], COLOURS[f"{tone}-pale"]) >= 4.5


def test_page_ink_can_be_overridden_and_every_property_has_a_fallback() -> None:
    used = re.findall(r"var\(--dw-[a-z-]+(,?)", INK_CSS)
    assert used
    assert all(comma for comma in used)
    assert "TONE" not in INK_CSS
    assert "ROUND" not in INK_CSS


def test_paper_ink_holds_plain_colours_only() -> None:
    assert "var(" not in PAPER_CSS
    assert "--dw" not in PAPER_CSS


def test_a_drawing_alone_carries_a_rule_for_every_class_it_uses() -> None:
    drawing = sheet("t", "d", words("hello", 1, 1), *(verdict.at(v, 9, 9) for v in Verdict),
                    height=20)  # fmt: skip
    alone = standalone(drawing)
    assert alone.count("<style>") == 1
    for name in {c for held in re.findall(r'class="([^"]+)"', drawing) for c in held.split()}:
        if name not in {"dw", "dw-text"}:
            assert f".{name}" in alone, name


def test_only_a_drawing_can_stand_alone() -> None:
    with pytest.raises(ValueError, match="whole drawing"):
        standalone("<p>no</p>")


def _width(cls: str) -> float:
    found = re.search(rf"\.{cls}{{[^}}]*stroke-width:([0-9.]+)", INK_CSS)
    assert found
    return float(found[1])


def test_outlines_are_twice_as_wide_as_thin_lines() -> None:
    """Line groups of DIN EN ISO 128-20: thin is half of thick (0.25 of 0.5 mm), as the table of an
    open drawing program repeats them (FreeCAD, TechDraw, LineGroup.csv); of extra-wide, a quarter.
    """
    for thick in ("dw-outline", "dw-edge"):
        for thin in ("dw-thin", "dw-edge-thin", "dw-leader"):
            assert _width(thick) == 2 * _width(thin)
    assert _width("dw-risk") == 2 * _width("dw-edge")
