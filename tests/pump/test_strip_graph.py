"""The rules that put operations in order, and graphs that can't be put in order."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from wetend.errors import BadInput
from wetend.pump.strip_graph import Operation, StripGraph, must_precede
from wetend.pump.toml import demo_pump, pump_from_toml, to_toml


def operation(key: str, **rest: object) -> Operation:
    return Operation.model_validate(
        {"key": key, "title": key, "part": "body", "time": 60.0, **rest}
    )


def test_each_rule_puts_one_operation_before_another() -> None:
    # common practice, no source: the four rules of the trade
    operations = (
        operation("first", leads=True),
        operation("swing", swings_near=("rod",)),
        operation("unshield", unshields=("rod",)),
        operation("crack", needs_held=True),
        operation("lower", ends_hold=True),
        operation("last", after=("lower",)),
    )
    before = must_precede(operations)
    assert before["first"] == set()
    assert before["unshield"] == {"first", "swing"}
    assert before["lower"] == {"first", "crack"}
    assert before["last"] == {"first", "lower"}
    assert before["swing"] == {"first"}


def test_rules_hold_only_among_the_operations_given() -> None:
    before = must_precede([operation("last", after=("gone",))])
    assert before == {"last": set()}


def test_a_swing_near_another_surface_is_free() -> None:
    before = must_precede(
        [operation("swing", swings_near=("seat",)), operation("unshield", unshields=("rod",))]
    )
    assert before["unshield"] == set()


@pytest.mark.parametrize(
    "operations",
    [
        (operation("a", after=("b",)), operation("b", after=("a",))),
        (
            operation("swing", swings_near=("rod",), after=("unshield",)),
            operation("unshield", unshields=("rod",)),
        ),
        (operation("crack", needs_held=True, after=("lower",)), operation("lower", ends_hold=True)),
        (operation("first", leads=True, after=("b",)), operation("b")),
    ],
)
def test_operations_that_wait_for_each_other_are_named(
    operations: tuple[Operation, ...],
) -> None:
    with pytest.raises(ValidationError, match="can't be put in order") as error:
        StripGraph(operations=operations)
    assert all(o.key in str(error.value) for o in operations)


def test_an_operation_that_waits_for_itself_is_refused() -> None:
    with pytest.raises(ValidationError, match="can't be put in order"):
        StripGraph(operations=(operation("a", after=("a",)),))


def test_a_lost_predecessor_is_named() -> None:
    with pytest.raises(ValidationError, match="'gone'"):
        StripGraph(operations=(operation("a", after=("gone",)),))


def test_two_operations_of_one_key_are_refused() -> None:
    with pytest.raises(ValidationError, match="key of its own"):
        StripGraph(operations=(operation("a"), operation("a")))


@pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
def test_demo_graphs_survive_the_toml(key: str) -> None:
    pump = demo_pump(key)
    assert pump_from_toml(to_toml(pump)).strip == pump.strip
    assert 14 <= len(pump.strip.operations) <= 20


@pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
def test_demo_graphs_give_every_part_that_can_be_judged(key: str) -> None:
    pump = demo_pump(key)
    given = {part for o in pump.strip.operations for part in o.gives}
    judged = {
        "foot-ball", "foot-seat", "piston-ball", "piston-seat", "rod", "cylinder", "foot-housing",
        "moving-packings", "static-packings", "shim", "cage", "soft-ring", "outlet-filter",
    }  # fmt: skip
    assert judged <= given


def test_a_ring_in_a_pump_file_is_bad_input() -> None:
    text = to_toml(demo_pump("quay-air"))
    ringed = text.replace('after = [\n    "suction-off",', 'after = [\n    "seat-out",', 1)
    assert ringed != text
    with pytest.raises(BadInput, match="can't be put in order"):
        pump_from_toml(ringed)
