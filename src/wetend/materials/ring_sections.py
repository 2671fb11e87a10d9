"""Standard sections of round sealing rings."""

from __future__ import annotations

from pydantic import Field

from wetend.keeping import constant
from wetend.materials.table import Row, Table, Title, load
from wetend.units.message import Message
from wetend.units.quantity import M, MFine


class RingSection(Row):
    """A series of round rings that share one section."""

    title: Title
    section: M = Field(gt=0, lt=0.02, description=Message("Diameter of the ring's cord"))
    tolerance: MFine = Field(gt=0, lt=0.001, description=Message("Either way"))


@constant("table of ring sections")
def ring_sections() -> Table[RingSection]:
    """All sections, by key."""
    return load("ring_sections", RingSection)


def nearest_section(section: M) -> RingSection:
    """The standard section nearest a measured cord diameter in metres.

    >>> nearest_section(0.0053).key
    'series-3'
    """
    return min(ring_sections(), key=lambda ring: abs(ring.section - section))
