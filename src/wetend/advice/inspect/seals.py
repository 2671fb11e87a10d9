"""Judgement of seal lands and packings."""

from __future__ import annotations

from collections.abc import Iterator

from wetend.advice.inspect.damage import Path, damage_of
from wetend.advice.inspect.figures import LIKELY, marked, slip
from wetend.advice.inspect.judgement import Check, PartJudgement, Seen, judged
from wetend.advice.inspect.limits import Limit, Reading, check
from wetend.advice.reasons import Verdict
from wetend.errors import BadInput
from wetend.physics.leakage import annulus_passage
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import PackingsMeasured, SealLandMeasured
from wetend.pump.parts import Packings, PartName
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, unit_of

LAND_GAP = 50e-6
"""Most gap under a straightedge that a soft ring still takes up: common practice, no source."""
LAND_MARK = 50e-6
"""Deepest mark across a land that a soft ring still fills: common practice, no source."""
HEIGHT_SHOWN = 0.5e-3
"""Loss of a packing set's height that matters: common practice, no source."""


def soaked(packings: Packings) -> str:
    """How long a set's leather rings lie in what before they go in."""
    return Message(
        "Leather rings are soaked in {soak_liquid} before fitting, {soak_time:g} h "
        "or overnight (common practice, no source).",
        soak_liquid=packings.soak_liquid,
        soak_time=packings.soak_time / 3600,
    )


def judge_seal_land(land: SealLandMeasured) -> PartJudgement:
    """The land the seat or soft ring seals on, and the housing's thread.

    Raises:
        BadInput: nothing was measured or seen.
    """
    if land.gap is None and land.mark_depth is None and land.thread == "not looked":
        raise BadInput(
            Message("Nothing measured on the seal land: enter gap, mark, or the thread's state.")
        )
    return judged(
        "foot-housing",
        checks=tuple(_land_checks(land)),
        seen=tuple(_thread(land)),
        title=Message("Seal land and housing thread"),
        advice=(
            Message(
                "Dress a land on a flat plate with fine cloth, turning it; no file, no scraper."
            ),
        ),
    )


def _land_checks(land: SealLandMeasured) -> Iterator[Check]:
    fine, source = unit_of(MFine), "common practice"
    if land.gap is not None:
        gap = Reading(
            Message("Gap under the straightedge"), land.gap, land.gap, "gap", land.instrument
        )
        then = Message("A bent land can't be dressed flat by hand: fit a new housing.")
        yield check(gap, Limit(fine, upper=LAND_GAP, source=source, then=then))
    if land.mark_depth is not None:
        mark = Reading(Message("Mark across the land"), land.mark_depth, land.mark_depth, "depth",
                       land.instrument)  # fmt: skip
        then = Message("Dress it flat; if the mark stays, fit a new housing.")
        yield check(
            mark,
            Limit(fine, upper=LAND_MARK, source=source, failing=Verdict.DRESS, then=then),
        )


def _thread(land: SealLandMeasured) -> Iterator[Seen]:
    if land.thread == "damaged":
        yield Seen(
            Verdict.REPLACE,
            Message(
                "The housing thread carries the full pressure: fit a new housing, do not "
                "file the thread."
            ),
        )
    elif land.thread == "sound":
        yield Seen(Verdict.KEEP, Message("The thread is sound."))


def judge_packings(
    pump: Pump, coating: Coating | None, measured: PackingsMeasured
) -> PartJudgement:
    """A set of V-rings by its height, gap and lips.

    Raises:
        BadInput: nothing was measured or seen.
    """
    if measured.free_height is None and measured.gap is None and measured.lips == "not looked":
        raise BadInput(
            Message("Nothing measured on the packings: enter height, gap, or the lips' state.")
        )
    moving = measured.set == "moving"
    described = pump.moving_packings if moving else pump.static_packings
    part: PartName = "moving-packings" if moving else "static-packings"
    return judged(
        part,
        checks=tuple(_packing_checks(described, measured)),
        seen=tuple(_packings_seen(described, measured)),
        damage=damage_of(pump, coating, _gap(pump, measured)),
        advice=(
            Message(
                "V-rings' lips face the pressure: {lips_face} in this set. Grease lightly.",
                lips_face=described.lips_face,
            ),
            Message("Replace a worn set as a whole; never mix one new ring with old ones."),
            *(
                (
                    Message(
                        "If you fit a new set, start soaking it now. {described}",
                        described=soaked(described),
                    ),
                )
                if described.leather
                else ()
            ),
        ),
    )


def _packing_checks(packings: Packings, measured: PackingsMeasured) -> Iterator[Check]:
    if measured.free_height is not None:
        height = Reading(
            Message("Free height of the set"),
            measured.free_height,
            measured.free_height,
            "height",
            measured.instrument,
        )
        limit = Limit(unit_of(M), lower=packings.free_height_limit, then=Message("Fit a new set."))
        yield check(height, limit, shown=HEIGHT_SHOWN)
    if measured.gap is not None:
        gap = Reading(Message("Gap at the packings"), measured.gap, measured.gap, "gap", "feeler")
        limit = Limit(
            unit_of(MFine), upper=packings.clearance_limit, then=Message("Fit a new set.")
        )
        yield check(gap, limit)


def _packings_seen(packings: Packings, measured: PackingsMeasured) -> Iterator[Seen]:
    if measured.free_height is not None and measured.free_height > packings.height * (1 + LIKELY):
        yield slip(Message("A set higher than new"))
    if measured.lips == "torn":
        yield Seen(
            Verdict.REPLACE, Message("Torn lips let coating past at every stroke: fit a new set.")
        )
    elif measured.lips == "turned over":
        yield Seen(
            Verdict.REPLACE,
            Message(
                "A lip turned over lets coating past and does not come back: fit a new set, and "
                "see that nothing sharp stands where it is slid in."
            ),
        )
    elif measured.lips == "worn round":
        yield Seen(
            Verdict.REPLACE,
            Message("Lips worn round no longer wipe: fit a new set while it is open."),
        )
    elif measured.lips == "sharp":
        yield Seen(Verdict.KEEP, Message("The lips are sharp and whole."))


def _gap(pump: Pump, measured: PackingsMeasured) -> Path | None:
    gap = marked(measured.gap)
    if gap is None:
        return None
    moving = measured.set == "moving"
    diameter = pump.cylinder.bore if moving else pump.rod.diameter
    length = (pump.moving_packings if moving else pump.static_packings).height
    words = Message(
        "The gap taken all round and along the whole set, worn lips taking up none of it: the "
        "upper side."
    )
    return Path(annulus_passage(diameter, gap, length), gap, length, words)
