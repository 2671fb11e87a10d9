"""Wall sheet and pocket card hold this pump's own numbers, on one page, in black on white."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime

import pypdf
import pytest

from wetend.advice.rebuild.fit import StackFit, fit_stack
from wetend.drawings.ink import BLACK_CSS
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.reports.placard import (
    Placard,
    placard_pdf,
    pocket_placard,
    wall_placard,
)
from wetend.telling.reader import METRIC, Reader

MADE = datetime(2031, 5, 4, tzinfo=UTC)
MM = 72 / 25.4


def _fit(pump: Pump) -> StackFit:
    return fit_stack(pump, StackMeasured(tin=(1e-3, 0.5e-3, 0.25e-3, 0.1e-3)), draws=2000)


def _page(pdf: bytes) -> tuple[pypdf.PageObject, str]:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    assert len(pages) == 1
    return pages[0], " ".join(pages[0].extract_text().split())


def _rows(made: Placard) -> dict[str, dict[str, str]]:
    return {group.title: dict(group.rows) for group in made.groups}


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_wall_sheet_is_one_a3_page_with_every_part_clearance_and_torque(key: str) -> None:
    pump = demo_pump(key)
    page, text = _page(placard_pdf(wall_placard(pump, _fit(pump), made=MADE)))
    assert [round(float(n) / MM) for n in page.mediabox[2:]] == [297, 420]
    for title, rows in _rows(wall_placard(pump, _fit(pump), made=MADE)).items():
        assert title.upper() in text
        for what, value in rows.items():
            assert value in text, what
    bore = f"{1e3 * pump.cylinder.bore:g} mm"
    wear = f"at most {1e6 * pump.cylinder.wear_limit:g} µm"
    assert _rows(wall_placard(pump, _fit(pump), made=MADE))["Cylinder and rod"] | {
        "bore": bore, "bore, wear": wear
    } == _rows(wall_placard(pump, _fit(pump), made=MADE))["Cylinder and rod"]  # fmt: skip
    assert "Danger".upper() in text
    assert not page.images  # drawn in lines, to be read at any size


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_torques_are_named_as_the_joint_is_put_together(key: str) -> None:
    pump = demo_pump(key)
    fit = _fit(pump)
    torques = _rows(wall_placard(pump, fit, made=MADE))["Torques"]
    described = [o for o in pump.strip.operations if o.back_torque]
    assert len(torques) >= len(described)
    assert not {o.title for o in described if o.back_title} & set(torques)
    assert any(f"{fit.torque:.3g} N·m" == value for value in torques.values())


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_pocket_card_is_one_a6_page_with_the_stack_in_order(key: str) -> None:
    pump = demo_pump(key)
    fit = _fit(pump)
    page, text = _page(placard_pdf(pocket_placard(pump, fit, made=MADE)))
    assert [round(float(n) / MM) for n in page.mediabox[2:]] == [105, 148]
    order = list(_rows(pocket_placard(pump, fit, made=MADE))["From below"])
    assert order == [f"{n} {layer.title}" for n, layer in enumerate(fit.layers, 1)]
    assert "measure yours" in text
    assert not page.images


def test_sizes_are_in_the_readers_units() -> None:
    pump = demo_pump("quay-air")
    _, text = _page(placard_pdf(wall_placard(pump, _fit(pump), made=MADE), Reader("imperial")))
    assert " in" in text
    assert not re.search(r"\d mm|\d bar", text)


def test_in_black_no_colour_is_left() -> None:
    colours = set(re.findall(r"#[0-9a-f]{6}", BLACK_CSS))
    assert colours == {"#000000", "#ffffff"}
    pump = demo_pump("quay-air")
    for made in (wall_placard, pocket_placard):
        svg = made(pump, _fit(pump), made=MADE).picture.svg
        assert callable(svg)
        assert set(re.findall(r"#[0-9a-f]{6}", svg(METRIC))) <= {"#000000", "#ffffff"}
