"""What a depot's lives say of its parts: a belief for each, and the level that they share.

Parts are learned of one by one, then once more with what all the others say of the depot's level
(:mod:`wetend.stats.life.level`). The level is that of lives at the depot's usual work: where all of
it is one coating, that coating's own abrasiveness is half in the level, half each part's.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from wetend.advice.life.exposure import Exposure, row_of
from wetend.advice.life.prior import COMMON, MOST_SITES, prior_of
from wetend.advice.life.records import PLAIN, Life, covariates, gathered
from wetend.pump.usage import LIFE_PARTS, LifePart
from wetend.stats.life.belief import LifeBelief, LifePrior, believe, reweighed
from wetend.stats.life.level import Common, level_from, message, shifted
from wetend.stats.life.unlike_pumps import ALIKE, Lived, OwnWay, Unlike, own_way, unlike
from wetend.stats.lifetimes import Lifetimes
from wetend.units.quantity import Ratio

Floats = NDArray[np.float64]
Believing = Callable[..., LifeBelief]
"""As :func:`wetend.stats.life.belief.believe`."""
DRAWS = 800
_PUMPS = 300
"""Pumps that are enough to learn how they differ."""
_SHARED: Ratio = 0.5
"""Share of what is not known of a coating that is the same for all parts: ours, no source."""


@dataclass(frozen=True)
class FleetLives:
    """What a depot's repairs say of every part's life."""

    sites: tuple[str, ...]
    beliefs: Mapping[LifePart, LifeBelief]
    lives: tuple[Life, ...]
    learned: tuple[Life, ...] = ()
    """The lives that the beliefs were learned from."""
    said: Mapping[LifePart, Floats] = field(default_factory=dict, repr=False)
    """What each part's lives say of the level that all parts share."""
    priors: Mapping[LifePart, LifePrior] = field(default_factory=dict, repr=False)
    """Each part's prior at the centre, by what the others say."""
    centre: tuple[float, ...] = ()
    """Covariates of the depot's usual work, about which the lives were learned."""
    unlike: Unlike = ALIKE
    """How pumps differ."""
    by_pump: Mapping[str, Sequence[Life]] = field(default_factory=dict, repr=False)

    def own_way(self, pump: str, count: int) -> OwnWay:
        """Draws of how one pump differs, by its lives."""
        own = [life for life in self.by_pump.get(pump, ()) if life.part in self.beliefs]
        groups = [(part, [v for v in own if v.part == part]) for part in self.beliefs]
        lived = [self.lived(part, lives, {pump: 0}) for part, lives in groups if lives]
        return own_way(self.unlike, lived, count)

    def lived(self, part: LifePart, lives: Sequence[Life], places: Mapping[str, int]) -> Lived:
        """What some lives of a part say of how pumps differ."""
        belief = self.beliefs[part]
        mean = belief.coefficients.mean(axis=0)
        at = np.array([float(self.past(life) @ mean) for life in lives])
        with np.errstate(divide="ignore"):
            low = np.log([life.low for life in lives]) - at
            high = np.log([life.high for life in lives]) - at
        going = np.array([life.ending == "going" for life in lives])
        return Lived(
            low, np.where(going, np.inf, high), np.array([life.row[-1] for life in lives]),
            np.array([places[life.pump] for life in lives], dtype=np.intp),
            math.exp(float(np.log(belief.scales).mean())), belief.weibull_chance >= 0.5,
            float(belief.early.mean()) if belief.early is not None else 0.0,
        )  # fmt: skip

    def prior_share(self, part: LifePart, x: Floats) -> Ratio:
        """How much of the plain prior's variance of the log median is left at covariates x."""
        before = float(((prior_of(part, self.sites).deviations * x) ** 2).sum())
        return float(np.var(self.beliefs[part].location(x))) / before

    def at(self, exposure: Exposure, site: str) -> Floats:
        """Covariates of use at a site, the constant first, of a pump's first parts."""
        return np.array([1.0, *covariates((*row_of(exposure), 0.0), site, self.sites)])

    def past(self, life: Life) -> Floats:
        """Covariates of a life as lived."""
        return np.array([1.0, *covariates(life.row, life.site, self.sites)])


def sites_of(lives: Iterable[Life]) -> tuple[str, ...]:
    """Sites told apart: all there are, or none where there are too many."""
    found = tuple(sorted({life.site for life in lives if life.site}))
    return found if 1 < len(found) <= MOST_SITES else ()


def _centre(lives: Sequence[Life]) -> tuple[float, ...]:
    """The mean life's covariates, of first parts, to a tenth so that a day more changes nothing."""
    if not lives:
        return (0.0,) * len(PLAIN)
    rows = np.array([life.row[:-1] for life in lives])
    return (*(float(each) for each in np.round(rows.mean(axis=0), 1)), 0.0)


def _about(lives: Lifetimes, centre: Sequence[float]) -> Lifetimes:
    """The same lives with covariates counted from the centre."""
    away = np.zeros(lives.covariates)
    away[1 : 1 + len(centre)] = centre
    return replace(
        lives, failed_x=lives.failed_x - away, going_x=lives.going_x - away,
        between_x=lives.between_x - away,
    )  # fmt: skip


def _prior_about(plain: LifePrior, centre: Sequence[float]) -> tuple[LifePrior, Common]:
    """The prior of the log median at the centre, and how its spread is shared."""
    plain_columns = slice(1, 1 + len(centre))
    means, deviations = plain.means.copy(), plain.deviations.copy()
    means[0] += float(means[plain_columns] @ centre)
    unknown = float(((deviations[plain_columns] * centre) ** 2).sum())
    common = Common(
        math.sqrt(COMMON.level**2 + _SHARED * unknown),
        math.sqrt(COMMON.own**2 + (1.0 - _SHARED) * unknown),
    )
    deviations[0] = common.whole
    return replace(plain, means=means, deviations=deviations), common


def _back(belief: LifeBelief, centre: Sequence[float]) -> LifeBelief:
    """A belief learned about the centre with its constant at none of it."""
    coefficients = belief.coefficients.copy()
    coefficients[:, 0] -= coefficients[:, 1 : 1 + len(centre)] @ np.asarray(centre)
    return replace(belief, coefficients=coefficients)


def learn(
    lives: Sequence[Life],
    *,
    parts: Sequence[LifePart] = LIFE_PARTS,
    draws: int = DRAWS,
    seed: int = 1,
    before: FleetLives | None = None,
    believing: Believing = believe,
) -> FleetLives:
    """What these lives say of the parts; with no lives, the priors. The same seed, the same.

    Args:
        lives: of all parts.
        parts: to learn of.
        draws: of each belief.
        seed: of the random draws.
        before: learned with the same draws and seed from other lives: what it says of a part whose
            lives are the same is kept, as far as the others say the same of it.
        believing: computes a belief, or gives one as it was computed before.
    """
    sites, centre = sites_of(lives), _centre(lives)
    kept = before
    if kept is None or (kept.sites, kept.centre) != (sites, centre):
        kept = FleetLives((), {}, ())
    own = {part: _of(part, lives) for part in parts}
    same = {part for part in parts if part in kept.beliefs and own[part] == _of(part, kept.learned)}
    plain = {part: _prior_about(prior_of(part, sites), centre) for part in parts}

    def believed(part: LifePart, prior: LifePrior) -> LifeBelief:
        found = _about(gathered(own[part], sites), centre)
        return believing(found, prior, draws=draws, seed=seed + 101 * LIFE_PARTS.index(part))

    said: dict[LifePart, Floats] = {}
    alone: dict[LifePart, LifeBelief] = {}
    for part, (prior, common) in plain.items():
        if part in same and part in kept.said:
            said[part] = kept.said[part]
        elif own[part]:
            alone[part] = believed(part, prior)
            constants = alone[part].coefficients[:, 0]
            said[part] = message(constants, float(prior.means[0]), common)
    beliefs: dict[LifePart, LifeBelief] = {}
    priors: dict[LifePart, LifePrior] = {}
    for part, (prior, common) in plain.items():
        others = [each for other, each in said.items() if other != part]
        priors[part] = shifted(prior, level_from(others, common), common)
        if part in same and _alike(priors[part], kept.priors.get(part)):
            beliefs[part] = kept.beliefs[part]
            continue
        found = None
        if own[part]:
            found = reweighed(alone.get(part) or believed(part, prior), prior, priors[part])
        beliefs[part] = _back(found or believed(part, priors[part]), centre)
    by_pump: dict[str, list[Life]] = {}
    for life in lives:
        by_pump.setdefault(life.pump, []).append(life)
    known = FleetLives(
        sites, beliefs, tuple(lives), tuple(lives), said, priors, centre, by_pump=by_pump
    )
    return replace(known, unlike=_unlike(known))


def _unlike(known: FleetLives) -> Unlike:
    """How the pumps of a depot differ, of many by some evenly picked."""
    keys = sorted(known.by_pump)
    keys = keys[:: max(len(keys) // _PUMPS, 1)]
    places = {key: place for place, key in enumerate(keys)}
    some = [life for key in keys for life in known.by_pump[key]]
    parts = [(part, _of(part, some)) for part in known.beliefs]
    lived = [known.lived(part, lives, places) for part, lives in parts if lives]
    return unlike(lived, len(keys))


def _alike(one: LifePrior, other: LifePrior | None) -> bool:
    return other is not None and all(
        np.array_equal(a, b) for a, b in zip(one.theta, other.theta, strict=True)
    )


def _of(part: LifePart, lives: Iterable[Life]) -> list[Life]:
    return [life for life in lives if life.part == part]
