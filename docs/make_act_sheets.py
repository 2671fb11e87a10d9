"""Contact sheets of every step drawn: strip and rebuild of both demo pumps, in Chromium.

``python docs/make_act_sheets.py`` writes docs/screens/acts-*.png, each picture as wide as on a phone.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from html import escape
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from wetend.advice.rebuild.plan import plan_rebuild
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.drawings.acts.picture import pictures_of
from wetend.drawings.ink import INK_CSS
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_pump

SCREENS = Path(__file__).parent / "screens"
_ACROSS, _COLOURS = 5, 32
_STYLE = f"""{INK_CSS}
body{{margin:0;background:#fdfcf8;font:12px sans-serif;display:grid;
grid-template-columns:repeat({_ACROSS},348px)}}
figure{{margin:0;padding:4px;border:1px solid #ccc}} figcaption{{font-weight:700;min-height:2.6em}}
"""


def _drawn(pump: Pump) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Each sheet's name, and its pictures with what stands over them."""
    bag = ToolBag(tools=tuple(tool_titles(pump)), vice=True)
    strip = plan_strip(pump, bag).steps
    back = plan_rebuild(pump, bag, done=[s.operation.key for s in strip]).steps
    pictures = pictures_of(pump)
    off = pictures.strip_steps((s.operation, s.used) for s in strip)
    on = pictures.rebuild_steps([(s.key, s.title, s.used) for s in back])
    yield "strip", [(f"{s.number} {s.operation.title}", svg)
                    for s, svg in zip(strip, off, strict=True)]  # fmt: skip
    yield "rebuild", [(f"{s.number} {s.title}", svg) for s, svg in zip(back, on, strict=True)]


def main() -> None:
    """Write all sheets."""
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--no-sandbox", "--disable-background-networking"],
        )
        page = browser.new_page(viewport={"width": 358 * _ACROSS, "height": 800})
        for key in DEMO_PUMPS:
            pump = demo_pump(key)
            for name, steps in _drawn(pump):
                cells = "".join(
                    f"<figure><figcaption>{escape(title)}</figcaption>{svg}</figure>"
                    for title, svg in steps
                )
                page.set_content(f"<style>{_STYLE}</style>{pictures_of(pump).stock}{cells}")
                shot = Image.open(io.BytesIO(page.screenshot(full_page=True)))
                few = shot.convert("RGB").quantize(_COLOURS, dither=Image.Dither.NONE)
                few.save(SCREENS / f"acts-{key}-{name}.png", optimize=True)
        browser.close()


if __name__ == "__main__":
    main()
