"""A sentence is said again for each reader; people's own text stands."""

from __future__ import annotations

from wetend.telling.reader import METRIC, Reader
from wetend.units.message import Message
from wetend.units.quantity import Pa, unit_of
from wetend.units.show import gauge


def test_quantities_come_in_the_readers_units() -> None:
    told = Message("Set {p}.", p=gauge(18e6, unit_of(Pa)))
    assert Reader("imperial").tell(told) == "Set 2,600 psi."
    assert METRIC.tell(told) == str(told)


def test_what_people_typed_is_never_changed() -> None:
    assert Reader("imperial").tell("180 bar {p}") == "180 bar {p}"


def test_a_language_without_a_catalogue_is_english() -> None:
    far = Reader("metric", "xx")
    assert far.gettext("Set it.") == "Set it."
    assert far.gettext("") == ""
    assert [far.ngettext("one", "many", n) for n in (1, 2)] == ["one", "many"]
