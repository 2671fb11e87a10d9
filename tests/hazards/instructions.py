"""Every instruction that the tool can give, with the cautions that go before it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from wetend.advice.diagnosis.checks import CHECKS
from wetend.advice.diagnosis.not_running import CAUSES
from wetend.advice.handover.care import TITLES, care_lists
from wetend.advice.prove.acts import ACTS
from wetend.advice.reasons import Caution
from wetend.advice.rebuild.plan import Found, plan_rebuild
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.pump.coating import Coating
from wetend.pump.readings import Goal, ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

GOALS: tuple[Goal, ...] = ("foot-valve", "piston", "static-packings", "whole")
BAGS = {
    "every tool": tuple(tool_titles()),
    "tailgate": (
        "c-spanner", "pipe-wrench", "second-pipe-wrench", "adjustable", "hammer", "soft-drift",
        "tube", "open-spanners", "screwdriver", "hexagon-keys",
    ),
    "poor": ("soft-drift", "hammer", "strap-wrench", "pipe-wrench", "second-pipe-wrench",
             "adjustable", "second-adjustable", "screwdriver", "hexagon-keys"),
}  # fmt: skip


@dataclass(frozen=True)
class Instruction:
    """One thing a person is told to do."""

    where: str
    kind: str
    text: str
    how: str
    cautions: tuple[Caution, ...]


def touchy() -> Coating:
    """A coating with everything that protection follows from."""
    epoxy = next(c for c in demo_coatings() if c.key == "epoxy-tank")
    return epoxy.model_copy(update={"isocyanate": "yes", "holds_lead": "yes"})


def _running() -> Iterator[Instruction]:
    for check in CHECKS:
        yield Instruction(
            f"check {check.key}", "check", f"{check.title}. {check.how}", check.how, check.cautions
        )
    for act in ACTS.values():
        yield Instruction(f"proof {act.key}", "proof", act.how, act.how, act.cautions)
    for cause in CAUSES:
        yield Instruction(f"cause {cause.key}", "cause", cause.do, cause.do, cause.cautions)


def _between_jobs() -> Iterator[Instruction]:
    for key in DEMO_PUMPS:
        for coating in (*demo_coatings(), touchy()):
            for care in care_lists(demo_pump(key), coating):
                said: tuple[Caution, ...] = ()  # a list stands on one screen, step under step
                for step in care.steps:
                    said += step.cautions
                    where = f"{TITLES[care.act]}, {coating.key}"
                    yield Instruction(where, "care", step.text, step.text, said)


@cache
def bench(coating: Coating | None = None) -> tuple[Instruction, ...]:
    """Steps of strip and rebuild: both pumps, all goals, several tool bags."""
    found = []
    for key in DEMO_PUMPS:
        pump = demo_pump(key)
        for name, tools in BAGS.items():
            for goal in GOALS:
                bag = ToolBag(tools=tools, goal=goal, vice=name == "every tool")
                where = f"{key}, {name}, {goal}"
                for step in plan_strip(pump, bag, coating=coating).steps:
                    o = step.operation
                    told = (o.title, *step.tools, o.how, *step.stand_ins, step.turn_to)
                    found.append(Instruction(f"strip {where}: {o.key}", "strip", " ".join(told),
                                             o.how or o.title, step.cautions))  # fmt: skip
                for put in plan_rebuild(pump, bag, found=Found(coating=coating)).steps:
                    told = (put.title, *put.tools, put.how, *put.notes, put.check, *put.stand_ins)
                    found.append(Instruction(f"rebuild {where}: {put.key}", "rebuild",
                                             " ".join(told), put.how or put.title,
                                             put.cautions))  # fmt: skip
    return tuple(found)


@cache
def every() -> tuple[Instruction, ...]:
    """All of them."""
    return (*_running(), *_between_jobs(), *bench())
