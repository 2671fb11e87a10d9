"""A line from pump to gun: hoses of several sizes, fittings, rise and nozzle; and what to ask it.

A line is a string of pieces, each of one bore. Pressures go with flow at one temperature, that of
the liquid given.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wetend.errors import BadInput, NoAnswer
from wetend.physics.hose import fitting_loss, hose_loss
from wetend.physics.nozzle import equal_orifice
from wetend.physics.rheology.friction import fanning_friction
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.temperature import COATING_ACTIVATION, at_temperature
from wetend.physics.suction import static_head
from wetend.roots import zero_between
from wetend.units.message import Message
from wetend.units.quantity import K, M, M3PerS, MLong, Pa, Ratio
from wetend.units.stated import stated

_NO_SIZE = Message("No flow or size within reason brings this pressure about.")
_NO_WARMTH = Message(
    "Warming alone does not bring the loss down so far; take a larger or shorter hose."
)
_INCH = 0.0254
_WARMEST = 60.0
"""Kelvin above the reference beyond which the law of Andrade is not asked."""
_LEAST_FLOW, _MOST_SPEED = 1e-15, 1000.0


@dataclass(frozen=True, slots=True)
class Fitting:
    """What a fitting loses, by the two numbers of Hooper."""

    creeping: Ratio
    """K1: loss in slow flow, over the Reynolds number."""
    fast: Ratio
    """K for a large fitting in fast flow."""
    scales: bool = True
    """Whether a small one loses more, as elbows and valves do; ends of a pipe do not."""


FITTINGS = {
    "elbow 90": Fitting(800.0, 0.40),
    "elbow 45": Fitting(500.0, 0.20),
    "tee straight": Fitting(200.0, 0.10),
    "tee branch": Fitting(500.0, 0.70),
    "ball valve": Fitting(300.0, 0.10),
    "needle valve": Fitting(1000.0, 2.00),
    "lift check valve": Fitting(2000.0, 10.0),
    "entry": Fitting(160.0, 0.50, scales=False),
    "exit": Fitting(0.0, 1.0, scales=False),
}
"""Screwed fittings. W. B. Hooper, Chemical Engineering, 24 August 1981, p. 96, as held in the
fluids library 1.3.1; a needle valve is taken as an angle valve. Ends of a pipe: from memory."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A hose or pipe of one bore, with the fittings in it.

    Raises:
        BadInput: the bore is not positive or the length is negative.
    """

    bore: M
    length: MLong
    fittings: tuple[Fitting, ...] = ()

    def __post_init__(self) -> None:
        if not 0 < self.bore < math.inf:
            raise BadInput(Message("The hose's bore must be more than zero."))
        if not 0 <= self.length < math.inf:
            raise BadInput(Message("The hose's length can't be less than zero."))


@dataclass(frozen=True, slots=True)
class Line:
    """Pieces in the order of the flow, and how much higher the far end stands."""

    pieces: tuple[Piece, ...]
    rise: MLong = 0.0


def two_k(fitting: Fitting, reynolds: float, bore: M) -> Ratio:
    r"""Loss of a fitting in velocity heads, slow flow or fast.

    .. math:: \zeta=\frac{K_1}{Re}+K_\infty\left(1+\frac{1}{D_{in}}\right)

    ``bore`` sets :math:`D_{in}`, inches. For a coating that is not newtonian the number of Metzner
    and Reed. Source: W. B. Hooper, Chemical Engineering, 24 August 1981, p. 96, from memory; made
    for newtonian liquids.

    >>> two_k(FITTINGS["elbow 90"], 100.0, 0.0254)
    8.8
    """
    small = 1.0 + _INCH / bore if fitting.scales else 1.0
    return fitting.creeping / max(reynolds, 1e-9) + fitting.fast * small


def _fittings_loss(liquid: Liquid, flow: M3PerS, piece: Piece) -> Pa:
    speed = 4.0 * flow / (math.pi * piece.bore**2)
    if not piece.fittings or speed <= 0:
        return 0.0
    reynolds = float(fanning_friction(liquid, speed, piece.bore).reynolds)
    heads = math.fsum(two_k(f, reynolds, piece.bore) for f in piece.fittings)
    return float(fitting_loss(heads, flow, piece.bore, liquid.density))


def _step_loss(liquid: Liquid, flow: M3PerS, before: Piece, after: Piece) -> Pa:
    """Where the bore changes: Borda and Carnot where it widens, half that much narrowing."""
    narrow = min(before.bore, after.bore)
    share = (narrow / max(before.bore, after.bore)) ** 2
    heads = (1.0 - share) ** 2 if after.bore > before.bore else 0.5 * (1.0 - share)
    return float(fitting_loss(heads, flow, narrow, liquid.density))


def line_loss(liquid: Liquid, flow: M3PerS, line: Line) -> Pa:
    r"""Pressure a line takes from its near end to its far end.

    .. math:: \Delta p=\sum\Delta p_{hose}+\sum\zeta\frac{\rho V^2}{2}
              +\sum\Delta p_{step}+\rho g z

    Hoses by :func:`wetend.physics.hose.hose_loss`, fittings by :func:`two_k`, widening by Borda and
    Carnot, narrowing half a velocity head times the share of area lost (common practice). At no
    flow: what starts the liquid moving, and the rise.

    Source: Bernoulli's law with losses.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> line = Line((Piece(0.0127, 15.0), Piece(0.0095, 15.0, (FITTINGS["elbow 90"],))), rise=10.0)
    >>> round(line_loss(newtonian(0.28, 1180.0), 1e-4, line), -2)
    2893100.0
    """
    along = math.fsum(
        float(hose_loss(liquid, flow, p.bore, p.length)) + _fittings_loss(liquid, flow, p)
        for p in line.pieces
    )
    pairs = zip(line.pieces[:-1], line.pieces[1:], strict=True)
    steps = math.fsum(_step_loss(liquid, flow, a, b) for a, b in pairs)
    return along + steps + static_head(liquid.density, line.rise)


def _solved(excess: Callable[[float], float], low: float, high: float) -> float:
    """The value at which a rising excess is zero, on a scale of logarithms."""
    return math.exp(
        zero_between(
            lambda u: excess(math.exp(u)), math.log(low), math.log(high), xtol=1e-13, why=_NO_SIZE
        )
    )


def line_flow(liquid: Liquid, pressure: Pa, line: Line) -> M3PerS:
    """Flow that this pressure drives through a line: :func:`line_loss` turned round.

    Zero where the pressure does not start the liquid or lift it.

    Source: :func:`line_loss` turned round.

    Raises:
        NoAnswer: the liquid would run faster than 1,000 m/s, where no law here holds.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> line = Line((Piece(0.0127, 15.0), Piece(0.0095, 15.0)))
    >>> liquid = newtonian(0.28, 1180.0)
    >>> round(line_loss(liquid, line_flow(liquid, 2e6, line), line))
    2000000
    """
    if not line.pieces:
        raise BadInput(Message("A line needs at least one hose."))
    if line_loss(liquid, 0.0, line) >= pressure:
        return 0.0
    narrow = min(p.bore for p in line.pieces)
    most = _MOST_SPEED * math.pi * narrow**2 / 4.0

    scale = max(abs(pressure), 1.0)

    def excess(flow: float) -> float:
        return (line_loss(liquid, flow, line) - pressure) / scale

    if excess(most) <= 0:
        raise NoAnswer(
            Message(
                "That pressure would drive the liquid faster than {speed}.",
                speed=stated("1000 m/s"),
            )
        )
    if excess(_LEAST_FLOW) >= 0:
        return 0.0
    return _solved(excess, _LEAST_FLOW, most)


def smallest_bore(liquid: Liquid, flow: M3PerS, length: MLong, pressure: Pa) -> M:
    """Smallest bore of a hose of this length that costs no more than this pressure.

    Source: :func:`wetend.physics.hose.hose_loss` turned round.

    Raises:
        NoAnswer: none between 0.1 mm and 1 m does.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(smallest_bore(newtonian(0.28, 1180.0), 1e-4, 30.0, 4201893.0) * 1000, 3)
    9.5
    """

    def excess(bore: float) -> float:
        return 1.0 - float(hose_loss(liquid, flow, bore, length)) / pressure

    if pressure <= 0 or excess(1.0) < 0:
        raise NoAnswer(Message("No hose below a metre in bore costs as little as that."))
    if excess(1e-4) >= 0:
        return 1e-4
    return _solved(excess, 1e-4, 1.0)


def longest_last_hose(liquid: Liquid, flow: M3PerS, line: Line, bore: M, pressure: Pa) -> MLong:
    """Longest hose of this bore to add to the end of a line for no more than this pressure in all.

    Source: :func:`line_loss`, in proportion to length.

    Raises:
        NoAnswer: the line alone costs more, or a hose costs nothing.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(longest_last_hose(newtonian(0.28, 1180.0), 1e-4, Line(()), 0.0095, 4201893.0), 2)
    30.0
    """
    start = Line((*line.pieces, Piece(bore, 0.0)), line.rise)
    left = pressure - line_loss(liquid, flow, start)
    each = float(hose_loss(liquid, flow, bore, 1.0))
    if left < 0:
        raise NoAnswer(Message("The line before that hose already costs more than this pressure."))
    if each <= 0:
        raise NoAnswer(Message("At no flow a hose costs nothing, however long it is."))
    return left / each


def temperature_needed(
    liquid: Liquid,
    flow: M3PerS,
    line: Line,
    pressure: Pa,
    *,
    reference: K,
    activation: K = COATING_ACTIVATION,
) -> K:
    """Temperature to warm a coating to, so that a line costs no more than this pressure.

    ``liquid`` is given at ``reference``, which comes back where it is warm enough already. Every
    stress falls as by Andrade's law, see :mod:`wetend.physics.rheology.temperature`.

    Source: :func:`line_loss` turned round.

    Raises:
        NoAnswer: even 60 kelvin warmer does not do it.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> thick, line = newtonian(0.56, 1180.0), Line((Piece(0.0095, 30.0),))
    >>> round(temperature_needed(thick, 1e-4, line, 4201893.0, reference=283.15) - 273.15, 1)
    26.8
    """

    def excess(temperature: float) -> float:
        warm = at_temperature(liquid, temperature, reference, activation)
        return line_loss(warm, flow, line) / pressure - 1.0

    if pressure <= 0 or excess(reference + _WARMEST) > 0:
        raise NoAnswer(_NO_WARMTH)
    if excess(reference) <= 0:
        return reference
    return zero_between(excess, reference, reference + _WARMEST, xtol=1e-9, why=_NO_WARMTH)


def nozzle_to_suit(
    liquid: Liquid, flow: M3PerS, pressure: Pa, line: Line, *, discharge_coefficient: Ratio = 0.85
) -> tuple[M, Pa]:
    """Nozzle that takes a pump's whole flow at the pressure it holds, and the pressure left there.

    A larger nozzle makes the pressure fall; a smaller one lets the pump rest.

    Source: :func:`wetend.physics.nozzle.equal_orifice`.

    Raises:
        NoAnswer: the line takes all the pressure at that flow.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> line = Line((Piece(0.0095, 30.0),))
    >>> size, left = nozzle_to_suit(newtonian(0.28, 1180.0), 3.2967e-5, 2e7, line)
    >>> round(size * 1000, 3), round(left / 1e5, 1)
    (0.527, 186.1)
    """
    left = pressure - line_loss(liquid, flow, line)
    if left <= 0:
        raise NoAnswer(
            Message("The line takes all the pressure at that flow; none is left for a nozzle.")
        )
    size = equal_orifice(
        flow, left, density=liquid.density, discharge_coefficient=discharge_coefficient
    )
    return size, left


def temperature_along(
    inlet: K, surroundings: K, *, length: MLong, bore: M, flow: M3PerS, density: float,
    transfer: float, heat_capacity: float = 2000.0,
) -> K:  # fmt: skip
    r"""Temperature of the liquid after a length of hose, heated or cooled from outside.

    .. math:: T=T_s+(T_0-T_s)\,\exp\left(-\frac{U\pi D L}{\rho c Q}\right)

    ``transfer`` U in W/(m\ :sup:`2` K) on the bore's surface; ``heat_capacity`` in J/(kg K), about
    2000 for solvent-borne coatings (common practice, no source). Even surroundings, well mixed
    section. Source: F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, eq.
    8.46 of the 6th ed., from memory.

    >>> round(temperature_along(283.15, 323.15, length=15.0, bore=0.0095, flow=3e-5, density=1400.0,
    ...                         transfer=60.0) - 273.15, 1)
    20.9
    """
    if flow <= 0:
        return surroundings
    units = transfer * math.pi * bore * length / (density * heat_capacity * flow)
    return surroundings + (inlet - surroundings) * math.exp(-units)


def heated_loss(
    liquid: Liquid, flow: M3PerS, piece: Piece, *, reference: K, inlet: K, surroundings: K,
    transfer: float, heat_capacity: float = 2000.0, activation: K = COATING_ACTIVATION,
) -> Pa:  # fmt: skip
    r"""Pressure lost along a hose in which the coating warms or cools.

    .. math:: \Delta p=\int_0^L\frac{dp}{dx}\bigl(T(x)\bigr)\,dx

    ``liquid`` is given at ``reference``. By Gauss's rule on :func:`temperature_along` and
    :func:`wetend.physics.hose.hose_loss`; the section is taken as well mixed, so that a thick film
    at a cold wall is left out.

    Source: the integral named.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> even = {"reference": 293.15, "inlet": 293.15, "surroundings": 293.15, "transfer": 60.0}
    >>> round(heated_loss(newtonian(0.28, 1180.0), 1e-4, Piece(0.0095, 30.0), **even))
    4201893
    """
    points, weights = np.polynomial.legendre.leggauss(16)
    total = 0.0
    for place, weight in zip(0.5 * (points + 1.0) * piece.length, weights, strict=True):
        warm = temperature_along(
            inlet, surroundings, length=float(place), bore=piece.bore, flow=flow,
            density=liquid.density, transfer=transfer, heat_capacity=heat_capacity,
        )  # fmt: skip
        there = at_temperature(liquid, warm, reference, activation)
        total += 0.5 * float(weight) * float(hose_loss(there, flow, piece.bore, piece.length))
    return total
