"""Contact sheets of where to measure and what parts look like, of both demo pumps, in Chromium.

``python docs/make_measuring_sheets.py`` writes docs/screens/measuring-*.png and looks-*.png, each picture as wide as on a phone.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from html import escape
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from wetend.advice.inspect.looks.table import looks_of
from wetend.advice.rebuild.soft_rings import ring_looks
from wetend.drawings.acts.at_bench import AT_BENCH
from wetend.drawings.acts.picture import pictures_of
from wetend.drawings.ink import INK_CSS
from wetend.drawings.looks.draw import PARTS, picture
from wetend.drawings.looks.rings import ring_picture
from wetend.drawings.measuring import running
from wetend.drawings.measuring.benches import BENCHES, measuring
from wetend.pump.description import Pump
from wetend.pump.toml import DEMO_PUMPS, demo_pump

SCREENS = Path(__file__).parent / "screens"
_COLOURS = 32
Cells = list[tuple[str, str]]


def _style(across: int, wide: int) -> str:
    return f"""{INK_CSS}
body{{margin:0;background:#fdfcf8;font:12px sans-serif;display:grid;align-items:start;
grid-template-columns:repeat({across},{wide + 10}px)}}
figure{{margin:0;padding:4px;border:1px solid #ccc}} figcaption{{font-weight:700;min-height:1.4em}}
"""


def _drawn(pump: Pump) -> Iterator[tuple[str, int, int, Cells]]:
    """Each sheet's name, how many across, how wide each, and its pictures with what is over them."""
    acts = pictures_of(pump)
    parts = [(part, measuring(pump, part)) for part in BENCHES]
    bench = [(key, acts.between(key, key, alone=True)) for key in AT_BENCH]
    yield "measuring", 6, 328, parts + bench
    checks = [(f"check {key}", running.check(pump, key)) for key in running.CHECKED]
    proofs = [(f"prove {key}", running.proof(pump, key)) for key in running.PROVED]
    yield "checks", 8, 328, checks + proofs
    looks = [
        (f"{part}: {look.title}, {look.verdict}", picture(pump, part, look))
        for part in PARTS
        for look in looks_of(pump, None, part)
    ]
    rings = [(f"{x.ring}: {x.title}, {x.verdict}", ring_picture(x)) for x in ring_looks(pump, 2e-5)]
    yield "looks", 8, 150, looks + rings


def _shoot(page: Page, name: str, across: int, wide: int, cells: Cells) -> None:
    inside = "".join(
        f"<figure><figcaption>{escape(title)}</figcaption>{svg}</figure>" for title, svg in cells
    )
    page.set_viewport_size({"width": (wide + 10) * across, "height": 400})
    page.set_content(f"<style>{_style(across, wide)}</style>{inside}")
    shot = Image.open(io.BytesIO(page.screenshot(full_page=True)))
    few = shot.convert("RGB").quantize(_COLOURS, dither=Image.Dither.NONE)
    few.save(SCREENS / f"{name}.png", optimize=True)


def main() -> None:
    """Write all sheets."""
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--no-sandbox", "--disable-background-networking"],
        )
        page = browser.new_page()
        for key in DEMO_PUMPS:
            for name, across, wide, cells in _drawn(demo_pump(key)):
                _shoot(page, f"{name}-{key}", across, wide, cells)
        browser.close()


if __name__ == "__main__":
    main()
