"""The next repack: the one answer that every page, paper and command reads.

It is when the first of a pump's two sets of packings is worn, from the same draws of remaining life
as the pump's own page (:mod:`wetend.advice.life.remaining`). Where the record says nothing of a
pump the prior alone speaks, and ``basis`` says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from wetend.advice.life.exposure import USUAL_DAY, Exposure
from wetend.advice.life.outlook import MIDDLE, Outlook, odds_text, outlook_of
from wetend.advice.life.remaining import DAY, MOSTLY, RemainingLife, interval_of
from wetend.advice.reasons import Figure, Interval, Working
from wetend.pump.usage import PART_WORDS, LifePart
from wetend.units.message import Message, joined, raised
from wetend.units.quantity import M3, Percent, Ratio, S, unit_of
from wetend.units.show import (
    day_text,
    months_text,
    rough,
    rough_span,
    span_text,
)

PACKINGS: tuple[LifePart, ...] = ("static-packings", "moving-packings")
_GOES_ON = Message("Use goes on as of late, wet cup kept full, gland not over-tight.")


@dataclass(frozen=True)
class NextRepack:
    """When the first of the packings is worn."""

    volume: Interval
    """Pumped until then, m^3."""
    time: Interval
    """At this pump's use, s."""
    today: date
    """The day it is calculated from."""
    by: date | None
    """The day by which one in ten is worn; ``None`` beyond a century."""
    half: date | None
    """The day by which one in two is worn; ``None`` beyond a century."""
    worn: Ratio
    """Chance that one is worn already."""
    soon: Ratio
    """Chance that one is worn four weeks from that day."""
    first: LifePart
    """The set more likely to be worn first."""
    basis: tuple[str, ...]
    """What it rests on where the record is thin."""
    curve: tuple[S, ...] = ()
    """Seconds from that day by which 0, 5, ... 100 % are worn."""

    @property
    def outlook(self) -> Outlook:
        """The same as chances and days, as of any other part."""
        return Outlook(self.today, self.worn, self.soon, self.by, self.half, self.curve)


def next_repack(
    day: Exposure, left: Sequence[RemainingLife], *, today: date, coating: str = ""
) -> NextRepack | None:
    """When the first of the packings is worn; ``None`` where nothing is left to draw from.

    Args:
        day: a mean day of the pump's use.
        left: what is left of its parts, with their draws.
        today: the day to calculate from.
        coating: what is sprayed from now on, where that is another than recently.
    """
    packings = [r for r in left if r.part in PACKINGS and r.times is not None]
    times = np.array([r.times for r in packings])
    if not packings:
        return None
    pumped = np.array([r.pumped for r in packings])
    first, draws = np.argmin(times, axis=0), np.arange(times.shape[1])
    soonest = times[first, draws]
    seen = outlook_of(soonest, today)
    return NextRepack(
        volume=interval_of(pumped[first, draws]), time=interval_of(soonest), today=today,
        by=seen.early, half=seen.middle, worn=seen.failed, soon=seen.soon,
        first=packings[int(np.bincount(first).argmax())].part,
        basis=tuple(_basis(day, packings, coating)), curve=seen.curve,
    )  # fmt: skip


def _basis(day: Exposure, packings: Sequence[RemainingLife], coating: str) -> list[str]:
    """What the answer rests on, where that is less than this pump's own record."""
    said: list[str] = []
    if all(r.assumed for r in packings):
        said.append(
            Message(
                "The day the packings were fitted is not recorded: assumed new when the "
                "record began."
            )
        )
    if day.known <= 0:
        said.append(
            Message(
                "No use of this pump is recorded: {usual_day} a day is assumed.",
                usual_day=rough(USUAL_DAY, unit_of(M3)),
            )
        )
    elif coating:
        said.append(
            Message("At this pump's recent pace, but with {coating} from now on.", coating=coating)
        )
    if not sum(r.failures for r in packings):
        said.append(
            Message("No packings have worn out in this record yet: based on the rough prior alone.")
            if min(r.prior_share for r in packings) > MOSTLY
            else Message(
                "No packings have worn out in this record yet: based on what the depot's other "
                "parts have lasted."
            )
        )
    return said


def likely_text(repack: NextRepack) -> str:
    """The time in words: ``"likely 3 to 9 weeks"``; nine in ten pumps lie within."""
    if repack.time.low < DAY:
        return Message("likely any time up to {high}", high=months_text(repack.time.high))
    return Message("likely {low}", low=span_text(repack.time.low, repack.time.high))


def do_text(repack: NextRepack) -> str:
    """What to do, first of all: ``"Check the packings by 12 March."``."""
    seen = repack.outlook
    if seen.failed >= MIDDLE:
        return Message("Repack at the next stop.")
    if seen.early is None:
        return Message("No repack to plan.")
    if seen.early <= seen.today:
        return Message("Check the packings at the next stop.")
    return Message("Check the packings by {day}.", day=day_text(seen.early, seen.today))


def when_text(repack: NextRepack) -> str:
    """How sure: the chance within four weeks, the two days, and the interval after."""
    return Message("{odds}; {likely}", odds=odds_text(repack.outlook), likely=likely_text(repack))


def volume_text(repack: NextRepack) -> str:
    """The middle of what is pumped until then: ``"2,300 L"``."""
    return rough(repack.volume.middle, unit_of(M3))


def volume_span_text(repack: NextRepack) -> str:
    """What is pumped until then, 90 % interval: ``"530 to 30,000 L"``."""
    return rough_span(repack.volume.low, repack.volume.high, unit_of(M3))


def come_back_text(repack: NextRepack) -> str:
    """The whole of it, to sign: what to do by which day, how sure, after how much."""
    return Message(
        "{do} {odds}; after about {volume}.",
        do=do_text(repack),
        odds=raised(odds_text(repack.outlook)),
        volume=volume_text(repack),
    )


def working_of_repack(repack: NextRepack, day: Exposure) -> Working:
    """How the answer comes about."""
    first = PART_WORDS[repack.first]
    return Working(
        title=Message("next repack"),
        formula="V = min(r_static, r_moving) V_day / W_day, over the fitted distributions",
        given=(
            Figure(Message("pumped a day"), day.pumped, unit_of(M3), "V_day"),
            Figure(Message("recent days with entries"), day.known, unit_of(Percent)),
        ),
        result=(
            Figure(Message("pumped until then, low"), repack.volume.low, unit_of(M3)),
            Figure(Message("middle"), repack.volume.middle, unit_of(M3)),
            Figure(Message("high"), repack.volume.high, unit_of(M3)),
        ),
        source=Message(
            "As for the remaining life of each part (docs/life.md); common practice, no source"
        ),
        validity=joined(
            " ", (Message("Likelier first: {first}.", first=first), _GOES_ON, *repack.basis)
        ),
        spread=Message("90 % interval"),
    )
