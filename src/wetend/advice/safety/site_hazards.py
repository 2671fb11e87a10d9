"""Hazards specific to this coating, solvent and site."""

from __future__ import annotations

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution, for_screen
from wetend.advice.safety.pot_life import PotLife, unmixed
from wetend.errors import BadInput
from wetend.materials.solvents import solvents
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.site import SiteFacts
from wetend.units.message import Message, joined, raised
from wetend.units.noun import Known


def coating_cautions(coating: Coating | None) -> tuple[Caution, ...]:
    """Where this coating is sprayed, caught, opened to or wiped up: isocyanate, hardener, lead."""
    if coating is None:
        return ()
    found = []
    if coating.isocyanate == "yes":
        found.append(
            caution(
                "isocyanate",
                Message(
                    "{name} contains isocyanate: breathing protection to its data sheet (air-fed "
                    "where it says so), no skin contact, nobody with asthma near it.",
                    name=coating.name,
                ),
            )
        )
    elif coating.two_pack == "yes":
        sentence: str = Message(
            "{name} is two-pack: its hardener burns and sensitises. Gloves, eye and "
            "breathing protection to both data sheets.",
            name=coating.name,
        )
        if coating.isocyanate == "not known":
            doubt = Message("It is not known whether it contains isocyanate: check first.")
            sentence = joined(" ", (sentence, doubt))
        found.append(caution("hardener", sentence))
    if coating.holds_lead == "yes":
        found.append(
            caution(
                "lead",
                Message(
                    "{name} contains lead: raise no dust or mist, breathing protection, wash "
                    "before eating, clothes stay on site.",
                    name=coating.name,
                ),
            )
        )
    return tuple(found)


def exposure(coating: Coating | None) -> tuple[Caution, ...]:
    """What touching or breathing it asks for: the coating's own cautions, else the usual one."""
    own = coating_cautions(coating)
    guarded = {c.hazard for c in own} & {"isocyanate", "hardener"}
    return own if guarded else (caution("health"), *own)


def cleaning(coating: Coating | None) -> tuple[Caution, ...]:
    """Before parts are cleaned: solvent, what is on them, and the rags."""
    burns = caution(
        "fire",
        Message("Solvent burns: no flame, spark or hot surface, ventilate, a bonded metal pail."),
    )
    return for_screen(burns, *exposure(coating), caution("rags"))


def at_the_bench(coating: Coating | None, *, solvent: bool = False) -> tuple[Caution, ...]:
    """Before a part is cleaned and measured; ``solvent``: some is poured on it as well."""
    measured = caution(
        "measuring",
        Message(
            "Clean the part first, measure at rest and at one temperature, nothing hard against it."
        ),
    )
    burns = (caution("fire"),) if solvent else ()
    return for_screen(*burns, *exposure(coating), caution("rags"), measured)


def site_cautions(site: SiteFacts | None) -> tuple[Caution, ...]:
    """What stands at the head of every page of a visit to this site."""
    found = []
    if site is not None and site.confined_space == "yes":
        permit = (
            Message("permit {permit}", permit=site.permit)
            if site.permit
            else Message("no permit is recorded here")
        )
        found.append(
            caution(
                "confined-space",
                Message(
                    "Confined space ({permit}): no entry without the site's permit, a gas test "
                    "and a watch outside.",
                    permit=permit,
                ),
            )
        )
    if site is not None and site.old_lead_paint == "yes":
        found.append(caution("lead"))
    return tuple(found)


def pot_life_cautions(coating: Coating | None, clock: PotLife | None) -> tuple[Caution, ...]:
    """The running clock, or that nobody said when a two-pack coating was mixed."""
    if clock is not None:
        return (clock.caution,)
    return (unmixed(coating),) if coating is not None and coating.sets else ()


def is_chlorinated(solvent: str | None) -> bool:
    """Whether the solvents table says that this one is; one it does not know is not."""
    row = solvents().rows.get(solvent or "")
    return row is not None and row.chlorinated


def solvent_cautions(solvent: str | None, aluminium: Known) -> tuple[Caution, ...]:
    """What to show where a chlorinated solvent is chosen and aluminium is not ruled out."""
    if not is_chlorinated(solvent) or aluminium == "no":
        return ()
    doubt = "" if aluminium == "yes" else Message(", and nobody has recorded that there are none")
    return (
        caution(
            "chlorinated-solvent",
            Message(
                "{solvent} is chlorinated: never in a pump with aluminium parts{doubt}. They "
                "react, and the pump can burst.",
                solvent=_title(solvent),
                doubt=doubt,
            ),
        ),
    )


def _title(solvent: str | None) -> str:
    title = solvents().find(solvent or "").title
    return raised(title)


def refuse_chlorinated(pump: Pump, solvent: str | None) -> None:
    """Refuse a chlorinated solvent in a pump whose description says aluminium.

    Raises:
        BadInput: it is one; the sentence says why.
    """
    if is_chlorinated(solvent) and pump.aluminium == "yes":
        raise BadInput(
            Message(
                "{solvent} is chlorinated, and this pump has aluminium parts: they react and "
                "the pump can burst. Choose another solvent.",
                solvent=_title(solvent),
            )
        )
