"""The rebuild plan: order, tools, torques and checks."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from wetend.advice.reasons import Caution, Verdict, Working
from wetend.advice.rebuild.answer import StackFit
from wetend.advice.rebuild.jobs import Job, jobs_of
from wetend.advice.rebuild.notes import (
    BALL_OF,
    FRESH_CONE,
    Bench,
    Picture,
    cautions_of,
    check_of,
    gives,
    notes_of,
    picture_of,
    torque_note,
    torque_of,
)
from wetend.advice.rebuild.torque import pull_on
from wetend.advice.strip.cautions import SURFACE_WORDS, Scene
from wetend.advice.strip.costs import Held
from wetend.advice.strip.order import Placed, needed_for, put_in_order
from wetend.advice.strip.sentences import (
    TURN,
    proof_text,
    stand_in_notes,
    time_working,
    tool_names_text,
)
from wetend.advice.strip.ways import lacking, tools_to_hand, ways_of
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import PART_TITLES
from wetend.pump.parts import PartName
from wetend.pump.readings import ToolBag
from wetend.pump.site import SiteFacts
from wetend.pump.strip_graph import Operation, Surface
from wetend.units.message import Message, joined
from wetend.units.quantity import NM, M, N, S

FIRST_HOUR = Message(
    "After the first hour of work: pressure off and proven zero, then check the "
    "gland, the wet cup and every joint again; V-rings and soft rings settle."
)


@dataclass(frozen=True)
class RebuildStep:
    """One step of the rebuild."""

    number: int
    key: str
    title: str
    how: str
    tools: tuple[str, ...]
    stand_ins: tuple[str, ...]
    time: S
    turn_to: str
    shielded: tuple[str, ...]
    notes: tuple[str, ...]
    """What is fitted new, ring order, lips, sizes, shims."""
    check: str
    """What must be true before the next step, or ``""``."""
    torque: NM | None
    lever: M | None
    pull: N | None
    """At the end of that lever, for that torque."""
    cautions: tuple[Caution, ...]
    picture: Picture = ""
    """Which drawing stands beside it."""
    used: tuple[str, ...] = ()
    """Keys of its tools, in the order in which the operation names its needs."""


@dataclass(frozen=True)
class RebuildPlan:
    """The rebuild card."""

    possible: bool
    why_not: tuple[str, ...]
    steps: tuple[RebuildStep, ...]
    time: S
    expected: S
    fresh: tuple[str, ...]
    """New parts to have beside the pump before the first step."""
    afterwards: tuple[str, ...]
    proof: str
    working: Working | None


@dataclass(frozen=True)
class Found:
    """What inspection and stack say, where they are known."""

    fit: StackFit | None = None
    lever: M | None = None
    verdicts: Mapping[PartName, Verdict] = field(default_factory=dict)
    coating: Coating | None = None


def apart_of(pump: Pump, bag: ToolBag, done: Collection[str]) -> tuple[Operation, ...]:
    """Operations to undo: those done, or all the bag's goals need where none is done yet."""
    if done:
        return tuple(o for o in pump.strip.operations if o.key in done)
    return needed_for(pump.strip, *bag.goals)[0]


def plan_rebuild(
    pump: Pump,
    bag: ToolBag,
    *,
    done: Collection[str] = (),
    found: Found | None = None,
    site: SiteFacts | None = None,
) -> RebuildPlan:
    """Least expected time over all orders that respect the rebuild's own rules.

    Args:
        pump: as described.
        bag: tools to hand, and the strip's goal.
        done: operations of the strip done; none: as if its goal were reached.
        found: the stack's fit, the lever, and verdicts on parts.
        site: what the site asks for, for the cautions of the steps; ``None``: not known.

    Raises:
        NoAnswer: the operations are too loosely ordered to prove a shortest order.
    """
    found = found or Found()
    tools = tools_to_hand(bag)
    jobs = jobs_of(apart_of(pump, bag, done))
    fitted = frozenset(part for job in jobs for part in gives(job))
    bench = Bench(pump, found.fit, found.lever, found.verdicts, found.coating, fitted)
    why_not = tuple(
        Message(
            "{title}: needs {lacks}.", title=job.said.title, lacks=joined(Message("; and "), lacks)
        )
        for job in jobs
        if (lacks := lacking(job.operation, tools))
    )
    if why_not:
        return RebuildPlan(False, why_not, (), 0.0, 0.0, _fresh(found.verdicts), (), "", None)
    operations = tuple(job.operation for job in jobs)
    ways = {o.key: ways_of(o, tools, tool_change=pump.strip.tool_change) for o in operations}
    ordered = put_in_order(pump.strip, operations, ways)
    by_key = {job.operation.key: job for job in jobs}
    time = sum(p.time for p in ordered.placed)
    return RebuildPlan(
        possible=True,
        why_not=(),
        steps=tuple(_steps(ordered.placed, by_key, bench, Scene(pump, found.coating, site))),
        time=time,
        expected=ordered.expected,
        fresh=_fresh(found.verdicts),
        afterwards=(FIRST_HOUR,),
        proof=proof_text(ordered),
        working=time_working(ordered, time, title=Message("Expected time of the rebuild")),
    )


def _fresh(verdicts: Mapping[PartName, Verdict]) -> tuple[str, ...]:
    new = [part for part, verdict in verdicts.items() if verdict is Verdict.REPLACE]
    new += [ball for seat, ball in BALL_OF.items() if verdicts.get(seat) in FRESH_CONE]
    return tuple(PART_TITLES[part] for part in dict.fromkeys(new))


def _steps(
    placed: Sequence[Placed], jobs: Mapping[str, Job], bench: Bench, scene: Scene
) -> Iterator[RebuildStep]:
    """The steps, with which surfaces stand bare until their shield is back."""
    undone = [jobs[p.operation.key].undone for p in placed]
    shields: set[Surface] = {s for o in bench.pump.strip.operations for s in o.unshields}
    bare: set[Surface] = {s for o in undone if o for s in o.unshields}
    pose = Held().pose
    for number, one in enumerate(placed, start=1):
        job = jobs[one.operation.key]
        pose = one.operation.pose or pose
        if job.undone:
            bare -= set(job.undone.unshields)
        yield _step(one, job, bench=bench, scene=scene, number=number, bare=bare,
                    shielded=shields - bare, turn_to=TURN[pose] if one.turned else "")  # fmt: skip


def _step(
    one: Placed, job: Job, *, bench: Bench, scene: Scene, number: int, bare: set[Surface],
    shielded: set[Surface], turn_to: str,
) -> RebuildStep:  # fmt: skip
    torque = torque_of(job, bench)
    pull = pull_on(torque, bench.lever)
    unknown = torque_note(job, torque)
    return RebuildStep(
        number=number,
        key=one.operation.key,
        title=job.said.title,
        how=job.said.how,
        tools=tool_names_text(one.way),
        stand_ins=tuple(stand_in_notes(one.way)),
        time=one.time,
        turn_to=turn_to,
        shielded=tuple(SURFACE_WORDS[s] for s in sorted(shielded)),
        notes=tuple(n for n in (*notes_of(job, bench), unknown) if n),
        check=check_of(job, bench),
        torque=torque,
        lever=bench.lever if torque is not None else None,
        pull=pull,
        cautions=cautions_of(
            job, scene, tools=one.way.tools, bare=bare, first=number == 1, pull=pull
        ),
        picture=picture_of(job),
        used=tuple(c.tool for c in one.way.choices),
    )
