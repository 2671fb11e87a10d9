"""Take the screenshots of the documentation from the demo depot, in Chromium.

``python docs/make_screens.py`` builds a demo depot in a temporary folder, serves it, and writes
docs/screens/*.png.
"""

from __future__ import annotations

import os
import re
import tempfile
import threading
import time
from pathlib import Path

import httpx
import uvicorn
from playwright.sync_api import Browser, Page, sync_playwright

from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows.demo.build import build_demo

SCREENS = Path(__file__).parent / "screens"
PORT = int(os.environ.get("PORT", "8791"))
BASE = f"http://127.0.0.1:{PORT}"
PHONE, DESK = (360, 740), (1280, 860)


def _serve(depot: Depot) -> uvicorn.Server:
    server = uvicorn.Server(uvicorn.Config(create_app(depot), port=PORT, log_level="warning"))
    threading.Thread(target=server.run, daemon=True).start()
    while not server.started:
        time.sleep(0.05)
    return server


def _at(browser: Browser, size: tuple[int, int], path: str) -> Page:
    page = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        device_scale_factor=2 if size == PHONE else 1,
    ).new_page()
    page.goto(BASE + path)
    return page


def take(browser: Browser, visit: str, signed: str) -> None:
    """Each screenshot of the documentation."""
    page = _at(browser, PHONE, f"/visits/{visit}/checks#answer")
    page.wait_for_timeout(1200)
    page.screenshot(path=SCREENS / "checks-phone.png")
    for name, size, path in (
        ("pump-desk", DESK, "/pumps/north-quay"),
        ("checks-desk", DESK, f"/visits/{visit}/checks"),
        ("strip-desk", DESK, f"/visits/{signed}/strip"),
        ("rebuild-desk", DESK, f"/visits/{signed}/rebuild"),
    ):
        _at(browser, size, path).screenshot(path=SCREENS / f"{name}.png")


def main() -> None:
    SCREENS.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        Depot.open(Path(folder) / "demo.sqlite3") as depot,
    ):
        build_demo(depot)
        server = _serve(depot)
        pump = httpx.get(f"{BASE}/pumps/north-quay", trust_env=False).text
        visits = list(dict.fromkeys(re.findall(r"/visits/([0-9a-f]{32})", pump)))
        with sync_playwright() as play:
            browser = play.chromium.launch(
                executable_path="/usr/bin/chromium",
                args=["--no-sandbox", "--disable-background-networking"],
            )
            take(browser, visits[0], visits[-1])
            browser.close()
        server.should_exit = True


if __name__ == "__main__":
    main()
