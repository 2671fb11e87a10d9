"""Care of the pump between jobs: flush, shut down, store, restart, change of product, wet cup.

Step lists by the coating in the pump. Common practice, no source; its data sheet comes first.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution
from wetend.advice.safety.pot_life import unmixed
from wetend.advice.safety.site_hazards import exposure, solvent_cautions
from wetend.errors import UnknownName
from wetend.materials.solvents import find_solvent
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.message import Message, Retold
from wetend.units.quantity import M3, S, unit_of
from wetend.units.show import rough

Act = Literal["flush", "shut-down", "store", "start", "change"]
FLUSHES: Final = 3
"""Times that what pump and hose hold goes through until it runs clear (common practice)."""
INTERMEDIATE = Message(
    "an intermediate that mixes with both, as both data sheets allow (often an "
    "alcohol or a glycol ether)"
)


@dataclass(frozen=True)
class CareStep:
    """One step, and what can hurt in it."""

    text: str
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True)
class CareList:
    """What to do at one occasion, in order."""

    act: Act
    title: str
    steps: tuple[CareStep, ...]


@dataclass(frozen=True)
class Nature:
    """Properties of a coating that matter between jobs."""

    water_borne: bool
    two_pack: bool
    isocyanate: bool
    """Known, or not ruled out of a two-pack one."""
    pot_life: S | None
    liquid: str
    """What it is flushed with."""

    @classmethod
    def of(cls, coating: Coating) -> Nature:
        """Of a coating, as far as its description says."""
        water = coating.water_borne == "yes" or (
            coating.water_borne == "not known" and coating.solvent == "water"
        )
        doubt = coating.isocyanate == "not known" and coating.sets
        return cls(
            water, coating.sets, coating.isocyanate == "yes" or doubt, coating.pot_life,
            _liquid(coating, water),
        )  # fmt: skip


def _short(title: str) -> str:
    """A solvent's name without what follows its comma."""
    return title.partition(",")[0]


def _liquid(coating: Coating, water_borne: bool) -> str:
    if coating.solvent in (None, "water"):
        return (
            Message("clean water")
            if water_borne
            else Message("the thinner that its data sheet names")
        )
    try:
        return Retold(_short, Message(find_solvent(coating.solvent).title))
    except UnknownName:
        return Message("the thinner that its data sheet names")


def wet_cup_liquid(coating: Coating | None) -> str:
    """What belongs in the wet cup with this coating."""
    nature = Nature.of(coating) if coating else None
    if nature is None:
        return Message(
            "The liquid that the coating's maker allows: never plain solvent, which "
            "evaporates and burns."
        )
    if nature.isocyanate:
        return Message(
            "A moisture-free liquid that the coating's maker allows, such as a "
            "plasticiser: no water, no alcohol, which isocyanate sets with; no plain "
            "solvent, which evaporates and burns."
        )
    if nature.water_borne:
        return Message(
            "A liquid that the coating's maker allows and that suits a water-borne "
            "coating, such as water with glycol: no oil, no solvent; plain water rusts "
            "the chrome."
        )
    return Message(
        "A slow-drying liquid that the coating's maker allows, such as throat-seal "
        "liquid or a plasticiser: plain solvent evaporates and burns."
    )


def held(pump: Pump) -> M3:
    """Volume in suction, cylinder and hoses."""
    lines = [*((h.bore, h.length) for h in pump.hose), (pump.suction.bore, pump.suction.length)]
    in_lines = sum(math.pi / 4 * bore**2 * length for bore, length in lines)
    return in_lines + pump.bore_area * pump.stroke


_ZERO = caution("stored-pressure")
_CATCH = caution("catching")
_FIRE = caution("fire")
_RAGS = caution("rags")


def _pot_life(nature: Nature) -> str:
    if nature.pot_life is None:
        return Message("Two-pack: begin well before its pot life ends; warmth shortens it.")
    return Message(
        "Two-pack: begin well before its pot life ends, {pot_life:g} h from mixing "
        "at 23 °C; warmth shortens it.",
        pot_life=nature.pot_life / 3600,
    )


def _flush(pump: Pump, coating: Coating) -> Iterator[CareStep]:
    nature = Nature.of(coating)
    if nature.two_pack:
        yield CareStep(_pot_life(nature), (unmixed(coating),))
    yield CareStep(
        Message(
            "Pressure off and zero proven: take out nozzle and guard, lay them in {liquid}.",
            liquid=nature.liquid,
        ),
        (_ZERO, *exposure(coating)),
    )
    solvent = solvent_cautions(coating.solvent, pump.aluminium)
    burns = () if nature.water_borne and not coating.burns else (_FIRE, *solvent)
    yield CareStep(
        Message(
            "Lowest supply that turns the pump. Wipe the suction, put it into {liquid}; "
            "gun to the wall of the coating's tin until it runs thin.",
            liquid=nature.liquid,
        ),
        (_CATCH, *burns),
    )
    volume = rough(FLUSHES * held(pump), unit_of(M3), digits=1)
    yield CareStep(
        Message(
            "Gun into a bonded metal waste pail: flush slowly until clear, about "
            "{volume}, {flushes} times what pump and hose hold.",
            volume=volume,
            flushes=FLUSHES,
        )
    )
    yield CareStep(Message("Then flush through the dump valve until its hose runs clear too."),
                   (caution("dump-hose"),))  # fmt: skip
    yield CareStep(
        Message(
            "Pressure off and zero proven again: take out and wash strainer, outlet "
            "filter and gun filter."
        )
    )
    last = Message("Finish with fresh {liquid} until it stays clear.", liquid=nature.liquid)
    if nature.isocyanate:
        last = Message(
            "{last} Keep everything moisture-free: no water and no alcohol near isocyanate.",
            last=last,
        )
    yield CareStep(
        Message("{last} Dispose of waste and rags by the site's rules.", last=last), (_RAGS,)
    )


def _shut_down(coating: Coating, nature: Nature) -> Iterator[CareStep]:
    first = Message("Flush it: never leave a two-pack in pump or hose.") if nature.two_pack else (
        Message("Flush it if the coating skins, settles or sets before morning.")
    )  # fmt: skip
    yield CareStep(first, (unmixed(coating),) if nature.two_pack else ())
    yield CareStep(
        Message("Stop it with the rod at the bottom of its stroke, so that no wetted chrome dries.")
    )
    yield CareStep(
        Message(
            "Drive off and locked. Open the gun until nothing comes, open the dump valve "
            "and leave it open. Prove zero, lock the trigger."
        ),
        (_ZERO,),
    )
    yield CareStep(
        Message("Fill the wet cup to the mark. {coating}", coating=wet_cup_liquid(coating))
    )
    yield CareStep(
        Message(
            "Leave the suction tube's end and the nozzle in {liquid}, covered.",
            liquid=nature.liquid,
        ),
        () if nature.water_borne else (_FIRE,),
    )


def _store(coating: Coating, nature: Nature) -> Iterator[CareStep]:
    yield CareStep(Message("Flush it; wash and dry filters and strainer."), (_ZERO,))
    if nature.water_borne:
        yield CareStep(
            Message(
                "Drive the water out at once with a storage liquid that mixes with water: "
                "chrome and bore flash-rust within hours, and frost bursts a pump with water "
                "in it."
            )
        )
    else:
        yield CareStep(
            Message(
                "Fill it with a storage liquid that suits its seals, such as light oil: left "
                "dry, packings shrink and a film of coating glues the balls."
            )
        )
    if nature.isocyanate:
        yield CareStep(Message("Isocyanate: use a moisture-free storage liquid and cap every end."))
    yield CareStep(
        Message(
            "Pump slowly until storage liquid comes from gun and dump hose; stop at the "
            "bottom of the stroke."
        ),
        (_CATCH,),
    )
    yield CareStep(
        Message(
            "Pressure off, zero proven; cap the ends, fill the wet cup. {coating}",
            coating=wet_cup_liquid(coating),
        )
    )
    yield CareStep(
        Message(
            "Label it with contents and date. Keep it free of frost; drain the water "
            "from an air drive."
        )
    )


def _start(nature: Nature) -> Iterator[CareStep]:
    yield CareStep(
        Message("Check label, hose covers and dates, whip checks, bonding lead, gauge on its stop.")
    )
    yield CareStep(
        Message("Empty and refill the wet cup; set the gland hand-tight and its flats."), (_ZERO,)
    )
    oil = (
        Message(
            "then {intermediate}, then {liquid}", intermediate=INTERMEDIATE, liquid=nature.liquid
        )
        if nature.water_borne
        else (Message("then {liquid}", liquid=nature.liquid))
    )
    yield CareStep(
        Message(
            "Nozzle out, lowest supply: pump the storage liquid into a waste pail, {oil}.", oil=oil
        ),
        (_CATCH,),
    )
    yield CareStep(
        Message(
            "If it does not draw, the foot-valve ball sticks: pressure off, suction off, "
            "push the ball up from below with a timber dowel."
        )
    )
    yield CareStep(
        Message(
            "Raise the pressure in steps, stall at each: no leak outside, no creep. Only then "
            "coating and nozzle."
        ),
        (
            caution(
                "low-pressure-first",
                Message(
                    "First pressure after standing: lowest first, guards and whip checks on, stand "
                    "aside; never feel for a leak."
                ),
            ),
        ),
    )


def _change(nature: Nature) -> Iterator[CareStep]:
    old = nature.liquid
    yield CareStep(
        Message(
            "Flush the old product out with {old}; wash or renew filters and strainer.", old=old
        ),
        () if nature.water_borne else (_FIRE,),
    )
    if nature.two_pack:
        yield CareStep(
            Message("Two-pack: leave no mixed material anywhere, dump hose and gun included.")
        )
    if nature.water_borne:
        yield CareStep(
            Message(
                "To another water-borne coating: fresh water, then the new coating; discard "
                "the first of it."
            )
        )
        yield CareStep(
            Message(
                "To a solvent-borne coating: water and solvent must not meet. After the "
                "water use {intermediate} until no water is left, then the new coating's "
                "thinner, then the coating.",
                intermediate=INTERMEDIATE,
            ),
            (_FIRE,),
        )
        yield CareStep(
            Message(
                "To a coating with isocyanate: remove every drop of water; make the last "
                "rinse moisture-free."
            )
        )
    else:
        yield CareStep(
            Message(
                "To another solvent-borne coating: its thinner, then the coating; discard "
                "the first of it."
            )
        )
        yield CareStep(
            Message(
                "To a water-borne coating: solvent and water must not meet. After {old} use "
                "{intermediate} until no solvent is left, then clean water, then the coating.",
                old=old,
                intermediate=INTERMEDIATE,
            )
        )
        if nature.isocyanate:
            yield CareStep(
                Message(
                    "Isocyanate sets with water and alcohol: rinse it out with a moisture-free "
                    "thinner before either comes near."
                )
            )
    yield CareStep(
        Message("If in doubt, mix a spoonful of each in a glass: it must not curdle or separate.")
    )
    yield CareStep(
        Message("Empty and wipe the wet cup, and fill it with a liquid that suits the new coating.")
    )


def _once(steps: Iterable[CareStep], said: Collection[str]) -> Iterator[CareStep]:
    """Each hazard's caution at the first step that needs it, but for those said already."""
    warned = set(said)
    for step in steps:
        fresh = tuple(c for c in step.cautions if c.hazard not in warned)
        warned.update(c.hazard for c in fresh)
        yield replace(step, cautions=fresh)


TITLES: Final[dict[Act, str]] = {
    "flush": Message("Flush"),
    "shut-down": Message("Shut down for the night"),
    "store": Message("Store for weeks"),
    "start": Message("Start after storage"),
    "change": Message("Change the product"),
}


def care_lists(pump: Pump, coating: Coating, *, said: Collection[str] = ()) -> tuple[CareList, ...]:
    """What to do with this pump and coating between jobs, a list an occasion.

    Each list carries a hazard's caution once, at the first step that needs it; ``said`` are hazards
    that the screen warns of anyway.
    """
    nature = Nature.of(coating)
    lists: dict[Act, Iterator[CareStep]] = {
        "flush": _flush(pump, coating),
        "shut-down": _shut_down(coating, nature),
        "store": _store(coating, nature),
        "start": _start(nature),
        "change": _change(nature),
    }
    return tuple(CareList(a, TITLES[a], tuple(_once(steps, said))) for a, steps in lists.items())
