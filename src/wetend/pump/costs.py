"""What repairs cost, in any one currency: the technician, the crew that stands idle, the parts."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from wetend.pump.usage import LifePart
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import SAsHours

Money = Annotated[float, Field(ge=0, le=1e7)]
"""In any one currency."""
_HOUR = 3600.0

PRICES: dict[LifePart, float] = {
    "static-packings": 90.0, "moving-packings": 120.0, "foot-ball": 40.0, "foot-seat": 110.0,
    "piston-ball": 30.0, "piston-seat": 90.0, "cylinder": 420.0, "rod": 480.0, "nozzle": 45.0,
    "outlet-filter": 25.0,
}  # fmt: skip
"""Prices taken where none is given: round figures of ours, no source."""
LABOUR: dict[LifePart, float] = {
    "static-packings": 1.2, "moving-packings": 1.5, "foot-ball": 0.8, "foot-seat": 0.8,
    "piston-ball": 1.4, "piston-seat": 1.4, "cylinder": 1.6, "rod": 1.8, "nozzle": 0.1,
    "outlet-filter": 0.2,
}  # fmt: skip
"""Hours of work with the pump shut down for it; a third of it where the pump is open anyway."""
CREW_DOES: frozenset[LifePart] = frozenset({"nozzle", "outlet-filter"})
"""What the crew changes itself from the tool box, without a call."""


class Costs(Noun):
    """What a planned repair costs, and what a failure at work costs on top."""

    crew_hour: Money = Field(default=180.0, title=Message("Crew standing idle, an hour"))
    technician_hour: Money = Field(default=60.0, title=Message("Technician, an hour"))
    standing: SAsHours = Field(
        default=4 * _HOUR, ge=0, le=1e6, title=Message("Crew idle, each failure"),
        description=Message("From the failure until the pump sprays again"),
    )  # fmt: skip
    part_wait: SAsHours = Field(
        default=8 * _HOUR, ge=0, le=1e6, title=Message("Crew idle, each part out of stock"),
        description=Message("From the failure's repair being due until an emergency order comes"),
    )  # fmt: skip
    fetch_wait: SAsHours = Field(
        default=2 * _HOUR, ge=0, le=1e6, title=Message("Crew idle, each part not in the van"),
        description=Message("While it is fetched from the depot"),
    )  # fmt: skip
    express: Money = Field(default=60.0, title=Message("Emergency order, each"))
    call_out: Money = Field(default=80.0, title=Message("Travel there and back, a call"))
    planned_visit: Money = Field(
        default=40.0,
        title=Message("Travel there and back, planned"),
        description=Message("Shared with other work"),
    )
    parts_factor: float = Field(
        default=1.0, ge=0.001, le=100, title=Message("Prices of parts, times"),
        description=Message("Turns the built-in round prices into yours"),
    )  # fmt: skip
    new_pump: Money = Field(default=6000.0, title=Message("A new pump"))

    def price(self, part: LifePart) -> float:
        """Price of a part."""
        return PRICES[part] * self.parts_factor

    def planned(self, part: LifePart) -> float:
        """Cost of replacing a part by plan, outside the crew's hours."""
        way = 0.0 if part in CREW_DOES else self.planned_visit
        return self.price(part) + LABOUR[part] * self.technician_hour + way

    def along(self, part: LifePart) -> float:
        """Cost of replacing it while the pump is open anyway."""
        return self.price(part) + LABOUR[part] / 3.0 * self.technician_hour

    def out_of_stock(self) -> float:
        """What it costs that a part must come by an emergency order: the wait, not the failure."""
        return self.express + self.part_wait / _HOUR * self.crew_hour

    def not_in_van(self) -> float:
        """What it costs that a part in the depot is not in the van: one more journey."""
        return self.call_out + self.fetch_wait / _HOUR * self.crew_hour

    def unplanned(self, part: LifePart) -> float:
        """Cost when it fails at work."""
        if part in CREW_DOES:
            return self.price(part) + max(LABOUR[part], 0.5) * self.crew_hour
        way = LABOUR[part] * self.technician_hour + self.call_out
        return self.price(part) + way + self.standing / _HOUR * self.crew_hour
