"""A form writes only what was changed in it, and an entry changes only what it names."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from wetend.pump.readings import CheckReadings
from wetend.units.noun import alike, change, overlaid

_PRESSURES = st.none() | st.floats(1e5, 1e8)
_READINGS = st.builds(
    CheckReadings,
    spray_pressure=_PRESSURES,
    stall_pressure=_PRESSURES,
    wet_cup=st.sampled_from(["not looked", "clean", "coating in it"]),
    up_times=st.lists(st.floats(0.1, 100), max_size=3).map(tuple),
)


@given(_READINGS, _READINGS)
def test_a_change_laid_over_what_was_gives_what_is(was, new):
    said = change(was, new)
    laid = was if said is None else overlaid(was, said)
    assert all(alike(getattr(laid, n), getattr(new, n)) for n in CheckReadings.model_fields)


@given(_READINGS, _READINGS, _READINGS)
def test_fields_that_were_not_changed_keep_what_others_entered(was, mine, others):
    said = change(was, mine)
    if said is None:
        return
    laid = overlaid(others, said)
    untouched = set(CheckReadings.model_fields) - said.model_fields_set
    assert all(getattr(laid, n) == getattr(others, n) for n in untouched)


def test_what_was_emptied_is_named_and_what_was_not_is_not():
    was = CheckReadings(spray_pressure=2e7, stall_pressure=3e7)
    said = change(was, CheckReadings(stall_pressure=3e7))
    assert said is not None
    assert said.model_fields_set == {"spray_pressure"}
    assert said.spray_pressure is None


def test_figures_behind_the_seventh_are_no_change():
    was = CheckReadings(spray_pressure=20_123_456.78)
    assert change(was, CheckReadings(spray_pressure=20_123_460.0)) is None
