"""What is done in a running check, as far as it can hurt, and the cautions that follow from it.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Literal

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution, for_screen
from wetend.units.message import Message

Act = Literal[
    "runs", "sprays", "catches", "dumps", "stalls", "near the rod", "at the drive",
    "looks for a leak", "pressure off", "opens", "solvent", "open pail", "moves the suction",
    "phone",
]  # fmt: skip
"""What is done: the pump runs and is loud; the gun sprays; what comes is caught with the nozzle
out; it comes back through the dump valve; the pump stalls under pressure; eyes or a rule come near
the rod; somebody stands at the drive; hose and joints are looked along; the pressure has to be
taken off first; a part is opened; solvent is poured; coating stands open; the suction is lifted or
changed; a phone taps, films or listens at the pump."""

WARNS: Final[dict[Act, tuple[Caution, ...]]] = {
    "runs": (caution("noise"),),
    "sprays": (caution("spraying"),),
    "catches": (caution("catching"), caution("fire")),
    "dumps": (caution("dump-hose"), caution("fire")),
    "stalls": (
        caution(
            "rod-moves",
            Message(
                "Stalled, it can move at any moment, and pump, hose and gun hold full "
                "pressure: trigger lock on, hands clear of rod and coupling, read with a "
                "rule fixed to the body."
            ),
        ),
    ),
    "near the rod": (
        caution(
            "rod-moves",
            Message(
                "The rod moves: hands and rule clear of rod and coupling, look from beside it."
            ),
        ),
    ),
    "at the drive": (
        caution("hot-drive"),
        caution(
            "rod-moves",
            Message("Keep clear of the drive's moving parts, sleeves and hair tied in."),
        ),
    ),
    "looks for a leak": (
        caution(
            "injection",
            Message(
                "A jet too fine to see goes through skin and glove: look from aside with a "
                "light, never feel for a leak."
            ),
        ),
    ),
    "pressure off": (
        caution(
            "stored-pressure",
            Message(
                "First drive isolated and locked, zero proven. A blocked nozzle or hose can "
                "hide pressure."
            ),
        ),
    ),
    "opens": (caution("stored-pressure"), caution("trapped-liquid")),
    "solvent": (caution("fire"), caution("health")),
    "open pail": (caution("fire"),),
    "moves the suction": (caution("run-back"),),
    "phone": (caution("phone"),),
}
"""The cautions of each act; of two acts with one hazard, the one named first says it."""


def cautions_of(acts: Iterable[Act], *own: Caution) -> tuple[Caution, ...]:
    """Cautions of some acts, one a hazard, the gravest first; ``own`` says it better where given.

    An own caution of a hazard that the acts don't bring stands as well.
    """
    return for_screen(*own, *(each for act in acts for each in WARNS[act]))
