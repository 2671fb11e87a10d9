"""What parts look like: each picture's own values are judged as its caption says."""

from __future__ import annotations

import pytest
from any_pump import accepted_pumps, built_pumps
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.inspect.judge import judge
from wetend.advice.inspect.looks.look import Look
from wetend.advice.inspect.looks.table import looks_of
from wetend.advice.reasons import Verdict
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
COATINGS: list[Coating | None] = [None, *demo_coatings()]
PARTS = (
    "foot-ball", "foot-seat", "rod", "cylinder", "seal-land", "moving-packings", "static-packings",
    "piston-ball", "piston-seat",
)  # fmt: skip


def _wrong(pump: Pump, coating: Coating | None, part: str, used: int = 0) -> list[str]:
    found = []
    for look in looks_of(pump, coating, part, faces_used=used):
        said = judge(pump, coating, look.measured).verdict
        if said is not look.verdict:
            found.append(f"{part} {look.key}: {said}, captioned {look.verdict}")
    return found


@pytest.mark.parametrize("used", [0, 1])
@pytest.mark.parametrize("coating", COATINGS, ids=lambda c: c.key if c else "none")
@pytest.mark.parametrize("key", PUMPS)
def test_each_pictures_own_values_are_judged_as_captioned(
    key: str, coating: Coating | None, used: int
) -> None:
    for part in PARTS:
        assert _wrong(PUMPS[key], coating, part, used) == []


@pytest.mark.parametrize("key", PUMPS)
@pytest.mark.parametrize("part", PARTS)
def test_each_part_has_new_worn_at_its_limit_and_condemned(key: str, part: str) -> None:
    for coating in COATINGS:
        looks = looks_of(PUMPS[key], coating, part)
        assert [look.key for look in looks][:3] == ["new", "worn", "limit"]
        assert {look.verdict for look in looks[3:]} <= {
            Verdict.REPLACE, Verdict.TURN, Verdict.DRESS
        }  # fmt: skip
        assert len(looks) > 4
        assert len({look.key for look in looks}) == len(looks)
        assert all(look.sure and look.fields for look in looks)


@costly(15)
@given(
    pump=st.one_of(accepted_pumps(), built_pumps()), coating=st.sampled_from(COATINGS),
    used=st.integers(0, 1),
)  # fmt: skip
def test_on_any_pump_too(pump: Pump, coating: Coating | None, used: int) -> None:
    for part in PARTS:
        assert _wrong(pump, coating, part, used) == []


def _one(pump: Pump, part: str, key: str) -> Look:
    return next(look for look in looks_of(pump, None, part) if look.key == key)


def test_the_figures_are_this_pumps_own_limits() -> None:
    """Those of the invented pump's description: 80 um of the ball, 1.2 mm of band, 60 um of rod."""
    quay = PUMPS["quay-air"]
    assert _one(quay, "foot-ball", "limit").limit == pytest.approx(80e-6)
    assert _one(quay, "foot-ball", "limit").measured.diameters[0] == pytest.approx(0.02192)
    assert _one(quay, "foot-seat", "limit").measured.band_width == pytest.approx(1.2e-3)
    assert _one(quay, "rod", "limit").measured.diameters[0] == pytest.approx(0.02694)
    assert _one(quay, "moving-packings", "limit").measured.free_height == pytest.approx(20.5e-3)


def test_a_chip_in_a_seat_with_no_fresh_face_is_replaced_not_turned() -> None:
    quay = PUMPS["quay-air"]
    for used, said in ((0, Verdict.TURN), (1, Verdict.REPLACE)):
        chips = [x for x in looks_of(quay, None, "foot-seat", faces_used=used) if x.key == "chip"]
        assert [x.verdict for x in chips] == [said]


def test_a_test_with_solvent_has_no_looks() -> None:
    assert looks_of(PUMPS["quay-air"], None, "foot-test") == ()
