"""The shortest safe order to open a pump with the tools to hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import prod

from wetend.advice.reasons import Caution, Working
from wetend.advice.strip.cautions import SURFACE_WORDS, Scene, cautions_at
from wetend.advice.strip.costs import END_OF, Held
from wetend.advice.strip.order import Ordered, Placed, needed_for, put_in_order
from wetend.advice.strip.sentences import (
    TURN,
    proof_text,
    stand_in_notes,
    time_working,
    tool_names_text,
)
from wetend.advice.strip.ways import Way, lacking, tools_to_hand, ways_of
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import PART_TITLES
from wetend.pump.parts import PartName
from wetend.pump.readings import ToolBag
from wetend.pump.site import SiteFacts
from wetend.pump.strip_graph import Operation, Pose, Surface
from wetend.units.message import Message, joined
from wetend.units.quantity import Ratio, S


@dataclass(frozen=True)
class Step:
    """One step of the plan."""

    number: int
    operation: Operation
    tools: tuple[str, ...]
    """Titles of the tools picked up for it, stand-ins named as such."""
    stand_ins: tuple[str, ...]
    """What a stand-in costs or risks, a sentence each."""
    time: S
    """With tool changes and turning the pump over before it."""
    turn_to: str
    """How to lay the pump before this step, or ``""``."""
    shielded: tuple[str, ...]
    """Surfaces still shielded while this is done."""
    risk: Ratio
    cautions: tuple[Caution, ...]
    used: tuple[str, ...] = ()
    """Keys of those tools, in the order in which the operation names its needs."""


@dataclass(frozen=True)
class StripPlan:
    """The strip card."""

    goal: str
    possible: bool
    why_not: tuple[str, ...]
    """Where not possible: each operation that can't be done here, and what it lacks."""
    steps: tuple[Step, ...]
    time: S
    risk: Ratio
    """Chance of spoiling a part over the whole plan."""
    keep: tuple[str, ...]
    """What to keep and protect while apart."""
    proof: str
    """Why no shorter order exists."""
    working: Working | None
    expected: S = 0.0
    """Time with the chance of damaging a part weighed in: what the plan makes least."""
    left: S = 0.0
    """Time of the steps not done yet."""
    replanned: bool = False
    """The work so far took another way than the shortest, and the rest is planned from there."""


def plan_strip(
    pump: Pump,
    bag: ToolBag,
    *,
    done: Sequence[str] = (),
    coating: Coating | None = None,
    site: SiteFacts | None = None,
) -> StripPlan:
    """Least expected time over all orders that respect precedence, tools, holding and shielding.

    With operations done already, the plan starts with them in the order they were done. Done as
    planned, the rest stands as it was; else the rest is planned again from where the work stands.

    Args:
        pump: as described.
        bag: what is to hand and how far to open; several goals are reached in one strip.
        done: keys of operations done, in the order done; unknown ones are left aside.
        coating: what is in the pump, for the cautions of the steps; ``None``: not known.
        site: what the site asks for, likewise.

    Raises:
        NoAnswer: the pump's operations are too loosely ordered to prove a shortest order.
    """
    by_key = {o.key: o for o in pump.strip.operations}
    past = [by_key[key] for key in dict.fromkeys(done) if key in by_key]
    scene = Scene(pump, coating, site)
    plan = _planned(scene, bag, [])
    if not past:
        return plan
    keys = [s.operation.key for s in plan.steps]
    if plan.possible and keys[: len(past)] == [o.key for o in past]:
        return replace(plan, left=sum(s.time for s in plan.steps[len(past) :]))
    return replace(_planned(scene, bag, past), replanned=True)


def _planned(scene: Scene, bag: ToolBag, past: Sequence[Operation]) -> StripPlan:
    """The plan from where the work stands after some operations."""
    pump = scene.pump
    tools = tools_to_hand(bag)
    needed, not_given = needed_for(pump.strip, *bag.goals)
    off = {o.key for o in past}
    operations = tuple(o for o in needed if o.key not in off)
    why_not = [
        Message(
            "No operation of this pump frees the {part_titles}: add one to its description.",
            part_titles=PART_TITLES[part],
        )
        for part in not_given
    ]
    why_not += [
        Message(
            "{title}: needs {lacks}.", title=operation.title, lacks=joined(Message("; and "), lacks)
        )
        for operation in operations
        if (lacks := lacking(operation, tools))
    ]
    goal = joined(" + ", map(Message, bag.goals))
    if why_not:
        return StripPlan(goal, False, tuple(why_not), (), 0.0, 0.0, (), "", None)
    change = pump.strip.tool_change
    ways = {o.key: ways_of(o, tools, tool_change=change) for o in operations}
    start = Held(0, pose_after(past), END_OF[past[-1].part] if past else None)
    ordered = put_in_order(pump.strip, operations, ways, start=start)
    return _plan(scene, goal, tuple(_as_done(past, tools, change)), ordered)


def pose_after(past: Sequence[Operation]) -> Pose:
    """How the pump lies after some operations."""
    return next((o.pose for o in reversed(past) if o.pose), Held().pose)


def _as_done(past: Sequence[Operation], tools: frozenset[str], change: S) -> Iterator[Placed]:
    """What is done already, in the best way there was with these tools."""
    for operation in past:
        ways = ways_of(operation, tools, tool_change=change)
        way = ways[0] if ways else Way((), operation.time, 0.0)
        yield Placed(operation, way, turned=False, time=way.time)


def _plan(scene: Scene, goal: str, past: tuple[Placed, ...], ordered: Ordered) -> StripPlan:
    shields = {s for o in scene.pump.strip.operations for s in o.unshields}
    steps = tuple(_steps((*past, *ordered.placed), scene, shields))
    left = sum(p.time for p in ordered.placed)
    return StripPlan(
        goal=goal,
        possible=True,
        why_not=(),
        steps=steps,
        time=sum(s.time for s in steps),
        risk=1 - prod(1 - p.way.risk for p in ordered.placed),
        keep=_keep([s.operation for s in steps]),
        proof=proof_text(ordered),
        working=time_working(ordered, left),
        expected=ordered.expected,
        left=left,
    )


def _steps(placed: Sequence[Placed], scene: Scene, shields: set[Surface]) -> Iterator[Step]:
    """The steps with what is still shielded at each, from what the whole pump shields."""
    bare: set[Surface] = set()
    pose = Held().pose
    opened: set[PartName] = set()
    loose = False
    for number, one in enumerate(placed, start=1):
        operation = one.operation
        pose = operation.pose or pose
        yield Step(
            number=number,
            operation=operation,
            tools=tool_names_text(one.way),
            stand_ins=tuple(stand_in_notes(one.way)),
            time=one.time,
            turn_to=TURN[pose] if one.turned else "",
            shielded=tuple(SURFACE_WORDS[s] for s in sorted(shields - bare)),
            risk=one.way.risk,
            cautions=cautions_at(
                operation, scene, tools=one.way.tools, bare=bare, opened=opened, loose=loose
            ),
            used=tuple(c.tool for c in one.way.choices),
        )
        loose = loose or operation.ends_hold
        bare |= {*operation.exposes, *operation.unshields}
        opened.add(operation.part)


def _keep(operations: Sequence[Operation]) -> tuple[str, ...]:
    """What to keep and protect, for the parts that come out. Common practice, no source."""
    given = {part for o in operations for part in o.gives}
    bare = {s for o in operations for s in (*o.exposes, *o.unshields)}
    rules = (
        (
            "shim" in given,
            Message("Shims: count them, measure each, note where they lay; bag them."),
        ),
        (
            "foot-seat" in given,
            Message("Seat: mark which face met the ball before it leaves your hand."),
        ),
        (
            "foot-ball" in given,
            Message("Balls: wrap each, foot and piston valve apart; never drop one."),
        ),
        (
            "moving-packings" in given,
            Message("V-rings: thread each set on a wire in order, lips one way."),
        ),
        (
            "rod" in given,
            Message("Rod: wrap the chrome, lay it along timber, never across a vice's jaws."),
        ),
        ("seal-land" in bare, Message("Seal lands: cover them; no scraper, no screwdriver.")),
        (
            "thread" in bare,
            Message("Threads: brush clean, cap them, no spanner inside a threaded bore."),
        ),
        (bool(given), Message("Small parts: one tray for each end, in the order they came out.")),
    )
    return tuple(text for holds, text in rules if holds)
