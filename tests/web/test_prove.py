"""The pages of proof and hand-over: verdict first, groups, cautions, what a signature needs."""

from __future__ import annotations

import html
import re

import pytest

from wetend.pump.toml import demo_coatings
from wetend.workflows.desk import Desk
from wetend.workflows.visits import choose_coating

FAILING = {
    "stall_pressure": "240", "stall_time": "60", "stall_settled": "60", "stall_creep_down": "300",
    "stall_creep_up": "0", "rod_held": "drive vented",
}  # fmt: skip
SIGN = {"technician": "R. Okafor (invented)"}


@pytest.fixture
def visit(person, site) -> str:
    """A visit just begun with its coating chosen."""
    path = person.send(f"/pumps/{site.pump}/visits", {}).url.path.removesuffix("/complaint")
    choose_coating(Desk(site.depot), path.rpartition("/")[2], demo_coatings()[0])
    return path


def words(page) -> str:
    """A page's own words in order."""
    bare = re.sub(r"<(script|style|svg)\b.*?</\1>", " ", page.text, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", bare)).split())


def test_the_verdict_stands_first_and_acts_in_their_groups(person, visit):
    text = words(person.get(f"{visit}/prove"))
    order = [
        text.index(each)
        for each in (
            "Nothing is proven yet", "On the bench", "Solvent and coating vapour burns",
            "Before closing the pump", "At stall", "First pressure after a rebuild",
            "The rod can move at any moment", "in mid-stroke", "Pressure hold",
            "A jet from a nozzle", "Running", "Catch only", "Before hand-over", "Fit guards",
        )
    ]  # fmt: skip
    assert order == sorted(order)


def test_one_caution_a_hazard_and_no_wall(person, visit):
    page = person.get(f"{visit}/prove").text
    form = page[page.index('id="proof"') : page.index("Save and judge")]
    assert form.count("First pressure after a rebuild") == 1
    assert form.count("hands clear of rod and coupling") == 1
    # the list of results repeats none of them
    assert 'class="caution' not in page[page.index('id="tests"') :]


def test_only_the_first_group_not_proven_is_open(person, visit):
    page = person.get(f"{visit}/prove").text
    form = page[page.index('id="proof"') : page.index("Save and judge")]
    assert re.findall(r'<details class="wide fold" id="proof-section-(\d)"( open)?>', form) == [
        ("0", " open"), ("1", ""), ("2", ""), ("3", ""), ("4", ""),
    ]  # fmt: skip
    wrong = person.send(f"{visit}/prove", {"bonding": "much"})
    assert wrong.status_code == 422
    assert '<details class="wide fold" id="proof-section-3" open>' in wrong.text
    assert 'value="much"' in wrong.text


def test_a_vented_hold_is_not_applicable_and_says_what_half_a_stroke_costs(person, visit):
    text = words(person.send(f"{visit}/prove", FAILING))
    assert "Pressure hold: nothing lost to the outside: Not applicable" in text
    assert re.search(
        r"half a stroke alone takes [0-9.]+ bar going up, [0-9.]+ bar going down", text
    )
    assert "not asked" not in text.lower()


def test_a_pump_that_failed_is_signed_only_with_its_reason(person, site, visit):
    person.send(f"{visit}/prove", FAILING)
    page = person.get(f"{visit}/handover")
    text = words(page)
    assert text.index("Not signed off") < text.index("FAILED") < text.index("Settings for")
    assert 'name="reason"' in page.text
    refused = person.send(f"{visit}/handover/sign-off", SIGN)
    assert refused.status_code == 422
    assert "write why it is signed off anyway" in refused.text
    assert 'value="R. Okafor (invented)"' in refused.text
    assert not Desk(site.depot).visit(visit.rpartition("/")[2]).closed
    signed = person.send(
        f"{visit}/handover/sign-off",
        {**SIGN, "reason": "Kit <b>tomorrow</b>", "crew_told": "yes", "tagged": "yes"},
    )
    text = words(signed)
    assert text.index("Signed off: FAILED") < text.index("Kit <b>tomorrow</b>")
    assert text.index("The crew was informed; the pump is tagged.") < text.index("Settings for")
    assert "signed off: failed" in text
    assert "Signed off, failed" in words(person.get(f"/pumps/{site.pump}"))
    # signing again asks for all of it again
    assert "Kit <b>tomorrow</b>" not in html.unescape(
        signed.text[signed.text.index('id="sign-off"') :]
    )


def test_readings_after_the_signature_are_marked(person, visit):
    person.send(f"{visit}/prove", FAILING)
    said = {**SIGN, "reason": "Kit tomorrow", "crew_told": "yes", "tagged": "yes"}
    person.send(f"{visit}/handover/sign-off", said)
    text = words(person.send(f"{visit}/prove", {**FAILING, "stall_creep_down": "0"}))
    assert text.index("Signed off: FAILED") < text.index("Entered after the signature")
    assert text.index("Read after that signature") < text.index("What to do and read")
    assert "Nobody has signed this" in words(person.get(f"{visit}/handover"))


def test_a_passed_pump_says_so_and_asks_for_no_reason(person, site):
    path = f"/visits/{site.closed_visit}/handover"
    page = person.get(path)
    text = words(page)
    assert "Signed off: Passed" in text or "Signed off: Wet end not opened" in text
    assert 'name="reason"' not in page.text
    assert 'name="entries_seen"' not in page.text
