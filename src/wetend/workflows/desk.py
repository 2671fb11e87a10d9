"""Where a person works from: the depot's records, who they are and the units they read."""

from __future__ import annotations

from dataclasses import dataclass, replace

from wetend.errors import NotFound
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.toml import demo_coatings
from wetend.records.entries import Entry, EntryKind, new_entry, said_by
from wetend.records.fold import Visit, fold_pump, fold_visit
from wetend.records.store import Depot
from wetend.units.kinds import System
from wetend.units.noun import Noun

DESCRIBED_KINDS: tuple[EntryKind, ...] = ("pump-described", "withdrawn")
"""The kinds that a pump's description is folded from."""


@dataclass(frozen=True)
class Desk:
    """A person at work: every entry they make carries who and where they are."""

    depot: Depot
    who: str = ""
    place: str = ""
    device: str = ""
    system: System = "metric"

    def reading_in(self, system: System) -> Desk:
        """The same person reading other units."""
        return replace(self, system=system)

    def keep(self, kind: EntryKind, noun: Noun, *, pump: str, visit: str | None = None) -> Entry:
        """Write one entry; it is durable when this returns."""
        entry = new_entry(
            kind, noun, pump=pump, visit=visit, who=self.who, place=self.place, device=self.device
        )
        self.depot.append(entry)
        return entry

    def visit(self, visit_id: str) -> Visit:
        """The visit as it stands, folded from its entries.

        Raises:
            NotFound: no such visit.
        """
        return fold_visit(self.depot.visit_entries(visit_id))

    def keep_in_visit(self, kind: EntryKind, noun: Noun, visit_id: str) -> Visit:
        """Write one entry of a visit and give the visit as it now stands."""
        visit = self.visit(visit_id)
        self.keep(kind, noun, pump=visit.pump.key, visit=visit_id)
        return self.visit(visit_id)

    def pump(self, key: str) -> Pump:
        """The pump as last described.

        Raises:
            NotFound: no such pump.
        """
        entries = self.depot.entries(pump=key, kinds=DESCRIBED_KINDS)
        if not entries:
            raise NotFound(f"There is no pump “{key[:60]}” in this depot.")
        return fold_pump(entries)

    def coatings(self) -> tuple[Coating, ...]:
        """Coatings to choose from: those used in this depot, latest first, then the examples."""
        used: dict[str, Coating] = {}
        for entry in reversed(self.depot.entries(kinds=("coating",))):
            coating = said_by(entry)
            if isinstance(coating, Coating):
                used.setdefault(coating.key, coating)
        for coating in demo_coatings():
            used.setdefault(coating.key, coating)
        return tuple(used.values())

    def coating(self, key: str) -> Coating:
        """The coating with this key.

        Raises:
            NotFound: no such coating is known here.
        """
        found = next((c for c in self.coatings() if c.key == key), None)
        if found is None:
            known = ", ".join(c.key for c in self.coatings())
            raise NotFound(f"There is no coating “{key[:60]}”; known here: {known}.")
        return found
