"""A ball on a conical seat: where it sits, its lift, what it passes, how fast it returns."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.roots import zero_between
from wetend.units.constants import GRAVITY
from wetend.units.message import Message
from wetend.units.quantity import M2, KgPerM3, M, MPerS, N, NPerM, Pa, PaS, Rad, Ratio, Stress

Floats = NDArray[np.float64]
_NO_RISE = Message("No rise of the ball can be computed at this flow.")
_NO_SPEED = Message("No steady speed of this ball can be computed.")
_PLACES = 32


def contact_diameter(ball_diameter: M, half_angle: Rad) -> M:
    r"""Diameter of the circle on which a ball touches a cone.

    .. math:: d_c=d\cos\alpha

    ``half_angle`` from the cone's axis. Plane geometry, exact.

    Source: geometry.

    >>> contact_diameter(0.020, math.radians(45.0))
    0.014142
    """
    return ball_diameter * math.cos(half_angle)


def mouth_diameter(seat_bore: M, seat_width: M, half_angle: Rad) -> M:
    """Diameter of a seat's cone at its face, from its bore and the cone's length along the slope.

    Source: geometry.

    >>> mouth_diameter(0.014, 0.004, math.radians(45.0))
    0.019657
    """
    return seat_bore + 2 * seat_width * math.sin(half_angle)


def ball_height(ball_diameter: M, half_angle: Rad, *, seat_bore: M, seat_width: M) -> M:
    r"""Height of a seated ball's top above the seat's face.

    On the cone: :math:`\frac{R}{\sin\alpha}-\frac{r_m}{\tan\alpha}+R`, with :math:`r_m` the radius
    of the cone's mouth. A ball too small for the cone sits on the bore's edge, one too large on the
    mouth's edge: then Pythagoras from that edge. Plane geometry, exact.

    Source: geometry.

    >>> ball_height(0.022, math.radians(45.0), seat_bore=0.014, seat_width=0.004)
    0.016728
    """
    radius, contact = ball_diameter / 2, contact_diameter(ball_diameter, half_angle) / 2
    bore = seat_bore / 2
    mouth = mouth_diameter(seat_bore, seat_width, half_angle) / 2
    if contact > mouth:
        return radius + math.sqrt(radius**2 - mouth**2)
    depth = (mouth - bore) / math.tan(half_angle)
    if contact < bore:
        if radius <= bore:
            raise BadInput(Message("The ball is no larger than the hole through the seat."))
        return radius + math.sqrt(radius**2 - bore**2) - depth
    return radius / math.sin(half_angle) - mouth / math.tan(half_angle) + radius


def lift(stop_height: M, ball_top: M) -> M:
    """How far a ball can rise: its stop's height above the seat's face, less its own.

    Negative: the stop holds the ball off its seat or presses it down. Whatever lies between seat
    and cage (a soft ring as clamped, a shim under the cage) adds to the stop's height and so to
    the lift; what lies on top of the cage does not.

    Source: geometry.

    >>> lift(0.020, 0.016728)
    0.003272
    """
    return stop_height - ball_top


@dataclass(frozen=True, slots=True)
class Seat:
    """A ball and the seat it lies on, as the flow meets them."""

    ball_diameter: M
    half_angle: Rad
    bore: M
    width: M
    """Of the cone, along its slope."""


def _seen_from_bore(seat: Seat, rise: Floats) -> tuple[Floats, Floats]:
    """Foot of the perpendicular from the ball's centre, along the slope, and its length squared."""
    sine, cosine = math.sin(seat.half_angle), math.cos(seat.half_angle)
    top = ball_height(seat.ball_diameter, seat.half_angle, seat_bore=seat.bore,
                      seat_width=seat.width)  # fmt: skip
    height = top - seat.ball_diameter / 2 + rise + seat.width * cosine
    foot = height * cosine - seat.bore / 2 * sine
    return foot, height**2 + (seat.bore / 2) ** 2 - foot**2


@overload
def seat_opening(seat: Seat, rise: M) -> M2: ...
@overload
def seat_opening(seat: Seat, rise: Floats) -> Floats: ...


def seat_opening(seat: Seat, rise: M | Floats) -> M2 | Floats:
    r"""Flow area of a lifted ball over its whole lift: the narrowest ring, or the seat's hole.

    .. math:: A=\min_s\,\pi r_s\left(L-\frac{R^2}{L}\right)\le\frac{\pi}{4}d_{bore}^2

    The ring is the side of a cone frustum square to the ball, from a point of the seat at radius
    :math:`r_s`, at distance :math:`L` from the ball's centre; the narrowest over the cone from the
    edge of its bore to that of its mouth is taken. Plane geometry, exact, also for a ball that
    sits on an edge and when the narrowest place has moved up to the mouth.

    Source: geometry.

    >>> seat = Seat(0.022, math.radians(45.0), 0.014, 0.004)
    >>> seat_opening(seat, 0.001) * 1e6, seat_opening(seat, 0.02) * 1e6
    (34.47, 153.94)
    """
    up = np.maximum(np.asarray(rise, dtype=np.float64), 0.0)
    radius, sine = seat.ball_diameter / 2, math.sin(seat.half_angle)
    foot, square = _seen_from_bore(seat, up)

    def ring(place: Floats) -> tuple[Floats, Floats]:
        """Half the area over pi at this place along the slope, and which way it grows."""
        away = np.sqrt(square + (place - foot) ** 2)
        width, edge = away - radius**2 / away, seat.bore / 2 + place * sine
        return edge * width, sine * width + edge * (1 + (radius / away) ** 2) * (
            place - foot
        ) / away

    # the ring may be narrow at two places, so the lowest of a coarse search is where to look closer
    step = seat.width / _PLACES
    coarse = np.array([ring(np.full_like(up, i * step))[0] for i in range(_PLACES + 1)])
    near = np.argmin(coarse, axis=0) * step
    low, high = np.maximum(near - step, 0.0), np.minimum(near + step, seat.width)
    for _ in range(50):
        middle = 0.5 * (low + high)
        grows = ring(middle)[1] > 0
        low, high = np.where(grows, low, middle), np.where(grows, middle, high)
    narrow = math.pi * np.maximum(ring(0.5 * (low + high))[0], 0.0)
    area = np.where(up > 0, np.minimum(narrow, math.pi / 4 * seat.bore**2), 0.0)
    return float(area) if np.ndim(area) == 0 else np.asarray(area, dtype=np.float64)


def opening_force(seat: Seat, pressure: Pa, area: M2, *, discharge: Ratio = 0.7) -> N:
    r"""Push of the flow on a lifted ball.

    .. math:: F=p\left(\frac{\pi}{4}d_c^2-2C_dA\cos\alpha\right)

    Pressure on the contact circle less the pull of the jet that leaves along the cone. For areas
    up to the seat's hole. Source: Merritt, *Hydraulic Control Systems* (1967), section 5-6, poppet
    valve (from memory).

    >>> opening_force(Seat(0.022, math.radians(45.0), 0.014, 0.004), 1e5, 5e-5)
    14.06
    """
    circle = contact_diameter(seat.ball_diameter, seat.half_angle)
    push = math.pi / 4 * circle**2 - 2 * discharge * area * math.cos(seat.half_angle)
    return pressure * push


def floating_rise(
    seat: Seat, flow: float, *, pull: N, lift: M, density: KgPerM3, discharge: Ratio = 0.7
) -> M:
    """How high the flow holds a ball; ``lift`` if it carries the ball up to its stop.

    The rise at which :func:`opening_force`, with the pressure of :func:`opening_loss` through
    :func:`seat_opening`, carries ``pull``: weight in the liquid and spring. Steady flow, turbulent
    through the valve; in a thick liquid drag carries the ball higher still. No flow: zero.

    Source: statics with the laws named.

    >>> seat = Seat(0.022, math.radians(45.0), 0.014, 0.004)
    >>> floating_rise(seat, 1e-4, pull=5.0, lift=0.004, density=1300.0) * 1000
    0.613
    """
    if flow <= 0:
        return 0.0

    def surplus(rise: float) -> float:
        area = seat_opening(seat, rise)
        loss = opening_loss(flow, area, density=density, discharge=discharge)
        return opening_force(seat, loss, area, discharge=discharge) / pull - 1.0

    if pull <= 0 or surplus(lift) >= 0:
        return lift
    least = lift * 1e-9
    if surplus(least) <= 0:
        return least
    return zero_between(surplus, least, lift, xtol=1e-12, why=_NO_RISE)


def opening_loss(flow: float, area: M2, *, density: KgPerM3, discharge: Ratio = 0.7) -> Pa:
    r"""Pressure lost through an open valve.

    .. math:: \Delta p=\frac{\rho}{2}\left(\frac{Q}{C_d A}\right)^2

    Holds in the inertial range; a discharge coefficient of about 0.7 for a ball on a cone is common
    practice, no source.

    >>> opening_loss(2e-4, 1e-4, density=1350.0)
    5510.2
    """
    return density / 2 * (flow / (discharge * area)) ** 2


def contact_modulus(
    ball_modulus: Stress, ball_poisson: Ratio, seat_modulus: Stress, seat_poisson: Ratio
) -> Stress:
    r"""Stiffness of two bodies pressed together.

    .. math:: \frac{1}{E^*}=\frac{1-\nu_1^2}{E_1}+\frac{1-\nu_2^2}{E_2}

    Source: Johnson, *Contact Mechanics* (1985), eq. 4.20a (number from memory).

    >>> contact_modulus(200e9, 0.3, 600e9, 0.22)
    1.630e11
    """
    return 1 / ((1 - ball_poisson**2) / ball_modulus + (1 - seat_poisson**2) / seat_modulus)


def seat_line_load(pressure: Pa, ball_diameter: M, half_angle: Rad, *, spring: N = 0.0) -> NPerM:
    r"""Force between ball and seat per length of the contact circle.

    .. math:: w=\frac{F}{\pi d_c\sin\alpha},\qquad F=\frac{\pi}{4}d_c^2\,p+F_s

    Pressure acts on the contact circle; the cone's slope turns the axial force into a larger one
    square to the seat. Frictionless. From statics.

    >>> seat_line_load(2e7, 0.020, math.radians(45.0))
    100000.0
    """
    circle = contact_diameter(ball_diameter, half_angle)
    force = math.pi / 4 * circle**2 * pressure + spring
    return force / (math.pi * circle * math.sin(half_angle))


def line_contact_stress(line_load: NPerM, radius: M, modulus: Stress) -> Stress:
    r"""Greatest pressure in a line contact.

    .. math:: p_0=\sqrt{\frac{w E^*}{\pi R}}

    Cylinder of ``radius`` on a plane, elastic, frictionless: a ball on a cone is nearly so, as the
    band is narrow against the contact circle.
    Source: Johnson, *Contact Mechanics* (1985), eq. 4.45 (number from memory); the same as Budynas
    and Nisbett, *Shigley's Mechanical Engineering Design*, 9th ed., eq. 3-73 and 3-74.

    >>> line_contact_stress(1e5, 0.010, 1.627e11) / 1e6
    719.6
    """
    return math.sqrt(line_load * modulus / (math.pi * radius))


def line_contact_half_width(line_load: NPerM, radius: M, modulus: Stress) -> M:
    r"""Half the width of a line contact.

    .. math:: b=\sqrt{\frac{4 w R}{\pi E^*}}

    Validity and source as :func:`line_contact_stress`.

    >>> line_contact_half_width(1e5, 0.010, 1.627e11) * 1e6
    88.46
    """
    return math.sqrt(4 * line_load * radius / (math.pi * modulus))


def pressed_round(
    line_load: NPerM, half_width: M, modulus: Stress, *, circle: M, lobes: int = 2
) -> M:
    r"""Unevenness round a contact circle that a line load just presses home.

    .. math:: a=\frac{2w}{\pi E^*}K_0(k b),\qquad k=\frac{2n}{d_c}

    Amplitude of n waves round the circle: more, and the load would have to pull somewhere. Taken at
    the edge of the contact, where it is less than in its middle; the circle as if straight, so n is
    2 or more. Source: displacement of an elastic half-space under a line load that varies as a
    cosine, from Boussinesq's solution and the integral of the modified Bessel function (NIST
    Digital Library of Mathematical Functions, 10.32.6, number from memory).

    >>> pressed_round(1e5, 88.46e-6, 1.627e11, circle=0.014142) * 1e6
    1.489
    """
    waves = 2 * lobes / circle
    return 2 * line_load / (math.pi * modulus) * float(special.k0(waves * half_width))


def line_contact_shear(peak: Stress, half_width: M) -> tuple[Stress, M]:
    r"""Greatest shear stress under a line contact, and how deep it lies.

    .. math:: \tau_{max}=0.300\,p_0\quad\text{at}\quad z=0.786\,b

    Where a hard seat starts to crack and flake, out of sight. Elastic, frictionless. Source:
    Budynas and Nisbett, *Shigley's Mechanical Engineering Design*, 9th ed., p. 125.

    >>> line_contact_shear(720e6, 88e-6)
    (216000000.0, 6.92e-05)
    """
    return 0.300 * peak, 0.786 * half_width


def drag_coefficient(reynolds: float) -> float:
    r"""Drag coefficient of a sphere.

    .. math:: C_D=\frac{24}{Re}(1+0.27Re)^{0.43}+0.47\left[1-\exp(-0.04Re^{0.38})\right]

    Valid for Re below 2e5. Source: Cheng, "Comparison of formulas for drag coefficient and settling
    velocity of spherical particles", *Powder Technology* 189 (2009) 395-398.

    >>> drag_coefficient(200.0)
    0.7939
    """
    stokes = 24 / reynolds * math.pow(1 + 0.27 * reynolds, 0.43)
    return stokes + 0.47 * (1 - math.exp(-0.04 * math.pow(reynolds, 0.38)))


def wall_factor(ratio: Ratio) -> float:
    r"""How many times its drag a slow sphere has on the axis of a tube; ``ratio`` d/D, below 1.

    .. math:: K=\frac{1}{6\pi}\left\{\frac94\pi^2\sqrt2\,(1-\lambda)^{-5/2}
              \left[1+\sum_{n=1}^{2}a_n(1-\lambda)^n\right]+\sum_{n=0}^{4}a_{n+3}\lambda^n\right\}

    Creeping flow, long closed tube. An open cage lets liquid by, so the housing's bore round it,
    not the cage, is the tube. Source: Bungay and Brenner, "The motion of a closely-fitting sphere
    in a fluid-filled tube", *Int. J. Multiphase Flow* 1 (1973) 25-56 (coefficients from memory);
    within 0.2 % of Haberman and Sayre's exact solution up to 0.8.

    Raises:
        BadInput: the ball does not fit the tube.

    >>> wall_factor(0.5)
    5.95
    """
    if not 0 <= ratio < 1:
        raise BadInput(Message("The ball must be smaller than the tube it falls in."))
    gap = 1.0 - ratio
    near = 9 / 4 * math.pi**2 * math.sqrt(2) * math.pow(gap, -2.5)
    near *= 1 - 73 / 60 * gap + 77293 / 50400 * gap**2
    far = (-22.5083, -5.6117, -0.3363, -1.216, 1.647)
    return (near + sum(a * math.pow(ratio, n) for n, a in enumerate(far))) / (6 * math.pi)


def fall_speed(
    ball_diameter: M,
    density_excess: KgPerM3,
    *,
    density: KgPerM3,
    viscosity: PaS,
    tube: M | None = None,
    spring: N = 0.0,
) -> MPerS:
    r"""Steady speed at which a ball sinks to its seat through still liquid.

    .. math:: \frac{\pi}{6}d^3\,\Delta\rho\,g+F_s=\frac{\pi}{8}C_D\,\rho v^2 d^2
              +3\pi\mu d v\,(K-1)

    Weight and ball spring against :func:`drag_coefficient` plus the extra creeping drag of the wall
    (:func:`wall_factor`) in a ``tube``. ``density_excess`` is ball less liquid. Newtonian liquid;
    the wall's share is for slow flow, so that a thin liquid in a narrow tube falls slower still.
    Source: statics with the two laws named.

    Raises:
        BadInput: the ball would float and no spring holds it down.

    >>> fall_speed(0.002, 1678.0, density=917.0, viscosity=0.2926)
    0.0124
    """
    pull = math.pi / 6 * ball_diameter**3 * density_excess * GRAVITY + spring
    if pull <= 0:
        raise BadInput(Message("This ball floats in this liquid and no spring brings it back."))
    extra = 0.0 if tube is None else wall_factor(ball_diameter / tube) - 1.0
    creeping = 3 * math.pi * viscosity * ball_diameter

    def short_of(speed: float) -> float:
        if speed <= 0:
            return pull
        reynolds = density * speed * ball_diameter / viscosity
        drag = math.pi / 8 * drag_coefficient(reynolds) * density * (speed * ball_diameter) ** 2
        return pull - drag - creeping * extra * speed

    fastest = 1.01 * pull / (creeping * (1 + extra))
    return zero_between(short_of, 0.0, fastest, xtol=1e-15, rtol=1e-12, why=_NO_SPEED)
