"""The hazards of the work, each with its grade and the one caution that warns of it.

A caution is short, stands right before the act, and there is at most one a hazard a screen
(:func:`for_screen`). Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from wetend.advice.reasons import Caution, Grade
from wetend.pump.hazard import Hazard
from wetend.units.message import Message, joined, plural, raised

__all__ = [
    "DEFERS", "HAZARDS", "NAMES", "TITLES", "Hazard", "absent", "but", "caution", "for_screen",
    "merged", "said_once",
]  # fmt: skip

DEFERS: Final = Message(
    "The maker's manual, the safety data sheet, site permits, local codes and "
    "licensed practice come first."
)
"""Stands once on every screen, card and command that carries a caution."""


def _danger(text: str) -> tuple[Grade, str]:
    return Grade.DANGER, text


def _warning(text: str) -> tuple[Grade, str]:
    return Grade.WARNING, text


def _care(text: str) -> tuple[Grade, str]:
    return Grade.CARE, text


HAZARDS: Final[dict[Hazard, tuple[Grade, str]]] = {
    "injection": _danger(
        Message(
            "A jet from a nozzle, pin-hole or loose joint goes through skin and glove. "
            "Never feel for a leak, never point or wipe a live nozzle. If hit: go to "
            "hospital at once, however small the wound."
        )
    ),
    "stored-pressure": _danger(
        Message(
            "No spanner before the drive is isolated and zero is proven. A blocked "
            "nozzle or hose can hide pressure."
        )
    ),
    "loaded-hose": _danger(
        Message(
            "With the drive off, pressure left in the hose pushes the rod up. No hand "
            "between rod and frame until the hose is empty."
        )
    ),
    "weakest-part": _danger(
        Message("The weakest rating of pump, hose, gun and fittings governs: never run above it.")
    ),
    "low-pressure-first": _danger(
        Message(
            "First pressure after a rebuild: start at the lowest pressure, guards and "
            "whip checks on, go up in steps, stand aside."
        )
    ),
    "rod-moves": _danger(
        Message(
            "The rod can move at any moment: hands clear of rod and coupling, read with "
            "a rule fixed to the body."
        )
    ),
    "pinch": _warning(
        Message("The rod is pushed by hand: hands on the timber only, none between rod and frame.")
    ),
    "trapped-liquid": _warning(
        Message(
            "Liquid and pressure can stay behind a stuck ball or a blocked filter: "
            "loosen a little, let it weep, only then undo."
        )
    ),
    "run-back": _warning(
        Message(
            "What runs back out of the suction can spurt: eyes protected, face away, a "
            "pail under it."
        )
    ),
    "spraying": _danger(
        Message(
            "A jet goes through skin: spray only on the work or a test sheet, nozzle "
            "guard on, face and breathing protection on, never into a pail with the "
            "nozzle in. Trigger locked between."
        )
    ),
    "catching": _danger(
        Message(
            "Catch only with the nozzle out, at the lowest pressure that turns the pump, "
            "the gun held to the wall of a bonded metal pail."
        )
    ),
    "dump-hose": _warning(
        Message(
            "The dump hose kicks and splashes: hold its end fast in a bonded metal pail "
            "before the valve is opened, and open it slowly."
        )
    ),
    "fire": _danger(
        Message(
            "Solvent and coating vapour burns: no flame, spark or hot surface, "
            "ventilate, pump, object and metal pail bonded and earthed."
        )
    ),
    "phone": _danger(
        Message(
            "Where there may be vapour use no phone unless it is approved for that zone: "
            "film from outside it, or use a watch."
        )
    ),
    "confined-space": _danger(
        Message(
            "Confined space: no entry without the site's permit, a gas test and a watch outside."
        )
    ),
    "chlorinated-solvent": _danger(
        Message(
            "Never a chlorinated solvent in a pump with aluminium parts: they react and "
            "it can burst."
        )
    ),
    "isocyanate": _danger(
        Message(
            "Contains isocyanate: breathing protection to the safety data sheet (air-fed "
            "where it says so), no skin contact, nobody with asthma near the spray."
        )
    ),
    "hardener": _warning(
        Message(
            "Two-pack: the hardener burns and sensitises skin and eyes. Gloves, eye and "
            "breathing protection to both data sheets."
        )
    ),
    "lead": _warning(
        Message(
            "Old paint here holds lead: raise no dust, breathing protection, wash before "
            "eating, clothes stay on site."
        )
    ),
    "health": _warning(Message("Gloves, eye and breathing protection to the safety data sheet.")),
    "pot-life": _danger(
        Message(
            "Two-pack sets in a standing hose and then hides pressure: flush before its "
            "pot life ends."
        )
    ),
    "rags": _warning(
        Message(
            "Rags with solvent or coating can catch fire by themselves: metal bin with a "
            "lid, or spread out, and disposed of by the site's rules."
        )
    ),
    "noise": _warning(Message("A running drive is loud: ear protection.")),
    "hot-drive": _warning(
        Message(
            "The drive and its pipes are hot after running; an air motor's exhaust can "
            "be iced: let it stand, wear gloves."
        )
    ),
    "lifting": _warning(
        Message("Heavy: two persons or a sling above the site's limit, its weight on timber.")
    ),
    "not-held": _warning(
        Message(
            "The assembly is no longer held: block it on timber and have a second person "
            "hold it before any lever pulls."
        )
    ),
    "lever": _warning(
        Message(
            "A levered spanner slips: pull, don't push, feet set, hand and face out of its swing."
        )
    ),
    "hard-pull": _warning(
        Message("This pull is more than most people can control: use a longer lever made for it.")
    ),
    "blow": _warning(Message("Eye protection when striking; the other hand off the struck end.")),
    "springs-out": _warning(
        Message("It springs out as it lets go: eye protection, a hand over it.")
    ),
    "no-tube": _warning(
        Message(
            "No hammer on a spanner, no tube on an adjustable or strap wrench: use a "
            "slogging or fixed spanner, or leave it."
        )
    ),
    "electric-drive": _danger(
        Message(
            "Electric drive: isolator locked, proven dead at the terminals by an "
            "authorised person, stored charge given time to drain."
        )
    ),
    "hydraulic-drive": _danger(
        Message(
            "Hydraulic drive: supply off, pressure and return lines vented, accumulator "
            "emptied. Oil under pressure goes through skin."
        )
    ),
    "air-drive": _danger(
        Message("Air drive: isolated and bled, the vent heard, the air motor moved by hand.")
    ),
    "engine-drive": _danger(Message("Engine drive: key or lead out, so that nobody can start it.")),
    "heating": _warning(
        Message(
            "Warm a coating only as its data sheets allow: heat brings vapour, pressure "
            "and a shorter pot life; no open flame."
        )
    ),
    "thread-short": _danger(
        Message(
            "A housing held by too little thread blows off: see that it is engaged as "
            "far as the maker's manual says before any pressure."
        )
    ),
    "surface": _care(Message("Nothing hard may touch it; lay it on timber.")),
    "stack": _care(
        Message("All shims go on top of the cage: one underneath adds to the ball's lift.")
    ),
    "thread": _care(
        Message("Good face of the seat to the ball; no spanner inside a threaded bore.")
    ),
    "measuring": _care(
        Message("Clean the part first, and measure at rest and at one temperature.")
    ),
}
"""Each hazard's grade and its caution as said where nothing more is known."""

_GRAVEST_FIRST = tuple(Grade)


def caution(hazard: Hazard, text: str = "") -> Caution:
    """The caution of a hazard; ``text`` says it for this very act, with its figures."""
    grade, usual = HAZARDS[hazard]
    return Caution(text or usual, grade, hazard)


def for_screen(*cautions: Caution) -> tuple[Caution, ...]:
    """What one screen shows: one caution a hazard, the gravest first, else in the order given.

    Of several for one hazard the first counts, so put what is said for this very act first.
    """
    kept: dict[str, Caution] = {}
    for each in cautions:
        kept.setdefault(each.hazard or each.text, each)
    return tuple(sorted(kept.values(), key=lambda c: _GRAVEST_FIRST.index(c.grade)))


def absent(cautions: Iterable[Caution], *hazards: Hazard) -> tuple[Hazard, ...]:
    """Those of some hazards that no caution given warns of."""
    there = {each.hazard for each in cautions}
    return tuple(h for h in hazards if h not in there)


NAMES: Final[dict[Hazard, str]] = {
    "stored-pressure": Message("stored pressure"),
    "loaded-hose": Message("loaded hose"),
    "rod-moves": Message("rod moves"),
    "pinch": Message("pinch"),
    "trapped-liquid": Message("liquid held back"),
    "fire": Message("fire"),
    "health": Message("protection"),
    "isocyanate": Message("isocyanate"),
    "hardener": Message("hardener"),
    "lead": Message("lead"),
    "hot-drive": Message("hot drive"),
    "lifting": Message("weight"),
    "not-held": Message("no longer held"),
    "lever": Message("levered spanner"),
    "hard-pull": Message("hard pull"),
    "blow": Message("striking"),
    "springs-out": Message("springs out"),
    "no-tube": Message("no tube, no hammer"),
    "rags": Message("rags"),
    "surface": Message("bare surfaces"),
}
"""What a hazard is called where its caution has been said already."""
TITLES: Final[dict[Hazard, str]] = {
    **NAMES,
    "injection": Message("jet through skin"),
    "weakest-part": Message("weakest part"),
    "low-pressure-first": Message("low pressure first"),
    "run-back": Message("coating runs back"),
    "spraying": Message("jet while spraying"),
    "catching": Message("catching"),
    "dump-hose": Message("dump hose"),
    "phone": Message("phone and vapour"),
    "confined-space": Message("confined space"),
    "chlorinated-solvent": Message("chlorinated solvent"),
    "pot-life": Message("pot life"),
    "noise": Message("noise"),
    "electric-drive": Message("electric drive"),
    "hydraulic-drive": Message("hydraulic drive"),
    "air-drive": Message("air drive"),
    "engine-drive": Message("engine"),
    "heating": Message("heat"),
    "thread-short": Message("thread short"),
    "stack": Message("stack"),
    "thread": Message("thread"),
    "measuring": Message("measuring"),
}
"""What a hazard is called on the line that opens its caution."""


def said_once(steps: Sequence[Sequence[Caution]]) -> Iterator[tuple[Caution, ...]]:
    """Cautions of steps that stand below one another on one sheet, step by step.

    What was said word for word at an earlier step is only named from then on, all that is named of
    one grade together: ``"Levered spanner, striking: as at steps 1 and 3."``
    """
    first: dict[str, int] = {}
    for number, cautions in enumerate(steps, start=1):
        shown: list[Caution] = []
        named: dict[Grade, list[tuple[str, int]]] = {}
        for each in cautions:
            known = first.setdefault(each.text, number)
            name = next((n for h, n in NAMES.items() if h == each.hazard), "")
            if known == number or not name:
                shown.append(each)
            else:
                named.setdefault(each.grade, []).append((name, known))
        shown += [Caution(_named(parts), grade) for grade, parts in named.items()]
        yield tuple(sorted(shown, key=lambda c: _GRAVEST_FIRST.index(c.grade)))


def _named(parts: Sequence[tuple[str, int]]) -> str:
    hazards = joined(", ", (name for name, _ in parts))
    where = sorted({number for _, number in parts})
    steps = joined(Message(" and "), map(str, where[-2:]))
    before = joined(", ", map(str, where[:-2]))
    listed = joined(", ", (before, steps)) if before else steps
    sentence = plural(
        "{hazards}: as at step {steps}.",
        "{hazards}: as at steps {steps}.",
        len(where),
        hazards=hazards,
        steps=listed,
    )
    return raised(sentence)


def merged(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Several of one hazard made one, their texts one after the other."""
    found: dict[str, Caution] = {}
    for each in cautions:
        before = found.get(each.hazard)
        text = each.text if before is None else joined(" ", (before.text, each.text))
        found[each.hazard] = replace(each, text=text)
    return tuple(found.values())


def but(cautions: Iterable[Caution], said: Iterable[Caution]) -> tuple[Caution, ...]:
    """Those whose hazard the same screen has not said already."""
    there = {each.hazard for each in said if each.hazard}
    return tuple(c for c in cautions if c.hazard not in there)
