"""Film thickness and coverage of a coating: how far the volume goes."""

from __future__ import annotations

from wetend.units.quantity import M2, M3, M2PerM3, MFine, Ratio


def theoretical_coverage(dry_film: MFine, volume_solids: Ratio) -> M2PerM3:
    r"""Area a volume of coating covers at this dry film if none is lost, m^2/m^3.

    .. math:: C = VS/DFT

    Source: spreading-rate example 65 % and 125 um gives 5.2 m^2/L, scribd.com document 343849341.

    >>> theoretical_coverage(125e-6, 0.65) / 1000
    5.2
    """
    return volume_solids / dry_film


def practical_coverage(dry_film: MFine, volume_solids: Ratio, loss: Ratio = 0.3) -> M2PerM3:
    r"""Area covered when a share of the coating is lost to overspray, roughness and the pot.

    .. math:: C_p = C\,(1 - \text{loss})

    The volume needed is the theoretical volume over ``1 - loss``, not times ``1 + loss``. Airless
    spray loses about 30 %, brush or roller 10 to 15 %, wind up to 30 % more (coverage guide,
    scribd.com document 290710110).

    Source: the guide named.

    >>> round(practical_coverage(125e-6, 0.65, 0.3) / 1000, 2)
    3.64
    """
    return theoretical_coverage(dry_film, volume_solids) * (1.0 - loss)


def wet_film(dry_film: MFine, volume_solids: Ratio, thinner: Ratio = 0.0) -> MFine:
    r"""Wet film to lay for this dry film, with ``thinner`` volumes added to each of coating.

    .. math:: WFT = DFT\,(1 + R)/VS

    Valid while the film is wet; shrinkage in cure neglected. Source: common practice, formula from
    memory; that thinner raises the wet film and not the dry: KTA, PaintSquare news 11397.

    >>> round(wet_film(100e-6, 0.65, 0.10) * 1e6, 2)
    169.23
    """
    return dry_film * (1.0 + thinner) / volume_solids


def volume_needed(area: M2, dry_film: MFine, volume_solids: Ratio, loss: Ratio = 0.3) -> M3:
    """Volume of unthinned coating for this area, m^3.

    Source: :func:`practical_coverage` turned round.

    >>> round(volume_needed(100.0, 125e-6, 0.65, 0.3) * 1000, 2)
    27.47
    """
    return area / practical_coverage(dry_film, volume_solids, loss)
