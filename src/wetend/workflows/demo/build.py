"""The demo depot: invented pumps and two years of visits, with simulated readings.

Each story in ``scenario.toml`` names a fault and its size; the readings kept are what the
stroke model gives for that fault, with the spread of a thumb and a gauge put on.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from importlib import resources
from typing import Any

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from wetend.advice.diagnosis.diagnose import Prediction, predict
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import BY_TITLE
from wetend.advice.inspect.judge import judge_all
from wetend.advice.prove.proof import prove
from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.rebuild.plan import Found, plan_rebuild
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.make_safe import all_done
from wetend.pump.measurements import (
    BallMeasured,
    CylinderMeasured,
    Measured,
    PackingsMeasured,
    ProofReadings,
    RodMeasured,
    SeatMeasured,
    StackMeasured,
)
from wetend.pump.readings import (
    CheckReadings,
    Complaint,
    RebuildProgress,
    SetUpRequest,
    SignOff,
    StripProgress,
    ToolBag,
    VisitStart,
)
from wetend.pump.site import SiteFacts
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.records.entries import Entry, EntryKind, new_entry
from wetend.records.ids import new_id
from wetend.records.store import Depot
from wetend.units import kinds
from wetend.units.noun import Noun
from wetend.units.parse import read_quantity
from wetend.workflows.demo.life import catalogue_entries, fitted_nouns, life_entries

TECHNICIAN = "J. Vantrell (demo)"
_SITE_TOOLS = (
    "timber-block", "soft-drift", "c-spanner", "pipe-wrench", "second-pipe-wrench", "adjustable",
    "hammer", "long-c-spanner", "slogging-spanner", "hexagon-keys", "circlip-pliers",
    "packing-hook",
)  # fmt: skip


@dataclass(frozen=True)
class Story:
    """One visit of the scenario."""

    pump: Pump
    coating: Coating
    at: datetime
    facts: dict[str, Any]


def _scenario() -> dict[str, Any]:
    text = resources.files("wetend.workflows.demo").joinpath("scenario.toml").read_text("utf-8")
    return tomllib.loads(text)


def demo_fleet() -> tuple[Pump, ...]:
    """The six pumps of the demo depot, three of each build."""
    fleet = []
    for row in _scenario()["pump"]:
        like = demo_pump(row["like"])
        change: dict[str, Any] = {k: row[k] for k in ("key", "name", "site")}
        if "nozzle" in row:
            orifice = read_quantity(row["nozzle"], kinds.LENGTH, bare="m")
            change["nozzle"] = like.nozzle.model_copy(update={"orifice": orifice})
        if "hose" in row:
            length = read_quantity(row["hose"], kinds.LENGTH, bare="m")
            first = like.hose[0].model_copy(update={"length": length})
            change["hose"] = (first, *like.hose[1:])
        fleet.append(like.model_copy(update=change))
    return tuple(fleet)


@kept("readings of the demo", most=4 * MB)
def _predicted(pump: Pump, coating: Coating, fault: Fault | None, leak: str) -> Prediction:
    """What a pump would read, sound or with a leak of that size."""
    if fault is None:
        return predict(pump, coating)
    return predict(pump, coating, leaks={fault: read_quantity(leak, kinds.FLOW, bare="m^3/s")})


def _played(story: Story) -> tuple[Prediction, Prediction]:
    """What the pump would read sound, and with the story's fault."""
    size = story.facts.get("leak", "")
    fault = BY_TITLE[story.facts["fault"]] if size else None
    sound = _predicted(story.pump, story.coating, None, "")
    return sound, _predicted(story.pump, story.coating, fault, size)


def _taps(rng: Generator, seconds: float, strokes: int) -> tuple[float, ...]:
    return tuple(round(max(seconds + e, 0.05), 2) for e in rng.normal(0.0, 0.08, strokes))


def _altered(fault: Fault, read: Prediction) -> dict[str, float]:
    """Readings of the faults that are no leak, by the rough measure of the story."""
    times = {"up_time": read.up_time, "down_time": read.down_time,
             "spray": read.spray_pressure, "stall": read.stall_pressure}  # fmt: skip
    factors = {
        "nozzle": {"up_time": 0.62, "down_time": 0.62, "spray": 0.85},
        "drive-weak": {"up_time": 1.25, "down_time": 1.25, "spray": 0.66, "stall": 0.66},
        "filter": {"up_time": 1.5, "down_time": 1.5, "spray": 1.05},
    }.get(fault.id, {})
    return {name: value * factors.get(name, 1.0) for name, value in times.items()}


def _readings(story: Story, rng: Generator) -> CheckReadings:
    fault = BY_TITLE[story.facts["fault"]]
    read = _played(story)[1]
    seen = _altered(fault, read)
    whole = not story.facts.get("open")
    return CheckReadings(
        up_times=_taps(rng, seen["up_time"], 8),
        down_times=_taps(rng, seen["down_time"], 8),
        spray_pressure=round(seen["spray"] / 1e5) * 1e5,
        stall_pressure=round(seen["stall"] / 1e5) * 1e5 if whole else None,
        creep_up=round(read.creep_up * 6e4) / 6e4 if whole else None,
        creep_down=round(read.creep_down * 6e4) / 6e4 if whole else None,
        wet_cup="coating in it" if fault.id == "static-packings" else "clean",
    )


def _micrometer(sizes: NDArray[np.float64]) -> tuple[float, ...]:
    """Sizes as a micrometer shows them."""
    return tuple(round(float(size), 6) for size in sizes)


def _measured(story: Story, rng: Generator) -> Iterator[tuple[EntryKind, Measured]]:
    pump, facts = story.pump, story.facts
    ball = _micrometer(pump.foot_valve.ball_diameter - rng.uniform(5e-6, 40e-6, 3))
    yield (
        "ball",
        BallMeasured(diameters=ball, marks="dents or scars" if "chip" in facts else "none"),
    )
    chip = read_quantity(facts["chip"], kinds.LENGTH, bare="m") if "chip" in facts else 0.0
    yield (
        "seat",
        SeatMeasured(chip_depth=chip, chip_width=1.5e-3 if chip else None, concentric="yes"),
    )
    worn = "chrome lost" in facts["found"].lower()
    yield "rod", RodMeasured(
        diameters=_micrometer(pump.rod.diameter - rng.uniform(2e-6, 25e-6, 4)),
        chrome="flaking or lost" if worn else "whole", ends="sound",
    )  # fmt: skip
    score = read_quantity(facts["score"], kinds.LENGTH, bare="m") if "score" in facts else 0.0
    yield "cylinder", CylinderMeasured(
        diameters=_micrometer(pump.cylinder.bore + rng.uniform(5e-6, 60e-6, 6)),
        score_depth=score, score_width=0.4e-3 if score else None,
        score_direction="lengthwise" if score else "none",
    )  # fmt: skip
    torn = "moving packings" in facts["fitted"].lower()
    yield "packings", PackingsMeasured(set="moving", lips="torn" if torn else "sharp")


def _hold(story: Story, stall: float) -> dict[str, Any]:
    """Oil can be shut in on both sides of its piston; an air motor is vented, so no hold there."""
    if story.pump.drive.kind != "hydraulic":
        return {"rod_held": "drive vented"}
    return {"rod_held": "drive fluid trapped", "hold_start": stall, "hold_end": stall - 1e5,
            "hold_time": 180.0}  # fmt: skip


def _proof(story: Story) -> ProofReadings:
    sound = _played(story)[0]
    stall = round(sound.stall_pressure / 1e5) * 1e5
    return ProofReadings(
        solvent_lost=0.0, solvent_head=0.05, solvent_time=900.0,
        stall_pressure=stall, stall_time=60.0, stall_creep_up=0.0005, stall_creep_down=0.0005,
        stall_settled=60.0,
        **_hold(story, stall),
        up_time=round(sound.up_time, 2), down_time=round(sound.down_time, 2),
        bucket_volume=story.pump.displacement * 59.4, bucket_cycles=60.0, wet_cup="clean",
        limit_setting=story.pump.drive.supply_rated, guards="yes", whip_checks="yes",
        hose_age="yes", hose_cover="yes", bonding=1.5, trigger_lock="yes", dump_valve="yes",
        gauge_zero="yes", instruments="gauge G-14, steel rule, watch, 10 L pail, ohmmeter M-3",
    )  # fmt: skip


_SITE = SiteFacts(emergency_phone="01632 960 112", confined_space="no", old_lead_paint="no")
"""An invented number, of a range that is given to nobody (from memory)."""


def _nouns(story: Story, rng: Generator) -> Iterator[tuple[EntryKind, Noun]]:
    """What the visit's entries say, in the order they were made."""
    facts = story.facts
    yield (
        "visit-started",
        VisitStart(pump=story.pump.key, site=story.pump.site, reason=facts["said"]),
    )
    yield "complaint", Complaint(said=facts["said"], seen=tuple(facts["seen"]))
    yield "coating", story.coating
    if facts.get("open") and not facts.get("building"):
        yield "check-readings", _readings(story, rng)
        yield "site", _SITE
        return
    # on arrival; the checks bring pressure back, so that it is proven again before it is opened
    yield "make-safe", all_done(story.pump.drive.kind)
    yield "check-readings", _readings(story, rng)
    opened = not any(w in facts["fitted"] for w in ("left shut", "Nothing in the wet end"))
    if opened:
        yield from _opened(story, rng)
    if facts.get("open"):
        yield "site", _SITE
        return
    yield from fitted_nouns(facts)
    yield "set-up", SetUpRequest()
    under: dict[str, Any] = {"proof": "not applicable"}
    if opened:
        proof = prove(story.pump, story.coating, _proof(story))
        under = {"proof": str(proof.verdict), "proof_why": proof.why}
    yield "sign-off", SignOff(
        technician=TECHNICIAN, received_by="crew lead", found=facts["found"],
        fitted=facts["fitted"], watch=facts["watch"], come_back=facts["back"], **under,
    )  # fmt: skip


def _opened(story: Story, rng: Generator) -> Iterator[tuple[EntryKind, Noun]]:
    yield "make-safe", all_done(story.pump.drive.kind)
    bag = ToolBag(tools=tuple(t for t in _SITE_TOOLS if t in tool_titles()), goal="whole")
    yield "tool-bag", bag
    plan = plan_strip(story.pump, bag)
    yield "strip-progress", StripProgress(done=tuple(s.operation.key for s in plan.steps))
    measured = tuple(_measured(story, rng))
    yield from measured
    heights = {
        p.name: round(p.height + float(rng.normal(0.0, 15e-6)), 5) for p in story.pump.stack.parts
    }
    tin = (1e-3, 0.5e-3, 0.5e-3, 0.25e-3, 0.25e-3, 0.1e-3)
    stack = StackMeasured(heights=heights, tin=tin, lever=0.5)
    yield "stack", stack
    verdicts = {
        j.part: j.verdict
        for j in reversed(judge_all(story.pump, story.coating, [m for _, m in measured]))
    }
    found = Found(fit_stack(story.pump, stack), stack.lever, verdicts)
    steps = plan_rebuild(story.pump, bag, found=found).steps
    built = steps[: len(steps) // 2] if story.facts.get("open") else steps
    yield "rebuild-progress", RebuildProgress(done=tuple(s.key for s in built))
    if not story.facts.get("open"):
        yield "proof", _proof(story)


def _entries(story: Story, rng: Generator) -> Iterator[Entry]:
    visit = new_id()
    at, safe_once = story.at, False
    for kind, noun in _nouns(story, rng):
        yield new_entry(
            kind, noun, pump=story.pump.key, visit=visit, who=TECHNICIAN, place=story.pump.site,
            device="demo", at=at,
        )  # fmt: skip
        again = kind == "make-safe" and safe_once  # no draw: readings stay as they were
        at += timedelta(minutes=6.0 if again else float(rng.integers(2, 12)))
        safe_once = safe_once or kind == "make-safe"


def build_demo(depot: Depot, *, now: datetime | None = None, seed: int = 20) -> int:
    """Fill an empty depot with the demo scenario and give the number of entries kept.

    The same seed gives the same readings; only ids and dates differ.
    """
    rng = np.random.default_rng(seed)
    now = now or datetime.now(UTC)
    fleet = {p.key: p for p in demo_fleet()}
    coatings = {c.key: c for c in demo_coatings()}
    first = now - timedelta(days=730)
    kept = [
        new_entry("pump-described", p, pump=p.key, who=TECHNICIAN, device="demo", at=first)
        for p in fleet.values()
    ]
    kept += catalogue_entries(_scenario()["item"], now=now - timedelta(days=4), who=TECHNICIAN)
    kept += life_entries(_scenario()["pump"], fleet, now=now, who=TECHNICIAN)
    for visit in sorted(_scenario()["visit"], key=lambda v: -v["days"]):
        at = now - timedelta(days=visit["days"], hours=1.5)
        story = Story(fleet[visit["pump"]], coatings[visit["coating"]], at, visit)
        # one met half-way is drawn apart, so that the others stay as they are
        kept += _entries(story, np.random.default_rng(seed + 1) if visit.get("building") else rng)
    depot.append(*kept)
    return len(kept)
