"""How full the cylinder gets on the up-stroke, and what single change would fill it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from wetend.physics.air import liquid_share
from wetend.physics.lines import Line, line_flow, line_loss
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.temperature import COATING_ACTIVATION, at_temperature
from wetend.physics.suction import static_head
from wetend.roots import zero_between
from wetend.units.constants import ATMOSPHERE
from wetend.units.message import Message
from wetend.units.quantity import K, M, M3PerS, MLong, Pa, Ratio

_NO_FLOW = Message("No flow through this suction can be computed.")
_WARMEST = 60.0


@dataclass(frozen=True, slots=True)
class Inlet:
    """All that stands between the tin and the cylinder.

    The line's rise is the lift: how high the foot valve stands above the liquid.
    """

    line: Line
    vapour_pressure: Pa
    atmospheric: Pa = ATMOSPHERE
    feed: Pa = 0.0
    """Of a feed pump or a pressure pot, above the air's."""
    valve: float = 0.0
    """Pa s2/m6: pressure over flow squared through the foot valve."""
    ball: Pa = 0.0
    """To lift the ball: its weight and spring over its circle."""
    entrained: Ratio = 0.0
    dissolved: Ratio = 0.0


def cylinder_pressure(liquid: Liquid, inlet: Inlet, flow: M3PerS, *, acceleration: Pa = 0.0) -> Pa:
    r"""Absolute pressure in the cylinder while it draws at this flow.

    .. math:: p=p_a+p_{feed}-\Delta p_{line}(Q)-\Delta p_{ball}-RQ^2-\Delta p_{acc}

    Zero or less: the column parts. Source: Bernoulli's law with losses.

    >>> from wetend.physics.lines import Piece
    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> inlet = Inlet(Line((Piece(0.025, 1.6),), rise=0.5), vapour_pressure=1098.0)
    >>> round(cylinder_pressure(newtonian(0.4, 1420.0), inlet, 1e-4))
    87687
    """
    spent = line_loss(liquid, flow, inlet.line) + inlet.ball + inlet.valve * flow**2 + acceleration
    return inlet.atmospheric + inlet.feed - spent


def suction_margin(liquid: Liquid, inlet: Inlet, flow: M3PerS, *, acceleration: Pa = 0.0) -> Pa:
    """Pressure left in the cylinder above the vapour pressure; below zero it does not fill.

    Source: :func:`cylinder_pressure`.

    >>> from wetend.physics.lines import Piece
    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> inlet = Inlet(Line((Piece(0.025, 1.6),), rise=0.5), vapour_pressure=1098.0)
    >>> round(suction_margin(newtonian(0.4, 1420.0), inlet, 1e-4))
    86589
    """
    return cylinder_pressure(liquid, inlet, flow, acceleration=acceleration) - inlet.vapour_pressure


def greatest_flow(
    liquid: Liquid, inlet: Inlet, *, margin: Pa = 0.0, acceleration: Pa = 0.0
) -> M3PerS:
    """Most that the suction side lets through with this margin left; zero if none at all.

    Source: :func:`suction_margin` turned round.

    >>> from wetend.physics.lines import Piece
    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> inlet = Inlet(Line((Piece(0.025, 1.6),), rise=0.5), vapour_pressure=1098.0)
    >>> liquid = newtonian(0.4, 1420.0)
    >>> most = greatest_flow(liquid, inlet)
    >>> abs(suction_margin(liquid, inlet, most)) < 1e-3
    True
    """

    def left(flow: float) -> float:
        return suction_margin(liquid, inlet, flow, acceleration=acceleration) - margin

    if left(0.0) <= 0:
        return 0.0
    available = inlet.atmospheric + inlet.feed
    top = line_flow(liquid, available, inlet.line)
    if top <= 0 or left(top) >= 0:
        return top
    low = top * 1e-12
    if left(low) <= 0:
        return 0.0
    return zero_between(left, low, top, xtol=1e-18, rtol=1e-13, why=_NO_FLOW)


def fill_share(liquid: Liquid, inlet: Inlet, flow: M3PerS, *, acceleration: Pa = 0.0) -> Ratio:
    r"""Share of the cylinder that is liquid at the end of an up-stroke that draws at this flow.

    .. math:: \min\left(1,\frac{Q_{max}}{Q}\right)\,\frac{1}{1+\alpha(p)}

    The first where vapour takes the rest, the second the air that comes along or out; see
    :func:`greatest_flow` and :mod:`wetend.physics.air`. The rod sets the pace, as on a drive that
    meets nothing in an empty cylinder. A model of ours.

    >>> from wetend.physics.lines import Piece
    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> inlet = Inlet(Line((Piece(0.025, 1.6),), rise=0.5), vapour_pressure=1098.0, entrained=0.01)
    >>> round(fill_share(newtonian(0.4, 1420.0), inlet, 1e-4), 4)
    0.9886
    """
    if flow <= 0:
        return 1.0
    most = greatest_flow(liquid, inlet, acceleration=acceleration)
    pressure = cylinder_pressure(liquid, inlet, min(flow, most), acceleration=acceleration)
    share = liquid_share(
        max(pressure, inlet.vapour_pressure, 1.0), inlet.entrained, inlet.dissolved
    )
    return min(1.0, most / flow) * float(share)


@dataclass(frozen=True, slots=True)
class Remedies:
    """Each change that alone would leave the margin wanted; ``None`` where it alone can't."""

    slower: Ratio | None
    """Share of the present speed."""
    bore: M | None
    """Of the suction tube throughout."""
    warmer: K | None
    lift: MLong | None
    """Highest the foot valve may stand above the liquid; negative: below it."""
    feed: Pa | None
    """Pressure of a feed pump."""


def _root(left: Callable[[float], float], low: float, high: float) -> float | None:
    """Where a rising ``left`` is zero; ``low`` if it is past it there, none if it never is."""
    if left(low) >= 0:
        return low
    return zero_between(left, low, high, why=_NO_FLOW) if left(high) >= 0 else None


def remedies(
    liquid: Liquid,
    inlet: Inlet,
    flow: M3PerS,
    *,
    margin: Pa,
    reference: K,
    acceleration: Pa = 0.0,
    activation: K = COATING_ACTIVATION,
) -> Remedies:
    """What single change would leave this margin at this flow: slower, wider, warmer, lower, fed.

    Warmth is tried up to 60 kelvin above ``reference``, at which ``liquid`` is given, and a wider
    tube up to four times; the vapour pressure is kept, so that with a warm thin solvent the true
    gain is less. The present value comes back where there is margin enough already.

    Source: :func:`suction_margin` turned round for each.

    >>> from wetend.physics.lines import Piece
    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> thick = newtonian(6.0, 1420.0)
    >>> inlet = Inlet(Line((Piece(0.025, 1.6),), rise=0.5), vapour_pressure=1098.0)
    >>> found = remedies(thick, inlet, 1e-4, margin=2e4, reference=283.15)
    >>> round(found.slower, 2), round(found.bore * 1000, 1), round(found.warmer - 273.15, 1)
    (0.73, 27.0, 17.3)
    """
    lacking = margin - suction_margin(liquid, inlet, flow, acceleration=acceleration)
    line = inlet.line

    def with_line(changed: Line) -> float:
        return suction_margin(liquid, replace(inlet, line=changed), flow,
                              acceleration=acceleration) - margin  # fmt: skip

    def wider(times: float) -> float:
        pieces = tuple(replace(p, bore=p.bore * times) for p in line.pieces)
        return with_line(Line(pieces, line.rise))

    def warmed(temperature: float) -> float:
        warm = at_temperature(liquid, temperature, reference, activation)
        return suction_margin(warm, inlet, flow, acceleration=acceleration) - margin

    times = _root(wider, 1.0, 4.0)
    slow = greatest_flow(liquid, inlet, margin=margin, acceleration=acceleration) / flow
    narrowest = min((p.bore for p in line.pieces), default=math.nan)
    return Remedies(
        slower=min(slow, 1.0) if slow > 0 else None,
        bore=None if times is None else narrowest * times,
        warmer=_root(warmed, reference, reference + _WARMEST),
        lift=line.rise - max(lacking, 0.0) / static_head(liquid.density, 1.0),
        feed=inlet.feed + max(lacking, 0.0),
    )
