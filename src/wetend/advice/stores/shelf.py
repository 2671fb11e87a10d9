"""What is there: the owner's items, what was counted of them, and what was fitted since."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from wetend.materials.ball_seat import ball_seat_materials
from wetend.pump.catalogue import CatalogueItem
from wetend.pump.description import Pump
from wetend.pump.usage import FittedPart
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, unit_of
from wetend.units.show import show_limit


@dataclass(frozen=True)
class Stocked:
    """An item with what was counted of it."""

    item: CatalogueItem
    shelf: int = 0
    van: int = 0
    counted: date | None = None
    """The day of the count; ``None``: never counted."""
    count_id: str = ""
    """Id of the count, for what was fitted on the same day."""
    ordered: int = 0
    """On order when it was counted."""


@dataclass(frozen=True)
class Used:
    """A part fitted new, taken from shelf or van."""

    pump: str
    part: FittedPart
    on: date
    entry_id: str


@dataclass(frozen=True)
class StockCount:
    """How many of a part are there now."""

    shelf: int
    van: int

    @property
    def both(self) -> int:
        """On the shelf and in the van."""
        return self.shelf + self.van


def _mm(size: float) -> str:
    return show_limit(size, unit_of(M), digits=3)


def _spelled(material: str) -> str:
    """A ball's or seat's material as it is called, its grade after it."""
    known = next((row for row in ball_seat_materials() if row.key == material), None)
    return known.title if known else material.replace("-", " ")


def fits(pump: Pump, part: FittedPart) -> str:
    """What a part must match, in words; blank where nothing in the description says."""
    foot, piston = pump.foot_valve, pump.piston_valve
    said: dict[FittedPart, str] = {
        "static-packings": Message(
            "rod {diameter}, {rings} rings",
            diameter=_mm(pump.rod.diameter),
            rings=pump.static_packings.rings,
        ),
        "moving-packings": Message(
            "bore {bore}, {rings} rings",
            bore=_mm(pump.cylinder.bore),
            rings=pump.moving_packings.rings,
        ),
        "foot-ball": Message(
            "{ball_diameter}, {ball_material}",
            ball_diameter=_mm(foot.ball_diameter),
            ball_material=_spelled(foot.ball_material),
        ),
        "foot-seat": Message(
            "hole {seat_bore}, {seat_material}",
            seat_bore=_mm(foot.seat_bore),
            seat_material=_spelled(foot.seat_material),
        ),
        "piston-ball": Message(
            "{ball_diameter}, {ball_material}",
            ball_diameter=_mm(piston.ball_diameter),
            ball_material=_spelled(piston.ball_material),
        ),
        "piston-seat": Message(
            "hole {seat_bore}, {seat_material}",
            seat_bore=_mm(piston.seat_bore),
            seat_material=_spelled(piston.seat_material),
        ),
        "cylinder": Message(
            "bore {bore}, length {length}",
            bore=_mm(pump.cylinder.bore),
            length=_mm(pump.cylinder.length),
        ),
        "rod": Message(
            "{diameter}, length {length}",
            diameter=_mm(pump.rod.diameter),
            length=_mm(pump.rod.length),
        ),
        "nozzle": Message("orifice {orifice}", orifice=_mm(pump.nozzle.orifice)),
        "outlet-filter": Message(
            "opening {opening}", opening=show_limit(pump.filter.opening, unit_of(MFine), digits=3)
        ),
        "soft-rings": Message("cylinder {outside} outside", outside=_mm(pump.cylinder.outside)),
        "cage": Message("ball {ball_diameter}", ball_diameter=_mm(foot.ball_diameter)),
    }
    return said.get(part, "")


def _sizes(pump: Pump) -> tuple[object, ...]:
    """All that :func:`fits` depends on."""
    foot, piston = pump.foot_valve, pump.piston_valve
    return (
        pump.rod.diameter, pump.rod.length, pump.cylinder.bore, pump.cylinder.length,
        pump.cylinder.outside, pump.static_packings.rings, pump.moving_packings.rings,
        foot.ball_diameter, foot.ball_material, foot.seat_bore, foot.seat_material,
        foot.reversible, piston.ball_diameter, piston.ball_material, piston.seat_bore,
        piston.seat_material, piston.reversible, pump.nozzle.orifice, pump.filter.opening,
    )  # fmt: skip


@dataclass(frozen=True)
class Shelf:
    """All items of a depot, and what was fitted."""

    items: tuple[Stocked, ...] = ()
    used: tuple[Used, ...] = ()
    pumps: Mapping[str, Pump] | None = None
    """By key."""

    def alike(self, pumps: Sequence[Pump]) -> tuple[tuple[Pump, ...], ...]:
        """Pumps put together that take the same items: of one build and size, named by the same."""
        naming: dict[str, list[str]] = {}
        for stocked in self.items:
            for key in stocked.item.pumps:
                naming.setdefault(key, []).append(stocked.item.number)
        kinds: dict[tuple[object, ...], list[Pump]] = {}
        for pump in pumps:
            kind = (pump.build, _sizes(pump), tuple(naming.get(pump.key, ())))
            kinds.setdefault(kind, []).append(pump)
        return tuple(map(tuple, kinds.values()))

    def of(self, pump: Pump, part: FittedPart) -> tuple[Stocked, ...]:
        """Items that are this part for this pump, kits too.

        An item is for the pumps it names, and for others of their build that take the same size.
        """
        return tuple(s for s in self.items if part in s.item.parts and self._is_for(s, pump, part))

    def _is_for(self, stocked: Stocked, pump: Pump, part: FittedPart) -> bool:
        if pump.key in stocked.item.pumps:
            return True
        known = self.pumps or {}
        named = (known[key] for key in stocked.item.pumps if key in known)
        return bool(pump.build) and any(
            other.build == pump.build and fits(other, part) == fits(pump, part) for other in named
        )

    def there(
        self, items: Sequence[Stocked], part: FittedPart, pumps: Collection[str]
    ) -> StockCount:
        """How many of a part are there: as counted, less what was fitted to these pumps since."""
        shelf, van = sum(s.shelf for s in items), sum(s.van for s in items)
        gone = sum(
            1 for u in self.used
            if u.part == part and u.pump in pumps and any(_after(u, s) for s in items)
        )  # fmt: skip
        from_van = min(gone, van)
        return StockCount(max(shelf - (gone - from_van), 0), van - from_van)


def _after(used: Used, stocked: Stocked) -> bool:
    """Whether a part was fitted after a count that found some."""
    if stocked.counted is None or not stocked.shelf + stocked.van:
        return False
    same_day = used.on == stocked.counted and used.entry_id > stocked.count_id
    return used.on > stocked.counted or same_day
