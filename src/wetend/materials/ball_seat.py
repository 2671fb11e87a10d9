"""Ball and seat materials: density and elasticity."""

from __future__ import annotations

from pydantic import Field

from wetend.keeping import constant
from wetend.materials.table import Row, Table, Title, load
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, Ratio, Stress


class BallSeatMaterial(Row):
    """A material of balls, seats or rods at room temperature."""

    title: Title
    density: KgPerM3 = Field(gt=500, lt=20000)
    modulus: Stress = Field(gt=0, lt=1.2e12, description=Message("Young's modulus"))
    poisson: Ratio = Field(gt=0, lt=0.5)


@constant("table of ball and seat materials")
def ball_seat_materials() -> Table[BallSeatMaterial]:
    """All ball and seat materials, by key."""
    return load("ball_seat", BallSeatMaterial)


def find_material(key: str) -> BallSeatMaterial:
    """The material with this key, such as ``stainless-440c``.

    Raises:
        UnknownName: there is none; the sentence lists those there are.

    >>> find_material("stainless-440c").modulus
    2.000e11
    """
    return ball_seat_materials().find(key)
