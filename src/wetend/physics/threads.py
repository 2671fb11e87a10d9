"""Screws and the wrenches on them: torque from clamping force and back, thread geometry."""

from __future__ import annotations

import math

from wetend.errors import BadInput, NoAnswer
from wetend.units.message import Message
from wetend.units.quantity import NM, M, N, Rad, Ratio


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
        raise NoAnswer(
            Message("With this friction and lead the thread locks and cannot be driven.")
        )
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
        raise BadInput(
            Message("The extension points back to the grip; no pull there turns the nut.")
        )
    return torque * wrench_length / arm


def lever_force(torque: NM, lever: M) -> N:
    r"""Pull at a lever's end, at right angles to it, for a torque.

    .. math:: F=T/L

    Source: statics.

    >>> lever_force(140.0, 0.5)
    280.0
    """
    return torque / lever


def pitch_diameter(diameter: M, pitch: M) -> M:
    r"""Pitch diameter of an ISO metric thread.

    .. math:: d_2=d-0.649519\,P

    Source: ISO 724 basic profile (60 degree triangle of ISO 68-1): :math:`d-3\sqrt3P/8`.

    >>> pitch_diameter(0.064, 0.006)
    0.060103
    """
    return diameter - 3 * math.sqrt(3) / 8 * pitch
