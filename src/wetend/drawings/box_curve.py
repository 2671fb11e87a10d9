"""Chart of the chance of a first-visit repair against the size of the parts box."""

from __future__ import annotations

from wetend.advice.stores.call_box import BoxChoice
from wetend.drawings.svg import WIDE, Point, box, circle, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, saying
from wetend.units.message import Message, Words
from wetend.units.quantity import M3, unit_of
from wetend.units.show import chance_text, pretty, show

_X0, _X1, _Y0, _Y1 = 38.0, WIDE - 12.0, 10.0, 150.0


def box_curve(choice: BoxChoice, limit: M3, *, reader: Words = AS_WRITTEN) -> str:
    """A staircase of the best chance for each size of box, this box marked on it."""
    say = saying(reader)
    most = max(limit, choice.curve[-1][0]) * 1.05

    def at(room: M3, chance: float) -> Point:
        return _X0 + (_X1 - _X0) * room / most, _Y1 - (_Y1 - _Y0) * chance

    steps: list[Point] = []
    for room, chance in choice.curve:
        if steps:
            steps.append((at(room, 0.0)[0], steps[-1][1]))
        steps.append(at(room, chance))
    steps.append((_X1, steps[-1][1]))
    grid = [
        part
        for share in (0.0, 0.25, 0.5, 0.75, 1.0)
        for part in (
            line("dw-rule", (_X0, at(0, share)[1]), (_X1, at(0, share)[1])),
            words(f"{share * 100:.0f} %", _X0 - 4, at(0, share)[1] + 4, anchor="end",
                  cls="dw-text dw-small"),
        )
    ]  # fmt: skip
    unit = unit_of(M3)
    x = at(limit, 0.0)[0]
    spot = at(choice.room, choice.chance)
    said = Message(
        "{chance} with {volume} of parts.",
        chance=chance_text(choice.chance), volume=show(choice.room, unit),
    )  # fmt: skip
    across = Message("room, {unit}", unit=pretty(unit.shown_in(reader.system)))
    return sheet(
        say(Message("Chance of a repair at the first visit by room in the box")), say(said), *grid,
        line("dw-hidden", (x, _Y0), (x, _Y1)),
        words(say(Message("the box")), min(x + 4, _X1 - 40), _Y1 - 6,
              cls="dw-text dw-small dw-quiet"),
        line("dw-accent-line", *steps), circle("dw-dot", *spot, 4.5),
        box("dw-thin", _X0, _Y0, _X1 - _X0, _Y1 - _Y0),
        words("0", _X0, _Y1 + 15, anchor="middle", cls="dw-text dw-small"),
        words(say(show(most, unit)), _X1, _Y1 + 15, anchor="end", cls="dw-text dw-small"),
        words(say(across), (_X0 + _X1) / 2, _Y1 + 15,
              anchor="middle", cls="dw-text dw-small dw-quiet"),
        height=_Y1 + 22,
    )  # fmt: skip
