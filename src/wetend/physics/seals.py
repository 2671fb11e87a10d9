"""Soft seals: rings in their glands, V-ring sets in theirs."""

from __future__ import annotations

import math

from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, MLong, Pa, Ratio


def stretched_section(section: M, stretch: Ratio = 0.0) -> M:
    r"""Section diameter of a round ring after its inside is stretched by a share.

    .. math:: d_1=\frac{d}{\sqrt{1+x}}

    Constant volume, the section taken to stay round. Measured rings lose more at small stretches
    (about 1.4 times as much at 5 %, from memory of SAE AS4716). Valid to a stretch of about 5 %.

    >>> stretched_section(0.00353, 0.05) / 0.00353
    0.9759
    """
    if stretch <= -1:
        raise BadInput(Message("A ring cannot be shortened to nothing."))
    return section / math.sqrt(1.0 + stretch)


def ring_squeeze(section: M, gland_depth: M, *, stretch: Ratio = 0.0) -> Ratio:
    r"""Share by which a gland flattens a ring's (stretched) section; negative: the ring is loose.

    .. math:: s=\frac{d_1-t}{d_1}

    ``gland_depth`` is the room across the ring, clearance included.
    Source: definition, as used by ISO 3601-2; :func:`stretched_section` for :math:`d_1`.

    >>> ring_squeeze(0.002, 0.0015)
    0.25
    """
    free = stretched_section(section, stretch)
    return (free - gland_depth) / free


def ring_fill(section: M, gland_depth: M, gland_width: M, *, stretch: Ratio = 0.0) -> Ratio:
    r"""Share of the gland's cross-section that the ring takes up.

    .. math:: \phi=\frac{\pi d_1^2}{4\,t\,w}

    Above 1 the ring has no room and the gland cannot close. Common practice keeps to about 0.65 to
    0.85, leaving room for swelling and warmth.
    Source: geometry; :func:`stretched_section` for :math:`d_1`.

    >>> ring_fill(0.002, 0.0015, 0.0027)
    0.7757
    """
    free = stretched_section(section, stretch)
    return math.pi * free**2 / (4 * gland_depth * gland_width)


def wear_depth(specific_wear: float, pressure: Pa, distance: MLong) -> MFine:
    r"""Depth worn off a lip that slides under pressure.

    .. math:: \delta=k\,p\,s

    ``specific_wear`` k in m\ :sup:`2`/N: volume worn over load and way. It differs by a hundred
    times between coatings and packings: take it from what a strip of this pump showed, by
    :func:`specific_wear`. Source: J. F. Archard, *Journal of Applied Physics* 24 (1953) 981 (from
    memory).

    >>> wear_depth(2e-17, 2e7, 100_000.0) * 1e6
    40.0
    """
    return specific_wear * pressure * distance


def specific_wear(depth: MFine, pressure: Pa, distance: MLong) -> float:
    """Wear for each load and way, m^2/N, from a depth measured: :func:`wear_depth` turned round.

    Source: as :func:`wear_depth`.

    Raises:
        BadInput: no pressure or no way was travelled.

    >>> specific_wear(40e-6, 2e7, 100_000.0)
    2.0e-17
    """
    if not (pressure > 0 and distance > 0):
        raise BadInput(
            Message("Wear is computed from a way travelled under pressure; neither may be zero.")
        )
    return depth / (pressure * distance)


def packing_gap(depth: MFine, take_up: MFine) -> MFine:
    r"""Radial gap left at a V-ring set once its lips no longer follow their wear.

    .. math:: c=\max(0,\ \delta-\delta_0)

    ``take_up`` is how far the lips spread by their preload and by tightening the gland; until it is
    used up the set does not leak, then the leak grows with the cube of the gap. A model of ours;
    take-up is common practice, no source.

    >>> packing_gap(40e-6, 25e-6) * 1e6, packing_gap(10e-6, 25e-6)
    (15.0, 0.0)
    """
    return max(depth - take_up, 0.0)
