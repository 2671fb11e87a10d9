"""Weight of the wet end and lifting limits. Common practice, no source."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution
from wetend.pump.description import Pump
from wetend.pump.site import SiteFacts
from wetend.units.message import Message
from wetend.units.quantity import Kg, KgPerM3, M, unit_of
from wetend.units.show import rough_span, show_limit

STEEL: KgPerM3 = 7900.0
USUAL_LIMIT: Kg = 25.0
"""Most that one person lifts where the site says nothing (common practice, no source)."""
_BODY_WIDE, _HOUSING_WIDE = 2.2, 1.6
"""Outside of body and foot-valve housing over the cylinder's (our choice)."""
_HOLLOW = 0.7
"""Share of their blocks that is metal (our choice)."""
_DOUBT = 1.5
"""An estimate may be out by this factor either way (our choice)."""


@dataclass(frozen=True)
class Weight:
    """What the wet end weighs, kg; an estimate's range is wide."""

    low: Kg
    high: Kg
    estimated: bool

    def text(self) -> str:
        """As said in a sentence.

        >>> Weight(14.0, 14.0, estimated=False).text()
        '14 kg'
        >>> Weight(9.3, 21.0, estimated=True).text()
        'about 9.3 to 21 kg, estimated from its sizes'
        """
        unit = unit_of(Kg)
        if not self.estimated:
            return show_limit(self.high, unit, digits=3)
        span = rough_span(self.low, self.high, unit)
        return Message("about {span}, estimated from its sizes", span=span)


def _cylinder(diameter: M, length: M) -> float:
    return math.pi / 4 * diameter**2 * length


def weight_of(pump: Pump) -> Weight:
    """The wet end's weight: as described, else estimated from its sizes.

    Sleeve and rod by their sizes in steel; piston a bore long; body and foot-valve housing as
    blocks in proportion to the sleeve.
    """
    if pump.mass is not None:
        return Weight(pump.mass, pump.mass, estimated=False)
    outside, bore = pump.cylinder.outside, pump.cylinder.bore
    sleeve = _cylinder(outside, pump.cylinder.length) - _cylinder(bore, pump.cylinder.length)
    rod = _cylinder(pump.rod.diameter, pump.rod.length)
    piston = _cylinder(bore, bore)
    body = _HOLLOW * _cylinder(_BODY_WIDE * outside, outside + 2 * pump.static_packings.height)
    housing = _HOLLOW * _cylinder(_HOUSING_WIDE * outside, outside + pump.stack.depth)
    middle = STEEL * (sleeve + rod + piston + body + housing)
    return Weight(_round(middle / _DOUBT), _round(middle * _DOUBT), estimated=True)


def _round(kilograms: Kg) -> Kg:
    """To two figures, as an estimate deserves."""
    return float(f"{kilograms:.2g}")


def lifting(pump: Pump, site: SiteFacts | None = None) -> Caution:
    """What to say before the wet end is lifted or let down: its weight against the site's limit."""
    weight = weight_of(pump)
    limit = (site.lifting_limit if site else None) or USUAL_LIMIT
    most = show_limit(limit, unit_of(Kg))
    whose = (
        Message("the site's limit") if site and site.lifting_limit else Message("the usual limit")
    )
    if weight.high > limit:
        how = Message(
            "more than {whose} of {most} for one: two persons or a sling, feet clear.",
            whose=whose,
            most=most,
        )
    else:
        how = Message(
            "within {whose} of {most} for one: weight on timber, feet clear.",
            whose=whose,
            most=most,
        )
    return caution(
        "lifting", Message("The wet end weighs {text}, {how}", text=weight.text(), how=how)
    )
