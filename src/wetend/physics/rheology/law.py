"""What a flow law is to the rest of the physics: one record, filled in by the law's own file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.message import Message
from wetend.units.quantity import PaLow, PaSN, Ratio

Curve = Callable[[Array, Liquid], Array]
"""A function of a stress or a rate, and of the liquid."""
Turbulent = Literal["dodge-metzner", "darby-melson"]
"""Published laws of turbulent friction to choose from."""
Place = Literal["leak", "turbulence", "score", "fit"]
"""Where a law may hold less than everywhere: leaks of the stroke and of the pump in time,
turbulent flow, a score solved across its section, and fitting to viscometer readings."""
PLACES: tuple[Place, ...] = ("leak", "turbulence", "score", "fit")


@dataclass(frozen=True)
class Parameter:
    """A parameter as people give it."""

    name: str
    quantity: Any
    """Its annotated type in ``wetend.units.quantity``, which holds its unit."""
    least: float
    most: float
    """SI; of any liquid."""
    sprayed: tuple[float, float]
    """Least and most of a coating that is sprayed."""
    hint: str = ""


CONSISTENCY = Parameter("consistency", PaSN, 1e-7, 1e6, (1e-5, 1e4))
INDEX = Parameter("index", Ratio, 0.05, 2.0, (0.05, 2.0), Message("below 1 thins"))
YIELD_STRESS = Parameter("yield_stress", PaLow, 0.0, 1e6, (0.0, 5000.0))
"""Parameters that several laws have."""


@dataclass(frozen=True, eq=False)
class Law:
    """A flow law: its parameters, its curves, and where it does not hold.

    ``stress`` and ``rate`` are all a law must have; what is ``None`` is found from them by
    quadrature and root finding (:mod:`.flow`), or is refused with the sentence in ``limits``.
    """

    name: str
    """As in :class:`Liquid`, its ``law``."""
    title: str
    """As people write it."""
    parameters: tuple[Parameter, ...]
    make: Callable[..., Liquid]
    """The liquid of these parameters by name and ``density``."""
    stress: Curve
    """Stress at a rate of shear."""
    rate: Curve
    """Rate of shear at a stress; zero up to the yield stress."""
    slope: Curve | None = None
    """Slope of the stress with the rate."""
    work: Curve | None = None
    """Integral of the stress over the rate, from zero."""
    viscosity: Curve | None = None
    """Stress over rate, where that can be had without dividing them."""
    bore_rate: Curve | None = None
    """Nominal rate 8V/D in a round bore at a stress on its wall."""
    bore_stress: Curve | None = None
    """Its inverse."""
    bore_index: Curve | None = None
    """Slope d ln(stress) / d ln(8V/D) at a stress on the wall."""
    slit_rate: Curve | None = None
    """Flow through a slit over half its breadth times its height squared, at a stress on the
    wall."""
    moment: Callable[[Array, Liquid, float], Array] | None = None
    """As :func:`.flow.moment`."""
    fitted: tuple[str, ...] = ()
    """Of the liquid's numbers those that a fit to readings finds; none where it can't be fitted."""
    family: bool = False
    """Whether its stress is a yield stress and a power of the rate: where readings choose between
    laws, these are compared, each the limit of the next."""
    power_law_unyielding: bool = False
    """Whether without a yield stress it is a power law at every rate."""
    turbulent: tuple[Turbulent, ...] = ("dodge-metzner",)
    plastic_reynolds: bool = False
    """Whether its Reynolds number is given with the (plastic) viscosity, by custom."""
    limits: Mapping[Place, str] = field(default_factory=dict)
    """A sentence for each place where it holds less than elsewhere, and why."""
