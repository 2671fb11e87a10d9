"""How parts end here: by wear, at random or early; and a pump that is harder on its parts."""

from __future__ import annotations

import numpy as np

from wetend.stats.life.belief import LifeBelief
from wetend.stats.life.unlike_pumps import OwnWay
from wetend.units.message import Message
from wetend.units.quantity import Ratio
from wetend.units.show import chance_text

EARLY: Ratio = 0.08
"""Share badly fitted from which it is said: more than twice what is assumed."""
SURE: Ratio = 0.8
"""Chance from which a thing is said."""
STEEP, FLAT = 0.6, 0.75
"""Scales of the log life: wear-out below the one (a Weibull shape above 1.7), random above the
other (below 1.3)."""
_FEW = 5


def how_it_ends(belief: LifeBelief, own: OwnWay | None) -> tuple[str, ...]:
    """Sentences on what the record says, none where it says nothing yet.

    Args:
        belief: of the part.
        own: how its pump differs from the depot.
    """
    said: list[str] = []
    if belief.failures >= _FEW:
        if float((belief.scales < STEEP).mean()) > SURE:
            said.append(Message("It ends by wear: its age says how near."))
        elif float((belief.scales > FLAT).mean()) > SURE:
            said.append(Message("It ends at random here: its age says little."))
        early = 0.0 if belief.early is None else float(belief.early.mean())
        if early > EARLY:
            share = chance_text(early)
            said.append(
                Message("{share} of them fail in the first days: look at how they are fitted.",
                        share=share)
            )  # fmt: skip
    if own is None:
        return tuple(said)
    if float((own.slope < 0).mean()) > SURE:
        said.append(Message("In this pump parts last less from one repair to the next."))
    elif float(np.mean(own.shift < -0.05)) > SURE:
        said.append(Message("Parts last less in this pump than in the depot's others."))
    return tuple(said)
