"""Names in a description that must stand in the tables of materials."""

from __future__ import annotations

from wetend.errors import BadInput, Problem
from wetend.materials.ball_seat import ball_seat_materials
from wetend.materials.cups import cups
from wetend.materials.solvents import solvents
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.message import Message, joined
from wetend.units.suggestions import near_or_all


def refuse_unknown_materials(pump: Pump) -> None:
    """Refuse a described pump whose balls or seats are of a material that is not in the table.

    For a description as it is given; one that is kept already is taken as it is.

    Raises:
        BadInput: with a problem for each.
    """
    table = ball_seat_materials().rows
    given = {
        f"{valve}.{part}_material": getattr(getattr(pump, valve), f"{part}_material")
        for valve in ("foot_valve", "piston_valve") for part in ("ball", "seat")
    }  # fmt: skip
    problems = tuple(
        Problem(
            field,
            Message(
                "{field}: there is no material “{key}”; {there_are}",
                field=field,
                key=key,
                there_are=near_or_all(key, table),
            ),
        )
        for field, key in given.items()
        if key not in table
    )
    if problems:
        raise BadInput(joined(" ", (p.sentence for p in problems)), problems)


def refuse_unknown_names(coating: Coating) -> None:
    """Refuse a described coating whose flow cup or solvent is not in the tables.

    Raises:
        BadInput: one is not.
    """
    if coating.cup is not None and coating.cup not in cups().rows:
        sentence = Message(
            "cup: there is no flow cup “{cup}”; {there_are}",
            cup=coating.cup,
            there_are=near_or_all(coating.cup, cups().rows),
        )
        raise BadInput(sentence, (Problem("cup", sentence),))
    if coating.solvent is not None and coating.solvent not in solvents().rows:
        known = near_or_all(coating.solvent, solvents().rows)
        sentence = Message(
            "solvent: there is no solvent “{solvent}”; {known}",
            solvent=coating.solvent,
            known=known,
        )
        raise BadInput(sentence, (Problem("solvent", sentence),))
