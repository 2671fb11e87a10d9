"""Figures as people read them."""

import pytest

from wetend.units.quantity import K, M, MFine, Pa, Rad, Ratio, unit_of
from wetend.units.show import gauge, show, significant


def test_shows_in_the_units_of_the_reader() -> None:
    assert show(200e5, unit_of(Pa)) == "200 bar"
    assert show(200e5, unit_of(Pa), "imperial") == "2901 psi"
    assert show(0.0127, unit_of(M), "imperial") == "0.5000 in"
    assert show(30e-6, unit_of(MFine)) == "30.0 µm"
    assert show(293.15, unit_of(K)) == "20.0 °C"
    assert show(0.785398163, unit_of(Rad)) == "45.0°"
    assert show(0.5, unit_of(Ratio)) == "0.500"


@pytest.mark.parametrize(
    ("value", "told"),
    [(0.0, "0"), (1234567.0, "1234567"), (float("inf"), "unlimited"), (float("nan"), "unknown"),
     (9.995, "9.99"), (-2.5, "-2.50"), (1.2e-9, "1.20e-09")],
)  # fmt: skip
def test_significant_figures(value: float, told: str) -> None:
    assert significant(value, 3) == told


def test_an_annotation_without_a_unit_is_refused() -> None:
    with pytest.raises(TypeError):
        unit_of(float)


@pytest.mark.parametrize(
    ("pressure", "metric", "imperial"),
    # by hand from 1 psi = 6894.757 Pa; steps of a twentieth to a fiftieth, as gauges are divided
    # (common practice, no source)
    [(4.28e5, "4.3 bar", "62 psi"), (1.467e7, "145 bar", "2,100 psi"),
     (2.53e7, "250 bar", "3,700 psi"), (8.4e4, "0.84 bar", "12 psi"), (0.0, "0 bar", "0 psi")],
)  # fmt: skip
def test_a_gauge_is_read_no_finer_than_it_is_divided(pressure, metric, imperial) -> None:
    assert gauge(pressure, unit_of(Pa)) == metric
    assert gauge(pressure, unit_of(Pa), "imperial") == imperial


def test_what_is_not_to_be_gone_above_is_rounded_down() -> None:
    assert gauge(5.96e5, unit_of(Pa), at_most=True) == "5.9 bar"
    assert gauge(6e5, unit_of(Pa), at_most=True) == "6 bar"
