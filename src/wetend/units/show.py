"""Write SI numbers as people read them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from wetend.units.kinds import System
from wetend.units.message import Measure, Message, joined, plural
from wetend.units.parse import to_unit
from wetend.units.quantity import M, Minutes, S, Unit

MONTHS = (
    Message("January"), Message("February"), Message("March"), Message("April"), Message("May"),
    Message("June"), Message("July"), Message("August"), Message("September"),
    Message("October"), Message("November"), Message("December"),
)  # fmt: skip
SHORT_MONTHS = (
    Message("Jan"), Message("Feb"), Message("Mar"), Message("Apr"), Message("May"), Message("Jun"),
    Message("Jul"), Message("Aug"), Message("Sep"), Message("Oct"), Message("Nov"), Message("Dec"),
)  # fmt: skip
_PRETTY = {"um": "µm", "^2": "²", "^3": "³", "degC": "°C", "degF": "°F", "deg": "°", "*": "·"}


def significant(value: float, digits: int) -> str:
    """A number to so many significant digits, without exponent where it can be read plainly.

    >>> significant(0.00123456, 3), significant(1234.6, 3), significant(2.0, 3)
    ('0.00123', '1235', '2.00')
    """
    if not math.isfinite(value):
        return Message("unlimited") if value > 0 else Message("unknown")
    if value == 0:
        return "0"
    power = math.floor(math.log10(abs(value)))
    if power < -5 or power > 8:
        return f"{value:.{digits - 1}e}"
    return f"{value:.{max(digits - 1 - power, 0)}f}"


def pretty(spelling: str) -> str:
    """A unit's spelling with raised figures and signs, for people to read."""
    if spelling == "1":
        return ""
    for plain, fine in _PRETTY.items():
        spelling = spelling.replace(plain, fine)
    return spelling


def _number(value: float, unit: Unit, system: System) -> str:
    return significant(to_unit(value, unit.kind, unit.shown_in(system)), unit.digits)


def number(value: float, unit: Unit, system: System | None = None) -> str:
    """The bare figure in the unit that this person reads; without a system, in its reader's."""
    return _number(value, unit, system) if system else Measure(_number, value, unit)


def _with_unit(figure: str, unit: Unit, system: System) -> str:
    label = pretty(unit.shown_in(system))
    gap = "" if label == "°" else " "
    return f"{figure}{gap}{label}".strip()


def _show(value: float, unit: Unit, system: System) -> str:
    return _with_unit(_number(value, unit, system), unit, system)


def show(value: float, unit: Unit, system: System | None = None) -> str:
    """Figure and unit: ``"200 bar"``; without a system, a measure that its reader's units write."""
    return _show(value, unit, system) if system else Measure(_show, value, unit)


def limit(value: float, digits: int = 4) -> str:
    """A number as a limit is written: to so many digits, no idle zeros, thousands apart.

    >>> limit(0.5), limit(1e9), limit(1e-6), limit(3.7e-218)
    ('0.5', '1,000,000,000', '0.000001', '3.7e-218')
    """
    rounded = float(f"{value:.{digits}g}")
    if 1e-7 <= abs(rounded) < 1e-4:
        return f"{rounded:.{digits + 7}f}".rstrip("0")
    return f"{rounded:,.15g}" if 1e-4 <= abs(rounded) < 1e15 or not rounded else f"{rounded:g}"


def _show_limit(value: float, unit: Unit, system: System, *, digits: int = 4) -> str:
    shown = to_unit(value, unit.kind, unit.shown_in(system))
    return _with_unit(limit(shown, digits), unit, system)


def show_limit(value: float, unit: Unit, system: System | None = None, *, digits: int = 4) -> str:
    """A limit with its unit: ``"0.5 mm"``."""
    if system:
        return _show_limit(value, unit, system, digits=digits)
    return Measure(_show_limit, value, unit, digits=digits)


def gauge(value: float, unit: Unit, system: System | None = None, *, at_most: bool = False) -> str:
    """A pressure as it is set and read on a gauge: to about one part in fifty, and its unit.

    ``at_most`` rounds down, for what is not to be gone above.

    >>> from wetend.units.quantity import Pa, unit_of
    >>> gauge(4.28e5, unit_of(Pa)), gauge(4.28e5, unit_of(Pa), "imperial")
    ('4.3 bar', '62 psi')
    >>> gauge(2.53e7, unit_of(Pa)), gauge(1.467e7, unit_of(Pa))
    ('250 bar', '145 bar')
    >>> gauge(5.96e5, unit_of(Pa)), gauge(5.96e5, unit_of(Pa), at_most=True)
    ('6 bar', '5.9 bar')
    """
    if system:
        return _gauge(value, unit, system, at_most=at_most)
    return Measure(_gauge, value, unit, at_most=at_most)


def _gauge(value: float, unit: Unit, system: System, *, at_most: bool) -> str:
    shown = to_unit(value, unit.kind, unit.shown_in(system))
    if not math.isfinite(shown) or shown == 0:
        return _show(value, unit, system)
    power = math.floor(math.log10(abs(shown)))
    step = 10.0 ** (power - 1)
    if power > 0 and abs(shown) < 2 * 10.0**power:
        step /= 2
    marks = shown / step
    nearest = math.floor(marks + 1e-9) if at_most else round(marks)
    return _with_unit(limit(nearest * step), unit, system)


def chance_text(probability: float) -> str:
    """A probability as people say it, never rounded to zero or to certainty.

    >>> chance_text(0.843), chance_text(0.9999), chance_text(0.0)
    ('84 %', 'over 99 %', 'under 1 %')
    """
    if probability >= 0.995:
        return Message("over 99 %")
    return Message("under 1 %") if probability < 0.005 else f"{max(100 * probability, 1):.0f} %"


def first_of(names: Sequence[str], most: int) -> str:
    """Names in a row; of many the first and how many more.

    >>> first_of(["ball", "seat"], 2), first_of(["ball", "seat", "rod", "land"], 2)
    ('ball, seat', 'ball, seat and 2 more')
    """
    more, said = len(names) - most, joined(", ", names[:most])
    return Message("{names} and {more:,} more", names=said, more=more) if more > 0 else said


def rounded(value: float, digits: int = 2) -> str:
    """A number to so many significant figures and no more, thousands set apart by commas.

    >>> rounded(40050.0), rounded(1234.5, 3), rounded(7.42), rounded(0.0)
    ('40,000', '1,230', '7.4', '0')
    """
    if not math.isfinite(value) or value == 0:
        return significant(value, digits)
    power = math.floor(math.log10(abs(value)))
    if power < digits - 1:
        return significant(value, digits)
    return f"{round(value, digits - 1 - power):,.0f}"


def rough(value: float, unit: Unit, system: System | None = None, *, digits: int = 2) -> str:
    """A value as far as it is worth saying: two significant figures and no more, and its unit.

    >>> from wetend.units.quantity import M3, unit_of
    >>> rough(40.05, unit_of(M3)), rough(0.0034, unit_of(M3))
    ('40,000 L', '3.4 L')
    """
    if system:
        return _rough(value, unit, system, digits=digits)
    return Measure(_rough, value, unit, digits=digits)


def _rough(value: float, unit: Unit, system: System, *, digits: int = 2) -> str:
    spelling = unit.shown_in(system)
    return f"{rounded(to_unit(value, unit.kind, spelling), digits)} {pretty(spelling)}".strip()


def fine_length(value: M, system: System | None = None) -> str:
    """A length to a hundredth of a millimetre or the ten-thousandth of an inch.

    >>> fine_length(0.00186), fine_length(0.0254, "imperial")
    ('1.86 mm', '1.0000 in')
    """
    return _fine_length(value, system) if system else Measure(_fine_length, value)


def _fine_length(value: M, system: System) -> str:
    return f"{value * 1e3:.2f} mm" if system == "metric" else f"{value / 0.0254:.4f} in"


def rough_span(low: float, high: float, unit: Unit, system: System | None = None) -> str:
    """Two values as far as they are worth saying, the unit once.

    >>> from wetend.units.quantity import M3, unit_of
    >>> rough_span(0.534, 30.2, unit_of(M3))
    '530 to 30,000 L'
    """
    a, b = rough(low, unit, system), rough(high, unit, system)
    if a == b:
        return a
    return Message("{low} to {high}", low=_bare(low, unit, system), high=b)


def _bare(value: float, unit: Unit, system: System | None) -> str:
    return _rounded_in(value, unit, system) if system else Measure(_rounded_in, value, unit)


def _rounded_in(value: float, unit: Unit, system: System) -> str:
    return rounded(to_unit(value, unit.kind, unit.shown_in(system)))


def whole(value: float) -> str:
    """A count or a sum of money to two figures and no more, thousands set apart.

    >>> whole(12345.6), whole(7.4), whole(0.0)
    ('12,000', '7', '0')
    """
    return rounded(value) if abs(value) >= 10 else f"{value:,.0f}"


def minutes_text(minutes: Minutes) -> str:
    """Minutes as far as they are worth saying: to one up to ten, to five up to an hour, to ten.

    >>> minutes_text(0.4), minutes_text(6.3), minutes_text(43.0), minutes_text(87.0)
    ('under 1 min', '6 min', '45 min', '1 h 30 min')
    """
    if minutes < 0.75:
        return Message("under 1 min")
    step = 1 if minutes < 10 else 5 if minutes < 60 else 10
    hours, rest = divmod(max(round(minutes / step) * step, 1), 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def months_text(seconds: S) -> str:
    """A time as a person plans by: days, weeks, months, years.

    >>> months_text(9 * 86400), months_text(40 * 86400), months_text(300 * 86400)
    ('9 days', '6 weeks', '10 months')
    """
    days = seconds / 86400.0
    if days < 21:
        count = round(days)
        return plural("{n} day", "{n} days", count)
    if days < 84:
        return plural("{n} week", "{n} weeks", round(days / 7))
    if days < 730:
        return plural("{n} month", "{n} months", round(days / 30.4375))
    years = round(days / 365.25)
    return plural("{n} year", "{n} years", years) if years < 20 else Message("over 20 years")


def stood_text(seconds: S) -> str:
    """How long something has stood: minutes, hours, then days as a person plans by.

    >>> stood_text(20 * 60), stood_text(5 * 3600), stood_text(30 * 3600), stood_text(3 * 86400)
    ('20 min', '5 h', '30 h', '3 days')
    """
    if seconds < 5400:
        return minutes_text(seconds / 60.0)
    if seconds < 48 * 3600:
        return Message("{n} h", n=round(seconds / 3600.0))
    return months_text(seconds)


def span_text(low: float, high: float) -> str:
    """Two times with a "to" between them; the unit once where it is the same.

    >>> span_text(40 * 86400, 80 * 86400), span_text(9 * 86400, 300 * 86400)
    ('6 to 11 weeks', '9 days to 10 months')
    """
    a, b = months_text(low), months_text(high)
    if a == b:
        return a
    head, _, unit = a.partition(" ")
    once = bool(unit) and b.endswith(f" {unit}")
    return Message("{low} to {high}", low=head if once else a, high=b)


def day_text(day: date, today: date | None = None) -> str:
    """A day to plan by; without its year where that is the same as today's.

    >>> day_text(date(2031, 3, 12), date(2031, 1, 2)), day_text(date(2032, 3, 1))
    ('12 March', '1 March 2032')
    """
    same = today is not None and day.year == today.year
    month = MONTHS[day.month - 1]
    if same:
        return Message("{day} {month}", day=day.day, month=month)
    return Message("{day} {month} {year}", day=day.day, month=month, year=day.year)
