"""A ball on its way back to its seat: how long it takes, gathering speed included."""

from __future__ import annotations

import math

from wetend.errors import NoAnswer
from wetend.lazy_import import integrate
from wetend.physics.valves import Floats, drag_coefficient, fall_speed, wall_factor
from wetend.units.constants import GRAVITY
from wetend.units.message import Message
from wetend.units.quantity import Kg, KgPerM3, M, N, PaS, S


def added_mass(ball_diameter: M, density: KgPerM3) -> Kg:
    r"""Mass of liquid that a ball must take along when it speeds up.

    .. math:: m_a=\tfrac12\,\rho\,\frac{\pi}{6}d^3

    Sphere in an unbounded, ideal liquid; near walls somewhat more. Source: H. Lamb,
    *Hydrodynamics*, 6th ed., art. 92 (from memory).

    >>> round(added_mass(0.022, 1300.0) * 1000, 3)
    3.624
    """
    return density * math.pi / 12.0 * ball_diameter**3


def fall_time(
    rise: M,
    ball_diameter: M,
    *,
    ball_density: KgPerM3,
    density: KgPerM3,
    viscosity: PaS,
    tube: M | None = None,
    spring: N = 0.0,
) -> S:
    r"""Time in which a ball sinks from ``rise`` to its seat through still liquid, from rest.

    .. math:: \left(m+m_a\right)\dot v=\frac{\pi}{6}d^3\Delta\rho\,g+F_s
              -\frac{\pi}{8}C_D\rho v^2d^2-3\pi\mu dv\,(K-1)

    With the drag and wall of :func:`wetend.physics.valves.fall_speed` and :func:`added_mass`;
    ``spring`` is taken as even over the rise, and the liquid squeezed out under the ball in the
    last tenth of a millimetre is left out. Solved with error control. Source: Newton's second law.

    Raises:
        BadInput: the ball floats and no spring holds it down, or does not fit the tube.
        NoAnswer: it takes more than a day.

    >>> round(fall_time(0.003, 0.022, ball_density=7800.0, density=1300.0, viscosity=1.0), 4)
    0.029
    """
    steady = fall_speed(ball_diameter, ball_density - density, density=density,
                        viscosity=viscosity, tube=tube, spring=spring)  # fmt: skip
    volume = math.pi / 6.0 * ball_diameter**3
    mass = ball_density * volume + added_mass(ball_diameter, density)
    pull = (ball_density - density) * volume * GRAVITY + spring
    wall = 0.0 if tube is None else wall_factor(ball_diameter / tube) - 1.0
    creeping = 3.0 * math.pi * viscosity * ball_diameter

    def drag(speed: float) -> float:
        if speed <= 0:
            return 0.0
        reynolds = density * speed * ball_diameter / viscosity
        free = math.pi / 8.0 * density * (speed * ball_diameter) ** 2 * drag_coefficient(reynolds)
        return free + creeping * wall * speed

    # scaled: rise by rise, speed by steady speed, time by rise over steady speed
    span = rise / steady
    if span > 86400.0:
        raise NoAnswer(Message("This ball would take more than a day to its seat."))
    push = span / (mass * steady)

    def motion(_: float, state: Floats) -> list[float]:
        return [float(state[1]), push * (pull - drag(float(state[1]) * steady))]

    def seated(_: float, state: Floats) -> float:
        return float(state[0]) - 1.0

    seated.terminal = True  # type: ignore[attr-defined]
    longest = 2.0 + 4.0 / math.sqrt(push * pull) + 4.0 / (push * pull)
    run = integrate.solve_ivp(
        motion, (0.0, longest * 10.0), [0.0, 0.0], method="Radau", events=seated,
        rtol=1e-9, atol=1e-12,
    )  # fmt: skip
    events = run.t_events
    if events is None or not events[0].size:
        raise NoAnswer(
            Message("This ball does not reach its seat in any time that could be found.")
        )
    return float(events[0][0]) * span
