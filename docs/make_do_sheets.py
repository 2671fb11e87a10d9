"""Contact sheets of every act's screen at 360 by 740, for looking at them side by side.

``python docs/make_do_sheets.py`` serves a demo depot with a visit to each of two pumps and writes
docs/screens/do-*.png: all acts but the steps, which have pages of their own.
"""

from __future__ import annotations

import io
import os
import tempfile
import threading
import time
from collections.abc import Sequence
from pathlib import Path
from urllib.parse import quote

import uvicorn
from PIL import Image
from playwright.sync_api import Page, sync_playwright

from wetend.advice.strip.bag import tool_titles
from wetend.pump.make_safe import all_done
from wetend.pump.readings import CheckReadings, ToolBag, VisitStart
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import checks, strip, visits, zero
from wetend.workflows.acts.queue import acts_of
from wetend.workflows.demo.build import TECHNICIAN, build_demo
from wetend.workflows.desk import Desk

SCREENS = Path(__file__).parent / "screens"
PORT = int(os.environ.get("PORT", "8792"))
BASE = f"http://127.0.0.1:{PORT}"
PHONE = {"width": 360, "height": 740}
ACROSS, GAP, SMALLER = 10, 8, 0.5
PUMPS = {"air": "north-quay", "hydraulic": "blast-hall"}


def _visit(desk: Desk, pump: str) -> str:
    """A visit with readings, tools and zero proven, so that every act shows its entry."""
    visit = visits.start(desk, VisitStart(pump=pump))
    visits.choose_coating(desk, visit, desk.coatings()[0])
    checks.save(desk, visit, CheckReadings(up_times=(1.29, 1.24), down_times=(0.8, 0.82)))
    strip.save_bag(desk, visit, ToolBag(tools=tuple(tool_titles()), vice=True))
    zero.save_list(desk, visit, all_done(desk.visit(visit).pump.drive.kind))
    return visit


def sheet(shots: Sequence[bytes]) -> Image.Image:
    """Screenshots in rows, made smaller."""
    shown = [Image.open(io.BytesIO(shot)).convert("RGB") for shot in shots]
    wide, high = (round(side * SMALLER) for side in shown[0].size)
    rows = -(-len(shown) // ACROSS)
    made = Image.new("RGB", (ACROSS * (wide + GAP), rows * (high + GAP)), "#777")
    for number, image in enumerate(shown):
        row, column = divmod(number, ACROSS)
        small = image.resize((wide, high), Image.Resampling.LANCZOS)
        made.paste(small, (column * (wide + GAP), row * (high + GAP)))
    return made.quantize(64)


def _shots(page: Page, desk: Desk, visit: str) -> list[bytes]:
    found = []
    for act in acts_of(desk, visit).acts:
        if not act.path:
            page.goto(f"{BASE}/visits/{visit}/do/{act.name}")
            found.append(page.screenshot())
    return found


def main() -> None:
    """A sheet for each of the pumps."""
    with (
        tempfile.TemporaryDirectory() as folder,
        Depot.open(Path(folder) / "depot.sqlite3") as depot,
    ):
        build_demo(depot)
        desk = Desk(depot, who=TECHNICIAN)
        server = uvicorn.Server(uvicorn.Config(create_app(depot), port=PORT, log_level="warning"))
        threading.Thread(target=server.run, daemon=True).start()
        while not server.started:
            time.sleep(0.05)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path="/usr/bin/chromium",
                args=["--no-sandbox", "--disable-background-networking"],
            )
            context = browser.new_context(viewport=PHONE)
            who = {"name": "wetend-who", "value": quote(TECHNICIAN), "url": BASE}
            context.add_cookies([who])
            page = context.new_page()
            for kind, pump in PUMPS.items():
                made = sheet(_shots(page, desk, _visit(desk, pump)))
                made.save(SCREENS / f"do-{kind}.png", optimize=True)
            browser.close()
        server.should_exit = True


if __name__ == "__main__":
    main()
