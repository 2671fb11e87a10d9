"""Screws and the wrenches on them: torque from clamping force and back, thread geometry."""

from __future__ import annotations

import math

from wetend.errors import BadInput, NoAnswer
from wetend.units.quantity import M2, NM, M, N, Rad, Ratio


def _secant(flank_angle: Rad) -> float:
    return 1.0 / math.cos(flank_angle)


def raising_torque(
    force: N,
    mean_diameter: M,
    *,
    lead: M,
    friction: Ratio,
    flank_angle: Rad = 0.0,
    collar_friction: Ratio = 0.0,
    collar_diameter: M = 0.0,
) -> NM:
    r"""Torque that turns a screw against its load (tightens it), collar included.

    .. math:: T_R=\frac{F d_m}{2}\,\frac{l+\pi f d_m\sec\alpha}{\pi d_m-f l\sec\alpha}
              +\frac{F f_c d_c}{2}

    :math:`\alpha` is half the thread angle: 0 for square, 0.253 (14.5 deg) for Acme, 0.524
    (30 deg) for metric and unified threads. Valid for lead angles that are small, as those of
    fasteners are. Source: Budynas and Nisbett, *Shigley's Mechanical Engineering Design*, 9th ed.,
    eq. 8-1, 8-5 and 8-6.

    Raises:
        NoAnswer: so much friction and lead that the screw cannot be turned at all.

    >>> raising_torque(6000.0, 0.0225, lead=0.005, friction=0.08, collar_friction=0.05,
    ...                collar_diameter=0.04)
    16.233
    """
    drag = friction * _secant(flank_angle)
    travel = math.pi * mean_diameter
    if travel <= drag * lead:
        raise NoAnswer("With this friction and lead the thread locks and cannot be driven.")
    thread = force * mean_diameter / 2 * (lead + drag * travel) / (travel - drag * lead)
    return thread + force * collar_friction * collar_diameter / 2


def lowering_torque(
    force: N,
    mean_diameter: M,
    *,
    lead: M,
    friction: Ratio,
    flank_angle: Rad = 0.0,
    collar_friction: Ratio = 0.0,
    collar_diameter: M = 0.0,
) -> NM:
    r"""Torque that turns a screw with its load (slackens it), collar included.

    .. math:: T_L=\frac{F d_m}{2}\,\frac{\pi f d_m\sec\alpha-l}{\pi d_m+f l\sec\alpha}
              +\frac{F f_c d_c}{2}

    Negative: the screw runs back by itself. Validity and source as :func:`raising_torque`
    (eq. 8-2).

    >>> lowering_torque(6000.0, 0.0225, lead=0.005, friction=0.08, collar_friction=0.05,
    ...                 collar_diameter=0.04)
    6.622
    """
    drag = friction * _secant(flank_angle)
    travel = math.pi * mean_diameter
    thread = force * mean_diameter / 2 * (drag * travel - lead) / (travel + drag * lead)
    return thread + force * collar_friction * collar_diameter / 2


def screw_efficiency(force: N, lead: M, torque: NM) -> Ratio:
    r"""Share of the turning work that ends up in the load.

    .. math:: e=\frac{F\,l}{2\pi T_R}

    Source: Budynas and Nisbett, *Shigley's Mechanical Engineering Design*, 9th ed., eq. 8-4.

    >>> screw_efficiency(6000.0, 0.005, 16.2326)
    0.2941
    """
    return force * lead / (2 * math.pi * torque)


def clamping_force(
    torque: NM,
    mean_diameter: M,
    *,
    lead: M,
    friction: Ratio,
    flank_angle: Rad = 0.0,
    collar_friction: Ratio = 0.0,
    collar_diameter: M = 0.0,
) -> N:
    """Clamping force that a tightening torque brings about: :func:`raising_torque` turned round.

    Torque is proportional to force, so one unit force gives the factor.

    Source: as :func:`raising_torque`.

    >>> clamping_force(16.2326, 0.0225, lead=0.005, friction=0.08, collar_friction=0.05,
    ...                collar_diameter=0.04)
    6000.0
    """
    per_newton = raising_torque(
        1.0, mean_diameter, lead=lead, friction=friction, flank_angle=flank_angle,
        collar_friction=collar_friction, collar_diameter=collar_diameter,
    )  # fmt: skip
    return torque / per_newton


def torque_by_factor(force: N, diameter: M, factor: Ratio = 0.2) -> NM:
    r"""Tightening torque by the short form.

    .. math:: T=K F d

    :math:`K` about 0.2 plain, 0.15 well greased, with a spread of about a quarter either way (from
    memory). Source: Budynas and Nisbett, *Shigley's Mechanical Engineering Design*, 9th ed.,
    eq. 8-27.

    >>> torque_by_factor(10_000.0, 0.02)
    40.0
    """
    return factor * force * diameter


def lead_angle(lead: M, mean_diameter: M) -> Rad:
    r"""Slope of the thread at its mean diameter.

    .. math:: \lambda=\arctan\frac{l}{\pi d_m}

    Source: geometry of the helix.

    >>> math.degrees(lead_angle(0.00635, 0.03411))
    3.39
    """
    return math.atan(lead / (math.pi * mean_diameter))


def wrench_setting(torque: NM, wrench_length: M, *, extension_length: M, angle: Rad = 0.0) -> NM:
    r"""What to set a torque wrench to when an extension sits on its end.

    .. math:: T_{set}=\frac{T\,L}{L+E\cos\varphi}

    Lengths from the wrench's square to the middle of the grip, and from the square to the nut;
    ``angle`` between the two: zero in line, a right angle leaves the setting as it is. From the
    balance of moments about the nut, the pull at right angles to the wrench.

    Source: statics.

    Raises:
        BadInput: the extension points back so far that the grip sits over the nut.

    >>> wrench_setting(30.0, 12.0, extension_length=6.0)
    20.0
    """
    arm = wrench_length + extension_length * math.cos(angle)
    if arm <= 0:
        raise BadInput("The extension points back to the grip; no pull there turns the nut.")
    return torque * wrench_length / arm


def lever_force(torque: NM, lever: M, *, angle: Rad = math.pi / 2) -> N:
    r"""Pull at a lever's end for a torque.

    .. math:: F=\frac{T}{L\sin\varphi}

    ``angle`` between pull and lever. From statics.

    Source: statics.

    >>> lever_force(140.0, 0.5)
    280.0
    """
    return torque / (lever * math.sin(angle))


def pitch_diameter(diameter: M, pitch: M) -> M:
    r"""Pitch diameter of an ISO metric thread.

    .. math:: d_2=d-0.649519\,P

    Source: ISO 724 basic profile (60 degree triangle of ISO 68-1): :math:`d-3\sqrt3P/8`.

    >>> pitch_diameter(0.064, 0.006)
    0.060103
    """
    return diameter - 3 * math.sqrt(3) / 8 * pitch


def minor_diameter(diameter: M, pitch: M) -> M:
    r"""Minor diameter of an internal ISO metric thread.

    .. math:: D_1=D-1.082532\,P

    Source: ISO 724 basic profile: :math:`D-5\sqrt3P/8`.

    >>> minor_diameter(0.064, 0.004)
    0.05967
    """
    return diameter - 5 * math.sqrt(3) / 8 * pitch


def stress_area(diameter: M, pitch: M) -> M2:
    r"""Tensile stress area of an ISO metric thread.

    .. math:: A_t=\frac{\pi}{4}\,(d-0.9382\,P)^2

    Source: ISO 898-1 form, as tabulated by Bickford, *Introduction to the Design and Behavior of
    Bolted Joints*.

    >>> stress_area(0.020, 0.0025) * 1e6
    244.79
    """
    return math.pi / 4 * (diameter - 0.9382 * pitch) ** 2
