"""What people type becomes SI, or one clear sentence."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.units import kinds
from wetend.units.factors import FACTORS
from wetend.units.kinds import KINDS, Kind
from wetend.units.parse import find_unit, plain_number, read_quantities, read_quantity, to_unit

# Exact by definition: the inch is 25.4 mm, the pound 0.45359237 kg, standard gravity 9.80665 m/s^2,
# the US gallon 231 cubic inches. Source: NIST SP 811 (2008), appendix B and its footnotes.
INCH = 0.0254
PSI = 0.45359237 * 9.80665 / INCH**2
GALLON = 231 * INCH**3


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("200 bar", kinds.PRESSURE, 200e5),
        ("3000 psi", kinds.PRESSURE, 3000 * PSI),
        ("0.021 in", kinds.LENGTH, 0.021 * INCH),
        ("21 thou", kinds.LENGTH, 0.021 * INCH),
        ("3/8 in", kinds.LENGTH, 0.375 * INCH),
        ("2 3/8 in", kinds.LENGTH, 2.375 * INCH),
        ("2-3/8in", kinds.LENGTH, 2.375 * INCH),
        ("1,5 mm", kinds.LENGTH, 0.0015),
        (".5mm", kinds.LENGTH, 0.0005),
        ("64 s", kinds.TIME, 64.0),
        ("12 L/min", kinds.FLOW, 0.2e-3),
        ("2 gpm", kinds.FLOW, 2 * GALLON / 60),
        ("18 °C", kinds.TEMPERATURE, 291.15),
        ("68 F", kinds.TEMPERATURE, 293.15),
        ("290 mm²/s", kinds.KINEMATIC, 290e-6),
        ("290 cSt", kinds.KINEMATIC, 290e-6),
        ("140 Nm", kinds.TORQUE, 140.0),
        ("30 %", kinds.RATIO, 0.3),
        ("30 µm", kinds.LENGTH, 30e-6),
        ("-3 bar", kinds.PRESSURE, -3e5),
        ("1e-3 m", kinds.LENGTH, 1e-3),
        ("5.2 m2/L", kinds.COVERAGE, 5200.0),
    ],
)
def test_reads_what_people_write(text: str, kind: Kind, expected: float) -> None:
    assert read_quantity(text, kind, bare=kind.si) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    ["", " ", "two", "3 stone", "1/0 in", "nan mm", "inf m", "1e999 m", "1,000 mm", "import os",
     "9**9**9 m", "3 mm; drop table", "0x10 mm", "1 2 mm", "١٢ mm" * 30, "3 mm\x00", "½ in in"],
)  # fmt: skip
def test_nonsense_gets_one_sentence(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_quantity(text, kinds.LENGTH, bare="m")
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 300


def test_capitals_matter_only_where_two_units_would_be_one() -> None:
    assert find_unit("PSI", kinds.PRESSURE) == "psi"
    assert find_unit("mPa*s", kinds.VISCOSITY) == "mPa*s"
    with pytest.raises(BadInput, match="capitals"):
        find_unit("ab", Kind("x", "x", "m", {"Ab": "m", "aB": "cm"}, "1 Ab"))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("0.5, 0.25 mm", (0.5e-3, 0.25e-3)),
        ("2x0.5mm, 0.1mm", (0.5e-3, 0.5e-3, 0.1e-3)),
        ("0,5; 0,25 mm", (0.5e-3, 0.25e-3)),
        ("1 mm\n20 thou", (1e-3, 0.02 * INCH)),
        ("", ()),
        (" , ,", ()),
    ],
)
def test_reads_series(text: str, expected: tuple[float, ...]) -> None:
    assert read_quantities(text, kinds.LENGTH, bare="m") == pytest.approx(expected)


def test_a_series_has_an_end() -> None:
    with pytest.raises(BadInput, match=r"2,000"):
        read_quantities(",".join(["999x1mm"] * 50), kinds.LENGTH, bare="m")


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.name)
def test_every_spelling_converts_and_every_example_reads(kind: Kind) -> None:
    assert math.isfinite(read_quantity(kind.example, kind, bare=kind.si))
    for spelling in kind.spellings:
        there = to_unit(2.0, kind, spelling)
        assert read_quantity(f"{there!r} {spelling}", kind, bare=kind.si) == pytest.approx(2.0)


@given(st.text(max_size=80), st.sampled_from(KINDS))
def test_any_text_reads_or_is_refused_in_a_sentence(text: str, kind: Kind) -> None:
    try:
        told: float | str = read_quantity(text, kind, bare=kind.si)
    except BadInput as bad:
        told = str(bad)
    assert told if isinstance(told, str) else math.isfinite(told)


@given(st.floats(1e-9, 1e9), st.sampled_from(["mm", "in", "thou", "um", "m", "ft"]))
def test_there_and_back(value: float, spelling: str) -> None:
    shown = to_unit(value, kinds.LENGTH, spelling)
    assert read_quantity(f"{shown:.17g} {spelling}", kinds.LENGTH, bare="m") == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1.5", "1.5"), ("1,5", "1.5"), ("0,125", "0.125"), ("12 000", "12000"),
        ("1,234,567", "1234567"), ("1.234.567", "1234567"), ("1,234.5", "1234.5"),
        ("1.234,5", "1234.5"), ("8\u00a0500", "8500"), ("1,23", "1.23"), ("1,2345", "1.2345"),
        ("-3,5", "-3.5"), ("1e3", "1e3"), ("two", "two"), ("3 bar", "3 bar"),
    ],
)  # fmt: skip
def test_a_plain_number_is_read_however_it_is_written(text: str, expected: str) -> None:
    assert plain_number(text) == expected


@pytest.mark.parametrize("text", ["1,000", "8,500", "12,000", "999,999"])
def test_a_comma_that_could_be_either_is_asked_about(text: str) -> None:
    """A thousand for who writes 1,000.0, one for who writes 1,000 with a decimal comma."""
    for reader in (plain_number, lambda t: read_quantity(t, kinds.LENGTH, bare="m")):
        with pytest.raises(BadInput, match="thousands or a decimal comma"):
            reader(text)


@pytest.mark.parametrize("text", ["1,00,0", "1,23,456", "1.2.3", "1,234,5", "12 34"])
def test_marks_that_make_no_number_are_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_quantity(text, kinds.LENGTH, bare="m")


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("80 strokes/min", kinds.RATE, 40 / 60),  # an up and a down are one cycle
        ("40 cycles/min", kinds.RATE, 40 / 60),
        ("5 gallons", kinds.VOLUME, 5 * GALLON),
        ("3000 psig", kinds.PRESSURE, 3000 * PSI),
        ("1 kgf/cm2", kinds.PRESSURE, 98066.5),
        ("500 mPas", kinds.VISCOSITY, 0.5),
        ("100 ft-lb", kinds.TORQUE, 100 * 0.45359237 * 9.80665 * 0.3048),
        ("12 lb", kinds.MASS, 12 * 0.45359237),
        ("12 lbs", kinds.FORCE, 12 * 0.45359237 * 9.80665),
        ("1 imp gal", kinds.VOLUME, 4.54609e-3),  # exact, NIST SP 811 (2008), appendix B.8
        ("8 500 L", kinds.VOLUME, 8.5),
    ],
)
def test_units_that_the_trade_writes(text: str, kind: Kind, expected: float) -> None:
    assert read_quantity(text, kind, bare=kind.si) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1,29, 1,24 s", (1.29, 1.24)), ("1.29,1.24", (1.29, 1.24)), ("1.29, 1.24", (1.29, 1.24)),
        ("12, 14, 13", (12.0, 14.0, 13.0)), ("1,29; 1,24", (1.29, 1.24)), ("1.29,", (1.29,)),
    ],
)  # fmt: skip
def test_series_are_read_with_either_decimal_mark(text: str, expected: tuple[float, ...]) -> None:
    assert read_quantities(text, kinds.TIME, bare="s") == pytest.approx(expected)


@pytest.mark.parametrize("text", ["1,29,1,24", "1,29"])
def test_a_series_whose_commas_could_be_either_is_asked_about(text: str) -> None:
    with pytest.raises(BadInput, match="space after each comma"):
        read_quantities(text, kinds.TIME, bare="s")


def _registry() -> pint.UnitRegistry[float]:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    registry.define("strokes_per_minute = 0.5 / minute")  # an up and a down are one cycle
    return registry


REGISTRY = _registry()


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.name)
def test_every_unit_is_worth_what_the_library_says(kind: Kind) -> None:
    """Against the Pint library, every spelling, at two values, since temperatures have offsets."""
    for spelling, expression in kind.spellings.items():
        for value in (0.0, 7.0):
            theirs = REGISTRY.Quantity(value, expression).to(kind.base).magnitude
            ours = read_quantity(f"{value} {spelling}", kind, bare=kind.si)
            assert ours == pytest.approx(float(theirs), rel=1e-14, abs=1e-14), spelling


def test_no_factor_is_without_a_unit() -> None:
    assert set(FACTORS) == {e for kind in KINDS for e in kind.spellings.values()}
