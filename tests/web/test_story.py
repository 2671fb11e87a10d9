"""A whole visit, complaint to signed hand-over, in a browser: with script, and without."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Page, expect

from wetend.advice.diagnosis.diagnose import Prediction, predict
from wetend.advice.faults.tables import FAULT
from wetend.pump.description import Pump
from wetend.pump.toml import demo_coatings
from wetend.workflows.demo.build import demo_fleet

pytestmark = pytest.mark.browser
COATING = next(c for c in demo_coatings() if c.key == "alkyd-topcoat")


@dataclass(frozen=True)
class Story:
    """The pump as it stands, and what it reads sick and sound."""

    pump: Pump
    sick: Prediction
    sound: Prediction


@pytest.fixture(scope="module")
def story() -> Story:
    """A foot valve that lets a fifth of a stroke by at stall."""
    pump = next(p for p in demo_fleet() if p.key == "dry-dock")
    leak = 0.2 * pump.displacement / 4
    return Story(
        pump, predict(pump, COATING, leaks={FAULT["foot-valve"]: leak}), predict(pump, COATING)
    )


def _fill(page: Page, form: str, values: dict[str, float | str]) -> None:
    for name, value in values.items():
        text = value if isinstance(value, str) else f"{value:.6g}"
        page.fill(f'[id="{form}-{name.replace(".", "-")}"]', text)


def _press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def _onward(page: Page, name: str) -> None:
    page.get_by_role("link", name=f"Next: {name}", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)


def _begin(page: Page, address: str) -> None:
    page.goto(address)
    page.get_by_role("link", name="Dry dock").first.click()
    page.get_by_role("link", name="Start a visit").click()
    _fill(page, "start", {"reason": "Crew idle since seven"})
    _press(page, "Start the visit")
    expect(page.get_by_role("heading", level=1)).to_have_text("Complaint")


def _make_safe(page: Page) -> None:
    """Tick the make-safe list on the page it stands on, zero by the gauge."""
    form = page.locator("#make-safe")
    form.locator("[name=blockage][value='ran free']").check()
    form.locator("[name=way][value=gauge]").check()
    form.locator("[name=needle][value='on its stop']").check()
    for box in form.locator("input[type=checkbox]:visible").all():
        box.check()
    page.fill("#make-safe-who", "R. Okafor (invented)")
    _press(page, "Save the make-safe list")
    expect(page.locator("#zero")).to_contain_text("Zero proven by R. Okafor (invented)")


def _complaint(page: Page) -> None:
    expect(page.locator("#zero")).to_contain_text("Zero is not proven")
    _make_safe(page)
    _fill(page, "complaint", {"said": "Drops fast on the way down"})
    page.get_by_label("Down-stroke quick").check()
    page.get_by_label("Creeps down at stall").check()
    _press(page, "Save the complaint")
    expect(page.locator("#answer")).to_contain_text("Foot valve not holding")


def _checks(page: Page, story: Story, tap_strokes: Callable[..., None] | None) -> None:
    page.select_option("#coating", label="Alkyd topcoat")
    _press(page, "Use this coating")
    expect(page.get_by_text("A sound pump would read")).to_be_visible()
    sick = story.sick
    if tap_strokes:
        tap_strokes(page, *(sick.up_time, sick.down_time) * 2)
        _press(page, "Stop and keep these times")
        assert page.input_value("#readings-up_times").count(",") == 1
    else:
        expect(page.locator("#tapper")).to_be_hidden()
        times = {f"{side}_times": ", ".join([f"{t:.2f}"] * 4)
                 for side, t in (("up", sick.up_time), ("down", sick.down_time))}  # fmt: skip
        _fill(page, "readings", times)
    _fill(page, "readings", {
        "spray_pressure": sick.spray_pressure / 1e5, "stall_pressure": sick.stall_pressure / 1e5,
        "creep_up": sick.creep_up * 6e4, "creep_down": sick.creep_down * 6e4,
    })  # fmt: skip
    page.locator("#readings-wet_cup").get_by_label("Clean").check()
    _press(page, "Save and calculate")
    expect(page.locator(".findings .first")).to_contain_text("Foot valve not holding")


def _strip(page: Page) -> None:
    for box in page.locator("#bag input[name=tools]").all():
        box.check()
    page.locator("#bag-goal").get_by_label("Foot valve only").check()
    _press(page, "Find the order")
    expect(page.locator("#zero")).to_contain_text("strokes timed")  # in the running checks
    page.locator("#zero summary").get_by_text("Tick the make-safe list here").click()
    _make_safe(page)
    done = page.get_by_text("Every step is done")
    for _ in range(24):
        step = page.locator("#now .stepno")
        expect(step.or_(done).first).to_be_visible()
        if done.count():
            break
        number = step.inner_text()
        page.locator("#now button.do").first.click()
        expect(page.get_by_text(number, exact=True)).to_have_count(0)
    expect(page.locator("#answer")).to_contain_text("Every step is done")


def _measure(page: Page, part: str, values: dict[str, float | str], verdict: str) -> None:
    page.locator(".pick").get_by_role("link", name=part).click()
    key = page.locator("#measure form").get_attribute("id") or ""
    _fill(page, key, values)
    page.locator("#measure form button.do").click()
    judged = page.locator("article.judged").filter(has_text=part.partition(",")[0])
    expect(judged.first).to_contain_text(verdict)


def _inspect(page: Page, pump: Pump) -> None:
    ball = pump.foot_valve.ball_diameter * 1e3
    _measure(
        page, "Foot-valve ball", {"diameters": f"{ball - 0.2:.3f}, {ball - 0.25:.3f}"}, "Replace"
    )
    page.locator(".pick").get_by_role("link", name="Foot-valve seat").click()
    expect(page.locator("#measure")).to_contain_text("Band even all round")
    _measure(page, "Foot-valve seat", {"chip_depth": "300", "chip_width": "1"}, "Turn over")
    rod = pump.rod.diameter * 1e3
    _measure(page, "Piston rod", {"diameters": f"{rod:.3f}, {rod - 0.002:.3f}"}, "Keep")
    bore = pump.cylinder.bore * 1e3
    _measure(page, "Cylinder", {"diameters": f"{bore + 0.01:.3f}, {bore + 0.012:.3f}"}, "Keep")
    expect(page.locator("#answer svg").last).to_be_visible()


def _rebuild(page: Page, pump: Pump) -> None:
    heights = {f"heights.{p.name}": p.height * 1e3 for p in pump.stack.parts}
    _fill(page, "stack", {**heights, "tin": "1, 2x0.5, 2x0.25, 0.1", "lever": "500"})
    _press(page, "Calculate the stack")
    answer = page.locator("#answer")
    expect(answer).to_contain_text("Elbow at")
    expect(answer).to_contain_text("Ball lift")
    expect(answer).to_contain_text("If the shims go in wrong")


def _prove(page: Page, story: Story) -> None:
    sound, pump = story.sound, story.pump
    cycles = 60
    closed = page.locator("#proof details.fold:not([open]) > summary")
    while closed.count():
        closed.first.click()
    _fill(page, "proof", {
        "solvent_lost": "0", "solvent_head": "50", "solvent_time": "300",
        "stall_pressure": sound.stall_pressure / 1e5, "stall_time": "120",
        "stall_settled": "60", "stall_creep_up": "0", "stall_creep_down": "0",
        "hold_start": "200", "hold_end": "200", "hold_time": "600",
        "bucket_volume": pump.displacement * cycles * 1e6 * 0.99, "bucket_cycles": str(cycles),
        "up_time": sound.up_time, "down_time": sound.down_time,
        "limit_setting": pump.drive.supply_rated / 1e5, "bonding": "2",
    })  # fmt: skip
    page.locator("#proof-wet_cup").get_by_label("Clean").check()
    page.locator("#proof-rod_held").get_by_label("Drive fluid trapped").check()
    for look in ("guards", "whip_checks", "hose_age", "hose_cover", "trigger_lock", "dump_valve",
                 "gauge_zero"):  # fmt: skip
        page.locator(f"#proof-{look}").get_by_label("Yes").check()
    _press(page, "Save and judge")
    expect(page.locator("#answer .verdict.big")).to_contain_text("Pass")


def _hand_over(page: Page, address: str) -> None:
    page.get_by_text("Hose, lift, temperature, guns").click()  # folded, as it has its usual values
    _fill(page, "set-up", {"hose_lift": "3"})
    _press(page, "Calculate the settings")
    expect(page.locator("#answer")).to_contain_text("Set the supply to")
    _fill(page, "sign-off", {
        "technician": "R. Okafor (invented)", "found": "Foot valve passing",
        "fitted": "Foot-valve ball; seat turned over", "come_back": "In 4,000 L",
    })  # fmt: skip
    _press(page, "Sign off")
    expect(page.locator("#signed .verdict.big").first).to_contain_text("Signed off: Passed")
    for name in ("Report of this visit (PDF)", "Set-up sheet to print (PDF)"):
        link = page.get_by_role("link", name=name).get_attribute("href")
        answer = page.request.get(address + str(link))
        assert answer.status == 200
        assert answer.body().startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("width", "script"),
    [(360, True), (1280, True), (360, False)],
    ids=["phone", "desktop", "phone without script"],
)
def test_a_visit_from_complaint_to_signed_hand_over(
    browser: Browser, address: str, story: Story, width: int, script: bool, tap_strokes
):
    context = browser.new_context(
        viewport={"width": width, "height": 780}, java_script_enabled=script
    )
    page = context.new_page()
    _begin(page, address)
    visit = page.url.rpartition("/")[0]
    _complaint(page)
    _onward(page, "Running checks")
    _checks(page, story, tap_strokes if script else None)
    _onward(page, "Strip")
    _strip(page)
    _onward(page, "Inspect")
    _inspect(page, story.pump)
    _onward(page, "Rebuild")
    _rebuild(page, story.pump)
    _onward(page, "Prove")
    _prove(page, story)
    _onward(page, "Hand over")
    _hand_over(page, address)
    page.goto(f"{address}/pumps/dry-dock")
    expect(page.locator(".lines").first).to_contain_text("Foot-valve ball; seat turned over")
    expect(
        page.locator(f'.lines a[href="{visit.removeprefix(address)}/handover"]')
    ).to_contain_text("Signed off")
    context.close()
