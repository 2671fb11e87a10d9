"""Validity limits of leak laws by speed: end losses, turbulence, cavitation, sound.

The laws are of slow flow along a gap. Each limit below is a speed, so that it can be read beside
the speed that came out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.physics.leakage import ENTRY_AND_EXIT, series_flow
from wetend.units.constants import ATMOSPHERE
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, LeakFlow, M, M3PerS, MPerS, Pa, Percent, unit_of
from wetend.units.show import show

USUAL_DENSITY: KgPerM3 = 1300.0
"""Of a coating, where none is given; only limits depend on it. Common practice, no source."""
SLIT_POISEUILLE = 96.0
"""Darcy f Re of a thin gap, on its hydraulic diameter. Plane Poiseuille flow."""
LAMINAR_TO = 2000.0
"""Reynolds number on the hydraulic diameter. Common practice, no source."""
_ENDS_FROM: Percent = 0.1
"""Share of the pressure from which what is lost at the ends counts."""
_CONTRACTION = 0.64
"""Least section of a stream behind a sharp edge, over the opening. *Encyclopaedia Britannica*, 11th
ed. (1911), "Hydraulics", section 17."""
_PARTED = 0.62
"""Flow of a stream that has parted from the edge, over that of Bernoulli's speed through the whole
opening; the same, section 18. With entry and exit losses alone it is 0.82."""
FAST: MPerS = 300.0
"""From here a liquid is no longer taken as incompressible: a quarter of the speed of sound in one,
some 1,200 m/s. Common practice, no source."""
_SPEED = unit_of(MPerS)
_LITRE_A_MINUTE: LeakFlow = 1e-3 / 60


@dataclass(frozen=True)
class Stream:
    """A leak as its law gives it."""

    flow: LeakFlow
    area: float
    """Section it runs through, m2."""
    pressure: Pa
    density: KgPerM3
    wall: Pa
    """Shear stress at the wall."""
    poiseuille: float = SLIT_POISEUILLE
    """Darcy f Re of the section."""
    ends: bool = False
    """Whether the law counts what is lost at the ends."""

    @property
    def speed(self) -> MPerS:
        """Mean speed."""
        return self.flow / self.area

    @property
    def reynolds(self) -> float:
        """Reynolds number on the hydraulic diameter, of any law by its stress at the wall."""
        if self.wall <= 0:
            return math.inf if self.flow > 0 else 0.0
        return self.poiseuille / 8 * self.density * self.speed * self.speed / self.wall


def slit_wall(gap: M, length: M, pressure: Pa) -> Pa:
    """Shear stress at the wall of a thin gap, by balance of forces."""
    return gap * pressure / (2 * length)


def with_ends(stream: Stream) -> LeakFlow:
    r"""The flow with entry and exit losses taken in, drag in proportion to the flow.

    .. math:: p = p\,\frac{Q}{Q_0} + \frac{K\rho}{2}\left(\frac{Q}{A}\right)^2, \quad K = 1.5

    Source: as :func:`wetend.physics.leakage.seat_gap`. For a coating that thins with shear the true
    flow lies a little lower.
    """
    head = ENTRY_AND_EXIT * stream.density / (2 * stream.area**2)
    return series_flow(stream.pressure, stream.pressure / stream.flow, head)


def speed_cautions(stream: Stream) -> tuple[str, ...]:
    """A sentence for each reason to doubt this speed, with the speed from which on it holds."""
    if stream.flow <= 0 or stream.pressure <= 0 or not math.isfinite(stream.speed):
        return ()
    found: list[str] = []
    ends_from = math.sqrt(2 * _ENDS_FROM * stream.pressure / (ENTRY_AND_EXIT * stream.density))
    if not stream.ends and stream.speed > ends_from:
        found.append(
            Message(
                "From {ends_from} on the liquid's inertia at the ends takes over a tenth of "
                "the pressure, which this law leaves out: {speed} is doubtful, the true leak "
                "is nearer {flow}.",
                ends_from=show(ends_from, _SPEED),
                speed=show(stream.speed, _SPEED),
                flow=_flow(with_ends(stream)),
            )
        )
    slower = stream.speed if stream.ends else with_ends(stream) / stream.area
    parts_from = _CONTRACTION * math.sqrt(2 * (stream.pressure + ATMOSPHERE) / stream.density)
    if slower > parts_from:
        least = _PARTED * stream.area * math.sqrt(2 * stream.pressure / stream.density)
        found.append(
            Message(
                "From {parts_from} on the stream boils behind the edge it enters by "
                "(cavitation) and may part from the wall: the true leak may be down to "
                "{least}.",
                parts_from=show(parts_from, _SPEED),
                least=_flow(least),
            )
        )
    if stream.reynolds > LAMINAR_TO:
        found.append(_turbulent(stream))
    if stream.speed > FAST:
        found.append(
            Message(
                "From {fast} on, a quarter of the speed of sound in a liquid, it is no "
                "longer incompressible: look for a slip in pressure or density.",
                fast=show(FAST, _SPEED),
            )
        )
    return tuple(found)


def _flow(flow: LeakFlow) -> str:
    """In litres a minute where it is more than one, as a user reads it."""
    return show(flow, unit_of(LeakFlow if flow < _LITRE_A_MINUTE else M3PerS))


def _turbulent(stream: Stream) -> str:
    if not math.isfinite(stream.reynolds) or stream.reynolds > 1e6 * LAMINAR_TO:
        return Message("The leak is too fast to be laminar; the true one is smaller.")
    turns = stream.speed * LAMINAR_TO / stream.reynolds
    return Message(
        "From about {turns} on the leak is too fast to be laminar; the true one is smaller.",
        turns=show(turns, _SPEED),
    )
