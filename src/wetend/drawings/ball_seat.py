"""Where a ball rests on its conical seat, for drawing it there."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Resting:
    """A ball at rest on a seat, from the seat's lower face, in the units given."""

    bore: float
    """Radius of the hole."""
    mouth: float
    """Radius of the cone at the seat's upper face."""
    cone: float
    """Depth of the cone below the upper face."""
    centre: float
    """Height of the ball's centre above the seat's lower face."""


def rest(
    *, ball: float, bore: float, half_angle: float, width: float, height: float, widest: float
) -> Resting:
    """Put a ball of radius ``ball`` on a seat of that height.

    The ball touches the cone at ``ball * cos(half_angle)`` from the axis, or an edge of the cone
    if that lies beside it. Sizes that don't go together are drawn as near as they can be.

    >>> seat = rest(ball=11, bore=7, half_angle=math.pi / 4, width=4, height=12, widest=16)
    >>> round(seat.centre, 2)
    17.73
    """
    bore = min(bore, 0.9 * ball, 0.85 * widest)
    mouth = min(bore + width * math.sin(half_angle), 0.97 * widest)
    cone = min((mouth - bore) / math.tan(half_angle), 0.8 * height)
    contact = min(max(ball * math.cos(half_angle), bore), mouth, ball)
    share = (mouth - contact) / (mouth - bore) if mouth > bore else 0.0
    depth = cone * min(max(share, 0.0), 1.0)
    return Resting(bore, mouth, cone, height - depth + math.sqrt(max(ball**2 - contact**2, 0.0)))
