"""What seal lands and packings look like."""

from __future__ import annotations

from typing import Literal

from wetend.advice.inspect.figures import LIKELY
from wetend.advice.inspect.looks.look import CLEAR, Gauge, Look, Looks
from wetend.advice.inspect.seals import LAND_GAP, LAND_MARK
from wetend.advice.reasons import Verdict
from wetend.pump.description import Pump
from wetend.pump.measurements import PackingsMeasured, SealLandMeasured
from wetend.units.message import Message


def lands() -> Looks:
    """A seal land's looks: its limits are those of the trade."""
    flat = Gauge("straightedge and light", "gap")
    deep = Gauge("straightedge and light", "depth")
    edge = Message("Lay a straightedge across in four directions, light behind it.")
    mark = Message("Straightedge and light across the mark for its depth.")
    yield Look(
        "new",
        Message("New: flat, no light under the edge"),
        Verdict.KEEP,
        SealLandMeasured(gap=0.0, mark_depth=0.0, thread="sound"),
        edge,
        0.0,
        LAND_GAP,
    )
    light = deep.good(LAND_MARK)
    if light is not None:
        yield Look(
            "worn",
            Message("Light marks"),
            Verdict.KEEP,
            SealLandMeasured(mark_depth=light, thread="sound"),
            mark,
            light,
            LAND_MARK,
        )
    yield Look(
        "limit",
        Message("Gap at its limit"),
        Verdict.MEASURE_AGAIN,
        SealLandMeasured(gap=LAND_GAP),
        edge,
        LAND_GAP,
        LAND_GAP,
    )
    bent, cut = flat.bad(LAND_GAP), deep.bad(LAND_MARK)
    if bent is not None:
        yield Look(
            "bent",
            Message("Bent: light under the edge"),
            Verdict.REPLACE,
            SealLandMeasured(gap=bent),
            edge,
            bent,
            LAND_GAP,
        )
    if cut is not None:
        yield Look(
            "mark",
            Message("Mark across the land"),
            Verdict.DRESS,
            SealLandMeasured(mark_depth=cut),
            mark,
            cut,
            LAND_MARK,
        )
    yield Look(
        "thread",
        Message("Thread damaged"),
        Verdict.REPLACE,
        SealLandMeasured(thread="damaged"),
        Message("Run the mating part on by hand; look along all turns."),
    )


def packings(pump: Pump, which: Literal["moving", "static"]) -> Looks:
    """A set of V-rings' looks."""
    noun = pump.moving_packings if which == "moving" else pump.static_packings
    new, least = noun.height, noun.free_height_limit
    guard = CLEAR * Gauge("calliper", "height").guard(new)
    start = PackingsMeasured(set=which)
    high = Message("Measure the set's free height with a calliper at four places.")
    glass = Message("Look at the lips all round with a glass.")
    tall = least + guard < new
    yield Look(
        "new",
        Message("New: lips sharp and spread"),
        Verdict.KEEP,
        start.model_copy(update={"lips": "sharp", **({"free_height": new} if tall else {})}),
        high if tall else glass,
        0.0,
        new - least if tall else 0.0,
    )
    if tall:
        worn = max(0.5 * (new + least), least + guard)
        yield Look(
            "worn",
            Message("Worn, lips still sharp"),
            Verdict.KEEP,
            start.model_copy(update={"free_height": worn, "lips": "sharp"}),
            high,
            new - worn,
            new - least,
        )
    if tall and least <= new * (1 + LIKELY):
        yield Look(
            "limit",
            Message("Lowest height to refit"),
            Verdict.MEASURE_AGAIN,
            start.model_copy(update={"free_height": least}),
            high,
            new - least,
            new - least,
        )
        flat = least - max(guard, 0.6 * (new - least))
        if flat >= 0.0005:
            yield Look(
                "flat",
                Message("Flattened"),
                Verdict.REPLACE,
                start.model_copy(update={"free_height": flat}),
                high,
                new - flat,
                new - least,
            )
    yield Look(
        "round",
        Message("Lips worn round"),
        Verdict.REPLACE,
        start.model_copy(update={"lips": "worn round"}),
        glass,
    )
    yield Look(
        "torn",
        Message("Lip torn"),
        Verdict.REPLACE,
        start.model_copy(update={"lips": "torn"}),
        glass,
    )
    yield Look(
        "turned",
        Message("Lip turned over"),
        Verdict.REPLACE,
        start.model_copy(update={"lips": "turned over"}),
        glass,
    )
