"""Notes for rebuild steps: sizes, lips, shims, torque."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from wetend.advice.handover.care import wet_cup_liquid
from wetend.advice.inspect.seals import soaked
from wetend.advice.reasons import Caution, Verdict
from wetend.advice.rebuild.answer import StackFit
from wetend.advice.rebuild.jobs import Job
from wetend.advice.rebuild.torque import HARD_PULL, gland_setting, gland_text, pull_on
from wetend.advice.rebuild.turn import clock_text
from wetend.advice.safety.hazards import caution, for_screen
from wetend.advice.safety.site_hazards import cleaning
from wetend.advice.strip.cautions import Scene, moved, near_bare, own, swung
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import PART_TITLES
from wetend.pump.parts import Packings, PartName
from wetend.pump.strip_graph import Surface
from wetend.units.message import Message, joined
from wetend.units.quantity import NM, M, N, unit_of
from wetend.units.show import fine_length, show

Picture = Literal["", "stack", "clock", "static-packings", "moving-packings"]
_SOLVENT_BURNS = Message(
    "Solvent burns: no flame, spark or hot surface, ventilate, in a bonded metal can or pail."
)
BALL_OF: dict[PartName, PartName] = {"foot-seat": "foot-ball", "piston-seat": "piston-ball"}
FRESH_CONE = (Verdict.REPLACE, Verdict.TURN, Verdict.DRESS)
"""Verdicts on a seat that want a new ball to it."""
_HOUSING: frozenset[PartName] = frozenset({"foot-housing", "clamp-ring"})


@dataclass(frozen=True)
class Bench:
    """Context of a rebuild: inspection and stack results."""

    pump: Pump
    fit: StackFit | None
    lever: M | None
    verdicts: Mapping[PartName, Verdict]
    coating: Coating | None = None
    fitted: frozenset[PartName] = frozenset()
    """Every part that goes back."""


def gives(job: Job) -> frozenset[PartName]:
    """Parts that a step puts back."""
    return frozenset(job.undone.gives) if job.undone else frozenset()


def picture_of(job: Job) -> Picture:
    """Which drawing stands beside a step."""
    parts = gives(job)
    if parts & {"cage", "shim", "soft-ring"} and "cage" in parts:
        return "stack"
    if job.role == "tighten" and job.operation.part in _HOUSING:
        return "clock"
    if "static-packings" in parts:
        return "static-packings"
    return "moving-packings" if "moving-packings" in parts else ""


def notes_of(job: Job, bench: Bench) -> Iterator[str]:
    """A sentence each: what is fitted new, sizes, directions."""
    parts = gives(job)
    yield from _judged(parts, bench.verdicts)
    if job.role == "clean":
        yield from _to_soak(bench)
    if job.role == "fill":
        yield Message("In it: {coating}", coating=wet_cup_liquid(bench.coating))
    if "cage" in parts:
        yield from _stack_order(bench)
        yield LIFT_BOTH_WAYS
    for part, packings in packings_of(bench.pump):
        if part in parts:
            yield from _packings(packings)
    if job.role == "gland-set":
        yield gland_text(bench.pump, bench.lever)
        yield Message("Free play: note how far the nut turns by hand from loose to first touch.")
    if "foot-housing" in parts and bench.pump.stack.starts > 1:
        yield Message(
            "A thread of {starts} starts: enter it on the one marked.",
            starts=bench.pump.stack.starts,
        )
    if bench.pump.stack.held_by == "clamp-ring" and parts & _HOUSING:
        target = bench.fit.target if bench.fit else bench.pump.stack.target
        yield Message(
            "Set the elbow to {target} by hand and hold it there.", target=clock_text(target)
        )


def _judged(parts: frozenset[PartName], verdicts: Mapping[PartName, Verdict]) -> Iterator[str]:
    for part in sorted(parts):
        verdict, title = verdicts.get(part), PART_TITLES[part]
        if verdict is Verdict.REPLACE:
            yield Message("New: {title}, as the inspection found.", title=title)
        elif verdict is Verdict.TURN:
            yield Message("Turn over: {title}, the fresh face to the ball.", title=title)
        elif verdict is Verdict.DRESS:
            yield Message("Dressed first: {title}.", title=title)
        if part in BALL_OF and verdict in FRESH_CONE:
            yield Message(
                "New with it: {part_titles}; a worn one never fits a fresh cone.",
                part_titles=PART_TITLES[BALL_OF[part]],
            )
        elif verdict is Verdict.MEASURE_AGAIN:
            yield Message(
                "Not judged yet: measure the {title} again before it goes in.", title=title
            )


def _stack_order(bench: Bench) -> Iterator[str]:
    if bench.fit is None:
        described = [p.title or p.name.replace("-", " ") for p in bench.pump.stack.parts]
        yield Message(
            "From the housing's floor up: {described}; ball on the seat.",
            described=joined(", ", described),
        )
        yield Message("Shims: measure heights and tin first, so that the set can be calculated.")
        return
    names = joined(", ", (x.title for x in bench.fit.layers))
    yield Message("From the housing's floor up: {names}; ball on the seat.", names=names)
    shims = joined(" + ", (fine_length(s) for s in bench.fit.shims)) or Message("none")
    yield Message("Shims on top of the cage: {shims}.", shims=shims)


LIFT_BOTH_WAYS = Message(
    "Less lift or a ball spring closes the valve sooner but costs suction; a "
    "thick coating may need the upper half of the lift range."
)


def _to_soak(bench: Bench) -> Iterator[str]:
    """Leather that has to lie in oil while the rest is done."""
    for part, packings in packings_of(bench.pump):
        if part in bench.fitted and packings.leather:
            yield Message(
                "Start soaking the new {part_titles} now. {packings}",
                part_titles=PART_TITLES[part],
                packings=soaked(packings),
            )


def packings_of(pump: Pump) -> tuple[tuple[PartName, Packings], ...]:
    """Both sets by the part they are."""
    return ("moving-packings", pump.moving_packings), ("static-packings", pump.static_packings)


def _packings(packings: Packings) -> Iterator[str]:
    """Ring order, lips, set height."""
    up = packings.lips_face != "down"
    lips = Message("upwards") if up else Message("downwards")
    above, below = Message("on top"), Message("below")
    wedge, hollow = (above, below) if up else (below, above)
    yield Message("{rings} V-rings, lips {lips}: to the pressure.", rings=packings.rings, lips=lips)
    if packings.order:
        yield Message("From below: {order}.", order=packings.order)
    else:
        yield Message(
            "Rings of two materials in the order of the maker's drawing, or as they came out."
        )
    yield Message(
        "Adapters: the wedge in the open lips, {wedge}; the hollow one at their backs, {hollow}.",
        wedge=wedge,
        hollow=hollow,
    )
    if packings.split != "no":
        yield (
            Message("Split rings: joints staggered, each a third of a turn from the last.")
            if packings.split == "yes"
            else Message(
                "Rings that are split: joints staggered, each a third of a turn from the last."
            )
        )
    if packings.leather:
        yield soaked(packings)
    yield (
        Message(
            "Height of the set, free: {height} new, at least {free_height_limit}.",
            height=fine_length(packings.height),
            free_height_limit=fine_length(packings.free_height_limit),
        )
    )


def check_of(job: Job, bench: Bench) -> str:
    """What must be true before the next step."""
    fit, valve = bench.fit, bench.pump.foot_valve
    if "cage" in gives(job):
        limits = Message(
            "{lift_low} to {lift_high}",
            lift_low=fine_length(valve.lift_low),
            lift_high=fine_length(valve.lift_high),
        )
        lift = (
            Message("about {lift}, within {limits}", lift=fine_length(fit.lift), limits=limits)
            if fit
            else limits
        )
        return Message("{check} Its lift: {lift}.", check=job.said.check, lift=lift)
    if job.role == "tighten" and job.operation.part in _HOUSING and fit:
        if fit.turns_freely:
            return Message("The elbow still points to {target}.", target=clock_text(fit.target))
        return Message(
            "The elbow stops at {clock}, likely {clock_low} to {clock_high}. If it does "
            "not, go back to the shims: no more torque.",
            clock=fit.clock,
            clock_low=fit.clock_low,
            clock_high=fit.clock_high,
        )
    if job.operation.part == "clamp-ring" and job.role == "tighten":
        return Message("The elbow still points where it was set.")
    if job.role == "gland-set":
        return Message("The rod moves and the nut is level; its position is written down.")
    return job.said.check


def torque_of(job: Job, bench: Bench) -> NM | None:
    """Torque of a step, from the pump's description, else as computed for the stack."""
    undone = job.undone
    if undone is None:
        return None
    if undone.back_torque is not None:
        return undone.back_torque
    if job.role == "gland-set":
        setting = gland_setting(bench.pump)
        torque = setting.torque if setting else None
        return torque if pull_on(torque, bench.lever) is not None else None
    housing = job.role == "tighten" and undone.part in _HOUSING
    return bench.fit.torque if housing and bench.fit else None


def torque_note(job: Job, torque: NM | None) -> str:
    """What to tighten to where no torque is known; ``""`` where none is wanted or one is known."""
    screwed = job.role in ("tighten", "hang") or job.operation.part in ("piston", "coupling")
    return Message("Torque: see the maker's manual.") if screwed and torque is None else ""


def cautions_of(
    job: Job,
    scene: Scene,
    *,
    tools: frozenset[str],
    bare: set[Surface],
    first: bool,
    pull: N | None,
) -> tuple[Caution, ...]:
    """What can hurt a person or a part at a step, one a hazard, the gravest first."""
    found = [*_put_back(job, scene, tools), *_of_its_own(job, scene, first=first)]
    if pull is not None and pull > HARD_PULL:
        found.append(
            caution(
                "hard-pull",
                Message(
                    "This lever needs a pull of {pull}, more than most people can control: use a "
                    "longer one made for it.",
                    pull=show(pull, unit_of(N)),
                ),
            )
        )
    return for_screen(*found, *near_bare(job.operation, tools, bare))


def _put_back(job: Job, scene: Scene, tools: frozenset[str]) -> Iterator[Caution]:
    """What the strip's own operation can do, now that it is undone."""
    if job.undone is None:
        return
    if job.undone.part != "outlet-filter":  # nothing is under pressure there any more
        yield from own(job.undone.cautions)
    yield from moved(job.undone, scene)
    yield from swung(job.undone, tools)


def _of_its_own(job: Job, scene: Scene, *, first: bool) -> Iterator[Caution]:
    """What the rebuild's own steps can do: cleaning, solvent on a ball, the rod pushed by hand."""
    if first:
        yield caution(
            "stored-pressure",
            Message("Reassemble only a pump whose zero is proven and still holds."),
        )
    key = job.operation.key
    if job.role == "clean":
        yield from cleaning(scene.coating)
    if job.role == "fill":
        yield caution("fire", _SOLVENT_BURNS)
    if job.role == "check" and key.startswith("solvent"):
        yield caution("fire", _SOLVENT_BURNS)
        yield caution("health")
    if job.role == "check" and key.startswith("slide"):
        yield caution("pinch")
    if job.role == "look-over":
        yield caution("low-pressure-first")
    if job.operation.part in ("cage", "foot-seat") and job.role == "back":
        yield caution("stack" if job.operation.part == "cage" else "thread")
