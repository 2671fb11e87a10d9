"""Counts what a visit one act a screen asks of a hand: screens, taps, entries, scrolls.

``python benchmarks/visit_taps.py [--goal whole] [--write]`` plays one fault, a foot valve that
leaks, in Chromium at 360 x 740 on the demo depot, from complaint to signed report: every act as the
queue brings it, tools from the technician's bag, sizes as proposed. ``--write`` puts the table into
docs/visit-taps.md.
"""

from __future__ import annotations

import argparse
import tempfile
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import quote

import uvicorn
from playwright.sync_api import Page, sync_playwright

from wetend.advice.diagnosis.answers import Prediction
from wetend.advice.diagnosis.diagnose import predict
from wetend.advice.faults.tables import FAULTS
from wetend.pump.readings import VisitStart
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import visits
from wetend.workflows.demo.build import TECHNICIAN, build_demo
from wetend.workflows.desk import Desk

PORT = 8923
PHONE = {"width": 360, "height": 740}
LEAK = 6e-6
"""Of the foot valve at stall, m^3/s: plain, not gross."""
_MOST = 160
PAGE = Path(__file__).parent.parent / "docs" / "visit-taps.md"
CHOSEN: Mapping[str, str] = {
    "nozzle-turn": "no change", "wet-cup": "clean", "outside": "dry", "air": "no",
    "suction-lifted": "runs back", "wash": "no change", "fresh-suction": "no change",
    "nozzle": "no change", "creep-place": "the same everywhere", "filter": "clean",
    "solvent": "weeps", "blockage": "ran free", "way": "gauge", "needle": "on its stop",
    "rod-held": "drive vented",
}  # fmt: skip
"""The answer to each act of one choice, by its key; any other is "yes" or "Done"."""


@dataclass
class Count:
    """What the hand did."""

    screens: int = 0
    taps: int = 0
    entries: int = 0
    scrolls: int = 0
    acts: list[str] = field(default_factory=list)
    scrolled: list[str] = field(default_factory=list)


def _typed(sick: Prediction) -> dict[str, str]:
    """What is typed into each field, metric."""
    return {
        "spray_pressure": f"{sick.spray_pressure / 1e5:.0f}",
        "stall_pressure": f"{sick.stall_pressure / 1e5:.0f}",
        "creep_up": "0", "creep_down": f"{sick.creep_down * 6e4:.0f}",
        "cycle_rate": f"{sick.cycle_rate * 60:.1f}", "drop": "4", "slow_drop": "4",
        "supply_pressure": "6", "bucket_time": "60",
        "diameters": "", "chip_depth": "150", "gap": "0", "scratch_depth": "0", "score_depth": "0",
        "solvent_lost": "0", "solvent_head": "50", "solvent_time": "15", "bonding": "2",
        "stall_creep_up": "1", "stall_creep_down": "1", "stall_time": "1", "hold_start": "200",
        "hold_end": "199", "hold_time": "2", "limit_setting": "6", "received_by": "crew lead",
        "reason": "limits to be set tomorrow", "up_time": "", "down_time": "",
    }  # fmt: skip


class Hand:
    """One hand at one phone: everything it does is counted."""

    def __init__(
        self, page: Page, sick: Prediction, sound: Prediction, goal: str, displacement: float
    ) -> None:
        self.page, self.sick, self.sound, self.goal = page, sick, sound, goal
        self.displacement = displacement
        self.count, self.typed = Count(), _typed(sick)

    def tap(self, what: str) -> None:
        """Tap the first such thing, scrolling to it where it lies outside the screen."""
        spot = self.page.locator(what).first
        box = spot.bounding_box()
        if box is None or box["y"] < 0 or box["y"] + box["height"] > PHONE["height"] + 1:
            self.count.scrolls += 1
            self.count.scrolled.append(f"{self.count.acts[-1]}: {what}")
        spot.click()
        self.count.taps += 1

    def enter(self, name: str, text: str) -> None:
        """Type into one field, where it does not hold something already."""
        box = self.page.locator(f'form.act [name="{name}"]:visible').first
        if box.count() and not box.input_value():
            box.fill(text)
            self.count.entries += 1

    def strokes(self) -> None:
        """Tap eight strokes on the pad, of the sick pump."""
        at = 1000.0
        for stroke in ([self.sick.up_time, self.sick.down_time] * 4) + [0.0]:
            self.page.locator("#tap-pad").evaluate(
                """(pad, at) => { const e = new PointerEvent('pointerdown',
                {button: 0, isPrimary: true, bubbles: true});
                Object.defineProperty(e, 'timeStamp', {value: at}); pad.dispatchEvent(e); }""",
                at,
            )
            self.count.taps += 1
            at += 1000.0 * stroke

    def steps(self) -> None:
        """Mark the steps of a strip or rebuild that are left, one screen each."""
        while self.page.locator(".screen:visible form[data-for=done]:visible").count():
            self.count.screens += 1
            if self.page.locator('.screen:visible a[href$="/do/prove/solvent"]').count() and (
                "prove/solvent" not in self.count.acts
            ):
                self.tap('.screen:visible a[href$="/do/prove/solvent"]')
                return
            self.tap(".screen:visible form[data-for=done] button")
        self.page.locator('#kept[data-how="kept"]').wait_for(state="attached")
        self.count.screens += 1
        self.tap(".screen:visible .alone")

    def act(self, name: str) -> None:
        """Do one act."""
        key = name.partition("/")[2]
        self.count.screens += 1
        answers = self.page.locator(".thumb .answers button")
        if name == "checks/strokes":
            self.strokes()
        elif name == "complaint/crew":
            self.tap('.option:has([value="down-stroke quick"])')
        elif name == "strip/bag":
            self.tap(f'.thumb .answers [value="{self.goal}"]')
            return
        elif answers.count():
            value = CHOSEN.get(key, "yes")
            self.tap(f'.thumb .answers [value="{value}"]')
            return
        for radio in ("concentric", "changeover", "thread", "lips", "chrome"):
            wanted = {"concentric": "yes", "changeover": "even", "thread": "sound",
                      "lips": "sharp", "chrome": "whole"}[radio]  # fmt: skip
            if self.page.locator(f'form.act .entries [name="{radio}"]').count():
                self.tap(f'.entries .option:has([name="{radio}"][value="{wanted}"])')
        for tick in ("crew_told", "tagged"):
            if self.page.locator(f'.entries [type=checkbox][name="{tick}"]').count():
                self.tap(f'.entries .option:has([name="{tick}"])')
        for box in self.page.locator("form.act .entries [name]:visible").all():
            field_name = box.get_attribute("name") or ""
            text = self._text(name, field_name)
            if text:
                self.enter(field_name, text)
        self.tap(".thumb .do")

    def _text(self, act: str, name: str) -> str:
        if name in ("up_time", "down_time"):
            return f"{getattr(self.sound, name):.2f}"
        if act == "prove/bucket":
            return {"bucket_volume": self._caught(), "bucket_cycles": "40"}[name]
        if act == "prove/stall-up" and name == "stall_pressure":
            return f"{self.sound.stall_pressure / 1e5:.0f}"
        if name == "diameters":
            sound = self.page.locator(".entry:has([name=diameters]) .sound b").first.inner_text()
            return f"{sound.split()[0]}, {sound.split()[0]}"
        return self.typed.get(name, "")

    def _caught(self) -> str:
        return f"{40 * self.displacement * 1e6:.0f}"

    def visit(self, address: str, desk: Desk, visit: str) -> Count:
        """From complaint to signature."""
        self.page.goto(f"{address}/visits/{visit}/do")
        for _ in range(_MOST):
            if desk.visit(visit).closed:
                return self.count
            path = self.page.url.partition("?")[0].partition("#")[0]
            if "/steps" in path:
                self.count.acts.append("/".join(path.split("/")[-2:]))
                self.steps()
            elif path.endswith("/do/list"):
                raise SystemExit(f"nothing comes next after {self.count.acts[-1]}")
            else:
                name = path.partition("/do/")[2]
                self.count.acts.append(name)
                if self.count.acts[-4:] == [name] * 4:
                    said = self.page.locator(".faults").all_inner_texts()
                    raise SystemExit(f"{name} comes again and again: {said}")
                self.act(name)
            self.page.wait_for_load_state()
        raise SystemExit(f"no end: {self.count.acts}")


def _serve(depot: Depot) -> uvicorn.Server:
    server = uvicorn.Server(uvicorn.Config(create_app(depot), port=PORT, log_level="critical"))
    threading.Thread(target=server.run, daemon=True).start()
    while not server.started:
        time.sleep(0.05)
    return server


def played(goal: str) -> Count:
    """One visit, counted."""
    address = f"http://127.0.0.1:{PORT}"
    with (
        tempfile.TemporaryDirectory() as folder,
        Depot.open(Path(folder) / "depot.sqlite3") as depot,
    ):
        build_demo(depot)
        desk = Desk(depot, who=TECHNICIAN)
        visit = visits.start(desk, VisitStart(pump="north-quay"))
        pump, coating = desk.visit(visit).pump, desk.coatings()[0]
        visits.choose_coating(desk, visit, coating)
        foot = next(f for f in FAULTS if f.id == "foot-valve")
        sick, sound = predict(pump, coating, leaks={foot: LEAK}), predict(pump, coating)
        server = _serve(depot)
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path="/usr/bin/chromium",
                    args=["--no-sandbox", "--disable-background-networking"],
                )
                context = browser.new_context(viewport=PHONE)
                who = {"name": "wetend-who", "value": quote(TECHNICIAN), "url": address}
                context.add_cookies([who])
                hand = Hand(context.new_page(), sick, sound, goal, pump.displacement)
                count = hand.visit(address, desk, visit)
                browser.close()
        finally:
            server.should_exit = True
    return count


def main() -> None:
    """Play, and print or write the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--goal", default="foot-valve")
    asked.add_argument("--write", action="store_true")
    given = asked.parse_args()
    goals = ("foot-valve", "whole") if given.write else (given.goal,)
    lines = ["| opened | screens | taps | entries | taps and entries | scrolls |",
             "|---|---|---|---|---|---|"]  # fmt: skip
    for goal in goals:
        c = played(goal)
        lines.append(
            f"| {goal} | {c.screens} | {c.taps} | {c.entries} | {c.taps + c.entries} |"
            f" {c.scrolls} |"
        )
        print(goal, c)
    text = "\n".join(lines)
    print(text)
    if given.write:
        before, after = PAGE.read_text("utf-8").split(lines[0])
        rest = after.partition("\n\n")[2]
        PAGE.write_text(f"{before}{text}\n\n{rest}", "utf-8")


if __name__ == "__main__":
    main()
