"""How tall and how heavy each page of the demo depot is, on a phone and on a laptop.

Run as ``python benchmarks/page_heights.py [--only WORD]``; it builds a demo depot of its own, opens
every page in Chromium without a connection to anybody, and writes ``docs/page-heights.md``. Nothing
is asserted here: what is too tall is said in the table.
"""

from __future__ import annotations

import argparse
import re
import socket
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path

import uvicorn
from playwright.sync_api import Browser, sync_playwright

from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.web.stage_nav import STAGE_WORDS
from wetend.workflows.demo.build import build_demo

PAGE = Path(__file__).parents[1] / "docs" / "page-heights.md"
SIZES = ((360, 740, 4.0), (1366, 768, 2.5))
"""Width, height and how many screens a page may take."""
HEAD = """# Heights of pages

Every kind of page of the demo depot, as it opens, in Chromium: its height in pixels and in screens
of 360 x 740 and 1366 x 768 CSS pixels, and the bytes of its HTML before they are packed. At most
four screens on a phone and two and a half on a laptop are aimed at; what is taller is **set bold**.
Written by `python benchmarks/page_heights.py`.

"""


@dataclass(frozen=True)
class Measured:
    """One page at one width."""

    height: int
    screens: float
    over: bool
    wide: int
    """How much wider than the window it is."""


Found = dict[str, tuple[int, list[Measured]]]
"""By address: bytes, and the page at each width."""


def _serve(depot: Depot) -> tuple[uvicorn.Server, str]:
    held = socket.socket()
    held.bind(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(create_app(depot), log_level="critical"))
    threading.Thread(target=server.run, args=([held],), daemon=True).start()
    while not server.started:
        time.sleep(0.05)
    return server, f"http://127.0.0.1:{held.getsockname()[1]}"


def _paths(base: str, browser: Browser) -> list[str]:
    """Every kind of page, of an open and of a closed visit."""
    page = browser.new_page()
    page.goto(f"{base}/")
    opened = re.findall(r"/visits/([0-9a-f]{32})", page.content())[0]
    page.goto(f"{base}/pumps/north-quay")
    closed = re.findall(r"/visits/([0-9a-f]{32})/handover", page.content())[0]
    page.close()
    stages = [f"/visits/{v}/{s}" for v in (opened, closed) for s in STAGE_WORDS]
    return [
        "/", "/pumps/new", "/pumps/new?like=north-quay", "/pumps/new/full", "/pumps/north-quay",
        "/pumps/north-quay/edit", "/pumps/north-quay/visits", "/pumps/north-quay/life",
        "/pumps/north-quay/parts", "/pumps/north-quay/record", *stages,
        f"/visits/{opened}/do", f"/visits/{opened}/do/list",
        f"/visits/{opened}/coating", f"/visits/{opened}/site", f"/visits/{opened}/box",
        f"/visits/{closed}/record", f"/visits/{closed}/strip/steps",
        f"/visits/{closed}/rebuild/steps", "/calculators", "/calculators/gap-leak",
        "/calculators/line-loss?from-pump=north-quay", "/stores", "/stores/items", "/fleet",
        "/fleet/months", "/import", "/incidents", "/injection", "/practice",
        "/simulate?pump=north-quay", "/memory", "/preferences", "/gallery",
    ]  # fmt: skip


def _measure(
    browser: Browser, base: str, paths: list[str]
) -> dict[str, tuple[int, list[Measured]]]:
    found: dict[str, tuple[int, list[Measured]]] = {}
    for wide, tall, most in SIZES:
        context = browser.new_context(viewport={"width": wide, "height": tall})
        page = context.new_page()
        page.set_default_timeout(180_000)
        for path in paths:
            answer = page.goto(base + path)
            weight = len(answer.body()) if answer else 0
            height = int(page.evaluate("document.documentElement.scrollHeight"))
            across = int(page.evaluate("document.documentElement.scrollWidth"))
            screens = height / tall
            one = Measured(height, screens, screens > most, max(across - wide, 0))
            found.setdefault(path, (weight, []))[1].append(one)
            print(f"{path[:70]:72}{wide:6}{height:8}{screens:7.1f}", flush=True)
        context.close()
    return found


def _named(path: str, seen: list[str]) -> str:
    """A page's address with its visit called open or closed."""
    ids = list(dict.fromkeys(re.findall(r"[0-9a-f]{32}", " ".join(seen))))
    for word, each in zip(("OPEN", "CLOSED"), ids, strict=False):
        path = path.replace(each, word)
    return path


def table(found: Found) -> str:
    """The page of heights: a line a page, the tallest on a phone first."""
    lines = [
        "| page | 360 px | screens | 1366 px | screens | bytes |", "|---|---|---|---|---|---|",
    ]  # fmt: skip
    seen = list(found)
    for path, (weight, sizes) in sorted(found.items(), key=lambda e: -e[1][1][0].height):
        cells = []
        for one in sizes:
            shown = f"{one.screens:.1f}"
            cells += [f"{one.height:,}", f"**{shown}**" if one.over else shown]
        lines.append(f"| `{_named(path, seen)}` | {' | '.join(cells)} | {weight:,} |")
    over = [sum(sizes[n].over for _, sizes in found.values()) for n in range(len(SIZES))]
    lines.append("")
    lines.append(
        f"{len(found)} pages; taller than aimed at: {over[0]} on a phone, {over[1]} on a laptop."
    )
    return HEAD + "\n".join(lines) + "\n"


def main() -> None:
    """Build the depot, open every page, write the table."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--only", default="", help="pages whose address has this in it; no file")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder, Depot.open(Path(folder) / "d.sqlite3") as depot:
        build_demo(depot)
        server, base = _serve(depot)
        with sync_playwright() as play:
            browser = play.chromium.launch(
                executable_path="/usr/bin/chromium",
                args=["--no-sandbox", "--disable-background-networking"],
            )
            paths = [p for p in _paths(base, browser) if given.only in p]
            found = _measure(browser, base, paths)
            browser.close()
        server.should_exit = True
    if not given.only:
        PAGE.write_text(table(found), encoding="utf-8")


if __name__ == "__main__":
    main()
