"""Pumps at random: any that the forms accept, and builds whose sizes go together.

The second kind mixes the arrangements of the demo pumps: how the foot valve is held and by which
hand of thread, how the cylinder, the coupling, the piston and both packings come apart. Its sizes
keep the proportions of a pump that can be built (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from hypothesis import strategies as st
from pydantic import ValidationError

from wetend.pump.description import Pump
from wetend.pump.strip_graph import Operation, must_precede
from wetend.pump.toml import DEMO_PUMPS, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}
LENGTHS = {
    ("stroke",): (0.006, 1.0),
    ("cylinder", "bore"): (0.006, 0.5),
    ("cylinder", "length"): (0.011, 2.0),
    ("cylinder", "outside"): (0.006, 0.7),
    ("rod", "diameter"): (0.0041, 0.4),
    ("foot_valve", "ball_diameter"): (0.003, 0.2),
    ("foot_valve", "seat_bore"): (0.0011, 0.2),
    ("foot_valve", "seat_half_angle"): (0.21, 1.39),
    ("foot_valve", "seat_width"): (1e-4, 0.02),
    ("piston_valve", "ball_diameter"): (0.003, 0.2),
    ("piston_valve", "seat_bore"): (0.0011, 0.2),
    ("piston_valve", "seat_half_angle"): (0.21, 1.39),
    ("moving_packings", "height"): (0.0005, 0.3),
    ("static_packings", "height"): (0.0005, 0.3),
    ("stack", "depth"): (0.001, 0.5),
    ("stack", "thread_diameter"): (0.001, 0.5),
    ("stack", "cage_floor"): (1e-4, 0.1),
    ("suction", "bore"): (0.0011, 0.3),
}
"""Sizes that a form takes, and how far they may go."""
KINDS = ("seat", "soft-ring", "cage", "shim", "spacer")


@st.composite
def accepted_pumps(draw: st.DrawFn) -> Pump:
    """Pumps that the forms accept, however odd, each with one of the strips that they offer."""
    data = PUMPS[draw(st.sampled_from(DEMO_PUMPS))].model_dump()
    for path in draw(st.lists(st.sampled_from(sorted(LENGTHS)), max_size=8, unique=True)):
        holder = data
        for name in path[:-1]:
            holder = holder[name]
        holder[path[-1]] = draw(st.floats(*LENGTHS[path]))
    data["moving_packings"]["rings"] = draw(st.integers(1, 20))
    data["static_packings"]["lips_face"] = draw(st.sampled_from(["up", "down"]))
    data["stack"]["held_by"] = draw(st.sampled_from(["thread", "clamp-ring"]))
    if draw(st.booleans()):
        kinds = draw(st.lists(st.sampled_from(KINDS), min_size=2, max_size=20))
        data["stack"]["parts"] = [
            {"name": f"r{i}", "kind": kind, "stiffness": 1e8, "height": draw(st.floats(1e-5, 0.2)),
             "outside": draw(st.floats(0.001, 0.4)), "inside": draw(st.floats(0, 0.4))}
            for i, kind in enumerate(kinds)
        ]  # fmt: skip
    data["name"] = draw(st.text(min_size=1, max_size=80).filter(lambda t: t.strip()))
    try:
        return Pump.model_validate(data)
    except ValidationError:
        return PUMPS["quay-air"]


_SAME = {
    "collets-off": "coupling-off", "foot-housing-off": "foot-off", "clamp-ring-crack": "foot-crack",
    "foot-housing-down": "foot-off", "tie-bolts-crack": "cylinder-crack",
    "piston-nut-off": "piston-open", "static-packings-out": "static-out",
    "cartridge-out": "static-out",
}  # fmt: skip
"""What each demo pump calls an operation that both have in their own way."""
_SLOTS = (
    ("slacken-gland", "gland-nut-off"), ("hose-off", "filter-out"), ("suction-off",),
    ("foot-crack", "foot-off"), ("cylinder-crack", "cylinder-off"), ("coupling-off",),
    ("ram-up",), ("wet-end-off",), ("cage-out",), ("seat-out",), ("rod-out",),
    ("piston-open",), ("piston-valve-out",), ("moving-packings-off",), ("static-out",),
)  # fmt: skip
"""Operations that go together, so that a build has them all in one way."""


def _named(key: str) -> str:
    return _SAME.get(key, key)


def _ways() -> dict[str, dict[str, dict[str, Any]]]:
    return {
        key: {_named(o.key): {**o.model_dump(), "key": _named(o.key),
                              "after": tuple(_named(a) for a in o.after)}
              for o in pump.strip.operations}
        for key, pump in PUMPS.items()
    }  # fmt: skip


def mixed_strip(chosen: Mapping[str, str]) -> list[dict[str, Any]]:
    """Operations of a build that takes each slot, by its first operation, from a demo pump."""
    ways = _ways()
    found = [
        ways[chosen[slot[0]]][key]
        for slot in _SLOTS
        for key in slot
        if key in ways[chosen[slot[0]]]
    ]
    there = {o["key"] for o in found}
    for each in found:
        each["after"] = tuple(a for a in each["after"] if a in there)
    return found


@st.composite
def built_pumps(draw: st.DrawFn) -> Pump:
    """Pumps whose sizes go together, in any mixture of the arrangements."""
    chosen = {slot[0]: draw(st.sampled_from(DEMO_PUMPS)) for slot in _SLOTS}
    base = PUMPS[chosen["foot-crack"]]
    data = base.model_dump()
    big = draw(st.floats(0.6, 2.0))

    def share(low: float, high: float) -> float:
        return draw(st.floats(low, high))

    bore = data["cylinder"]["bore"] = base.cylinder.bore * big
    data["stroke"] = bore * share(1.2, 3.5)
    data["cylinder"]["outside"] = bore * share(1.2, 1.5)
    data["rod"]["diameter"] = bore * share(0.55, 0.8)
    _foot(draw, data, bore)
    ball = data["piston_valve"]["ball_diameter"] = bore * share(0.4, 0.55)
    data["piston_valve"]["seat_bore"] = ball * share(0.5, 0.7)
    data["piston_valve"]["lift_low"] = ball * 0.1
    data["piston_valve"]["lift_high"] = ball * share(0.12, 0.3)
    for packings in ("moving_packings", "static_packings"):
        data[packings]["rings"] = draw(st.integers(2, 9))
        data[packings]["height"] = bore * share(0.4, 0.9)
        data[packings]["lips_face"] = draw(st.sampled_from(["up", "down"]))
    data["cylinder"]["length"] = data["stroke"] + bore * share(2.2, 3.0)
    data["suction"]["bore"] = bore * share(0.5, 0.8)
    data["drive"]["kind"] = draw(st.sampled_from(["air", "hydraulic", "electric", "engine"]))
    data["stack"]["hand"] = draw(st.sampled_from(["right", "left"]))
    data["strip"]["operations"] = mixed_strip(chosen)
    return Pump.model_validate(data)


def _foot(draw: st.DrawFn, data: dict[str, Any], bore: float) -> None:
    """Foot valve and stack: seat, cage, soft rings under and over it or only under it."""
    valve, stack = data["foot_valve"], data["stack"]
    ball = valve["ball_diameter"] = bore * draw(st.floats(0.5, 0.65))
    valve["seat_bore"] = ball * draw(st.floats(0.55, 0.7))
    valve["seat_width"] = ball * draw(st.floats(0.1, 0.2))
    valve["lift_low"], valve["lift_high"] = 0.08 * ball, ball * draw(st.floats(0.15, 0.3))
    wide, inside = ball * draw(st.floats(1.4, 1.7)), ball * draw(st.floats(1.06, 1.15))
    thin = bore * draw(st.floats(0.03, 0.06))
    tall = ball * draw(st.floats(1.1, 1.4))
    by_name = {p["name"]: p for p in stack["parts"]}
    sized = {
        "seat": (ball * draw(st.floats(0.45, 0.6)), wide, valve["seat_bore"]),
        "soft-ring-lower": (thin, wide, inside),
        "cage": (tall, wide, inside),
        "soft-ring-upper": (thin, wide * draw(st.floats(1.0, 1.15)), inside * 1.2),
    }
    kept = [n for n in sized if n != "soft-ring-upper" or draw(st.booleans())]
    for name in kept:
        height, outside, bored = sized[name]
        by_name[name].update(height=height, outside=outside, inside=min(bored, 0.9 * outside))
    stack["parts"] = [by_name[n] for n in kept]
    total = sum(p["height"] for p in stack["parts"])
    stack["depth"] = total * draw(st.floats(1.0, 1.06))
    stack["thread_diameter"] = bore * draw(st.floats(1.35, 1.7))
    stack["cage_floor"] = tall * draw(st.floats(0.75, 0.9))


@st.composite
def orders(draw: st.DrawFn, operations: Iterable[Operation]) -> list[Operation]:
    """All these operations in any order that the strip graph lets through."""
    waiting = {o.key: o for o in operations}
    before = must_precede(tuple(waiting.values()))
    done: list[Operation] = []
    while waiting:
        ready = [k for k in waiting if not before[k] & waiting.keys()]
        done.append(waiting.pop(draw(st.sampled_from(ready))))
    return done
