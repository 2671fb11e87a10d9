"""Strip, parts to measure, stack sizes and rebuild as acts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from wetend.advice.diagnosis.answers import Diagnosis
from wetend.advice.safety.site_hazards import at_the_bench
from wetend.pump.parts import PartName
from wetend.pump.readings import Goal
from wetend.records.entries import PAYLOADS, EntryKind
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.units.quantity import M, Minutes, unit_of
from wetend.units.show import show
from wetend.workflows.acts.act import Act
from wetend.workflows.fitted import FittedView
from wetend.workflows.rebuild import RebuildView
from wetend.workflows.strip import StripView


@dataclass(frozen=True)
class Measuring:
    """One part to measure: what of it is asked for first, and what may be added."""

    key: str
    title: str
    kind: EntryKind
    fields: tuple[str, ...]
    more: tuple[str, ...]
    of: PartName | None
    """The part that must be out; ``None`` where it is measured by choice alone."""
    fixed: Mapping[str, str] = field(default_factory=dict)
    minutes: Minutes = 3.0


_SEAT = ("chip_width", "depth_by", "band_width", "faces_used", "instrument", "note")
_TEST = ("solvent", "least_seen", "note")
_RINGS = ("free_height", "instrument", "note")
MEASURED: Final = (
    Measuring(
        "foot-ball", Message("Measure the foot-valve ball, turning it in between"), "ball",
        ("marks", "diameters"), ("instrument", "note"), "foot-ball", {"end": "foot"},
    ),
    Measuring(
        "foot-seat", Message("Look at the foot-valve seat, measure its deepest chip"), "seat",
        ("concentric", "chip_depth"), _SEAT, "foot-seat", {"end": "foot"},
    ),
    Measuring(
        "foot-test", Message("Pour solvent on the foot valve's seated ball"), "solvent-test",
        ("head", "time", "lost"), _TEST, None, {"end": "foot"}, 20.0,
    ),
    Measuring(
        "rod", Message("Look the piston rod over, measure its deepest scratch"), "rod",
        ("chrome", "scratch_depth"),
        ("scratch_width", "scratch_at", "depth_by", "ends", "diameters", "stations", "run_out",
         "instrument", "note"), "rod", minutes=4.0,
    ),
    Measuring(
        "cylinder", Message("Measure the cylinder's bore, height by height"), "cylinder",
        ("diameters", "score_depth"),
        ("score_width", "score_direction", "depth_by", "per_height", "heights", "dial",
         "instrument", "note"), "cylinder", minutes=6.0,
    ),
    Measuring(
        "seal-land", Message("Lay a straightedge on the seal land, look for light"), "seal-land",
        ("thread", "gap"), ("mark_depth", "instrument", "note"), "foot-seat",
    ),
    Measuring(
        "moving-packings", Message("Look at the lips of the moving packings"), "packings",
        ("lips", "gap"), _RINGS, "moving-packings", {"set": "moving"},
    ),
    Measuring(
        "static-packings", Message("Look at the lips of the static packings"), "packings",
        ("lips", "gap"), _RINGS, "static-packings", {"set": "static"},
    ),
    Measuring(
        "piston-ball", Message("Measure the piston-valve ball, turning it in between"), "ball",
        ("marks", "diameters"), ("instrument", "note"), "piston-ball", {"end": "piston"},
    ),
    Measuring(
        "piston-seat", Message("Look at the piston-valve seat, measure its deepest chip"), "seat",
        ("concentric", "chip_depth"), _SEAT, "piston-seat", {"end": "piston"},
    ),
    Measuring(
        "piston-test", Message("Pour solvent on the piston valve's seated ball"), "solvent-test",
        ("head", "time", "lost"), _TEST, None, {"end": "piston"}, 20.0,
    ),
)  # fmt: skip
"""What is measured, in the order the parts come apart. Minutes are common practice, no source."""


def goal_of(diagnosis: Diagnosis | None) -> Goal | None:
    """How far to open first, by what the readings say."""
    if diagnosis is None or diagnosis.leave_wet_end:
        return None
    for opening in diagnosis.openings:
        for fault in opening.faults:
            if opening.inside and fault.mending.goal is not None:
                return fault.mending.goal
    return None


def bag(visit: Visit, diagnosis: Diagnosis | None, *, due: bool) -> Act:
    """Choosing how far to open, and with which tools."""
    return Act(
        "bag", "strip", Message("Choose how far to open"), "tool-bag", ("goal",),
        ("tools", "vice", "place", "also"), how=diagnosis.open_first if diagnosis else "",
        done=visit.bag is not None, due=due,
    )  # fmt: skip


def strip(seen: StripView, *, due: bool) -> Iterator[Act]:
    """The steps of the strip, each on its own page."""
    steps = seen.plan.steps if seen.plan and seen.plan.possible else ()
    for step in steps:
        yield Act(
            step.operation.key, "strip", step.operation.title, minutes=step.time / 60,
            cautions=step.cautions, done=step.operation.key in seen.done, due=due, zero=True,
            path=f"strip/steps#step-{step.number}", how=step.operation.how,
        )  # fmt: skip


def _out(seen: StripView) -> frozenset[PartName]:
    """The parts that this strip lets be judged."""
    steps = seen.plan.steps if seen.plan and seen.plan.possible else ()
    return frozenset(part for step in steps for part in step.operation.gives)


def _is_measured(visit: Visit, each: Measuring) -> bool:
    noun = PAYLOADS[each.kind]
    return any(
        isinstance(m, noun) and all(getattr(m, n) == v for n, v in each.fixed.items())
        for m in visit.measured
    )


def _sound(visit: Visit, key: str) -> dict[str, str]:
    """What a new part measures."""
    pump, length = visit.pump, unit_of(M)
    new = {
        "foot-ball": pump.foot_valve.ball_diameter,
        "piston-ball": pump.piston_valve.ball_diameter,
        "cylinder": pump.cylinder.bore,
    }
    return {"diameters": show(new[key], length)} if key in new else {}


def inspect(seen: StripView, *, due: bool) -> Iterator[Act]:
    """The parts to measure: those that the strip lays open come up by themselves."""
    visit, out = seen.visit, _out(seen)
    for each in MEASURED:
        cautions = at_the_bench(visit.coating, solvent=each.kind == "solvent-test")
        yield Act(
            each.key, "inspect", each.title, each.kind, each.fields, each.more,
            minutes=each.minutes, cautions=cautions, done=_is_measured(visit, each),
            due=due and each.of in out, sound=_sound(visit, each.key), fixed=each.fixed,
        )  # fmt: skip


def fitted(seen: FittedView, *, due: bool) -> Act:
    """Saying once what goes back in."""
    recorded = any(line.kept for line in seen.lines)
    return Act(
        "fitted", "inspect", Message("Enter what goes back in, part by part"), "part-fitted",
        tuple(line.part for line in seen.lines if line.at_hand),
        done=recorded and not seen.missing, due=due and bool(seen.visit.measured),
    )  # fmt: skip


def stack(seen: RebuildView, strip_seen: StripView, *, due: bool) -> Iterator[Act]:
    """The sizes of the seal stack, one at a time, then the shims in the tin and the lever."""
    visit = seen.visit
    open_now = due and bool({"cage", "foot-seat"} & _out(strip_seen))
    known = visit.stack
    rings = visit.pump.stack.parts
    yield Act(
        "heights", "rebuild", Message("Measure the heights of the rings, clean and dry"), "stack",
        tuple(f"heights.{part.name}" for part in rings), ("height_spread",), minutes=4.0,
        done=known is not None and all(part.name in known.heights for part in rings),
        due=open_now, sound={f"heights.{p.name}": show(p.height, unit_of(M)) for p in rings},
    )  # fmt: skip
    yield Act(
        "tin", "rebuild", Message("Enter every shim in the tin, and the lever's length"), "stack",
        ("tin", "lever"), ("depth", "target"), minutes=1.5, due=open_now,
        done=known is not None and bool(known.tin) and known.lever is not None,
    )  # fmt: skip


def rebuild(seen: RebuildView, *, due: bool) -> Iterator[Act]:
    """The steps of the rebuild, each on its own page."""
    steps = seen.plan.steps if seen.plan and seen.plan.possible else ()
    for step in steps:
        yield Act(
            step.key, "rebuild", step.title, minutes=step.time / 60, cautions=step.cautions,
            done=step.key in seen.done, due=due, zero=True, how=step.how,
            path=f"rebuild/steps#step-{step.number}",
        )  # fmt: skip
