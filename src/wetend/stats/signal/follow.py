"""Turns of a pump followed through features of a signal: guessed, fitted, learnt, fitted again.

The features (loudness by pitch, or pressure) are first turned into a few plain signs of a turn; the
best chain of two strokes in turn is fitted to each. From the turns of the best chain the look of
either kind of turn is learnt, the record is searched for it with a matched filter, and the chain is
fitted to what is found. A turn counts as heard only if it stands out against a look learnt from the
other turns.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.lazy_import import image
from wetend.progress import Progress, quiet
from wetend.stats.signal.alternation import SHORTEST, Chain, ChainParameters, Marks, chain, fit
from wetend.stats.signal.guesses import stroke_guesses
from wetend.units.quantity import S

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_APART: S = 0.06
"""Marks nearer than this are one."""
_DOUBT = 3.5
"""Standard deviations a turn is expected to stand out by at the least."""
_FAINT = 3.0
"""The same where a turn is known to be faint."""
_FEWEST, _SELDOM = 6, 4.0
_EVEN = 1.03
"""Strokes no further from alike than this may be whole cycles."""
_FITTED = 3
"""Guesses that are fitted to the end."""
_ROUNDS = 4
HEARD = 2.5
"""Standard deviations from which a turn counts as heard."""


@dataclass(frozen=True)
class Features:
    """What a record shows at even steps of time.

    ``bands`` has a row a feature, each standardised: zero in the middle, one its usual spread.
    ``signs`` are plain signs of a turn, standardised too. ``known`` is false in dropouts.
    """

    start: S
    step: S
    bands: Floats
    signs: tuple[Floats, ...]
    known: Flags
    before: S = 0.03
    """How long before a turn its look begins."""
    after: S = 0.17
    """How long after a turn its look lasts."""
    swings: bool = False
    """Whether a turn shows as a swing of the first feature, either way, rather than a rise."""


@dataclass(frozen=True)
class Turn:
    """A turn of the pump."""

    at: S
    kind: int
    """0 if the first of the two strokes begins here, 1 if the second does."""
    strokes: int
    """Strokes since the turn before: 1, more where turns were missed, 0 at the start or a pause."""
    strength: float
    """Standard deviations by which it stands out, judged by the other turns."""


@dataclass(frozen=True)
class Followed:
    """Turns found, with what they were found by."""

    turns: tuple[Turn, ...]
    lengths: tuple[S, S]
    """Typical times of the stroke begun at a turn of kind 0, and of kind 1."""
    sign: Floats
    """What a turn was recognised by, at every step; for drawing."""
    score: float


def robust_spread(values: Floats) -> float:
    """Standard deviation from the median distance; never zero."""
    middle = float(np.median(values))
    spread = 1.4826 * float(np.median(np.abs(values - middle)))
    return max(spread or float(np.std(values)), 1e-12)


def standardised(values: Floats, known: Flags) -> Floats:
    """Values less their median, over their robust spread; zero where not known."""
    if not known.any():
        return np.zeros_like(values)
    seen = values[known]
    out: Floats = np.where(known, (values - np.median(seen)) / robust_spread(seen), 0.0)
    return out


def _peaks(sign: Floats, known: Flags, step: S, least: float) -> NDArray[np.intp]:
    reach = max(1, round(_APART / step))
    top = image.maximum_filter1d(sign, 2 * reach + 1, mode="nearest")
    found: NDArray[np.intp] = np.flatnonzero((sign == top) & (sign > least) & known)
    return found


def sub_step(sign: Floats, at: NDArray[np.intp]) -> Floats:
    """Peaks placed between steps by the parabola through three points."""
    inner = np.clip(at, 1, sign.size - 2)
    a, b, c = sign[inner - 1], sign[inner], sign[inner + 1]
    bend = a - 2 * b + c
    shift = np.where(np.abs(bend) > 1e-12, 0.5 * (a - c) / np.where(bend == 0, 1, bend), 0.0)
    placed: Floats = at.astype(float) + np.where(at == inner, np.clip(shift, -0.5, 0.5), 0.0)
    return placed


def _reference(peaks: Floats, length: S) -> float:
    """Strength that turns may be expected to have: that of the strongest, one in four seconds.

    Strokes are seldom longer, so among the strongest marks most are turns, whatever else is heard.
    """
    count = min(max(_FEWEST, round(length / _SELDOM)), peaks.size)
    return max(float(np.sort(peaks)[-count]), _DOUBT) if count else _DOUBT


def _evidence(strength: Floats, reference: float) -> Floats:
    r"""Log likelihood ratio of a turn, tempered.

    .. math:: w = 6\,\frac{z^2 - (z_r/2)^2}{z_r^2 - (z_r/2)^2}, \qquad -2 \le w \le 8

    A turn as strong as the reference counts six, one half as strong says neither yes nor no.
    """
    half = (reference / 2) ** 2
    out: Floats = np.clip(6 * (strength * np.abs(strength) - half) / (3 * half), -2.0, 8.0)
    return out


_Best = tuple[Chain, Marks, tuple[S, S]]


def _guessed(sign: Floats, marks: Marks, step: S, manner: ChainParameters) -> _Best:
    """The best chain over all guesses of the stroke times that a sign suggests."""
    best: _Best = (Chain((), 0.0), marks, (1.0, 1.0))
    smooth = image.gaussian_filter1d(np.clip(sign, 0.0, 8.0), 0.02 / step)
    guesses = stroke_guesses(smooth, step)
    scores = [chain(marks, guess, manner).score for guess in guesses]
    for place in sorted(range(len(guesses)), key=lambda i: -scores[i])[:_FITTED]:
        guess = guesses[place]
        found, lengths = fit(marks, guess, manner)
        if found.score > best[0].score:
            best = (found, marks, lengths)
    return best


def _first_chain(
    features: Features, manner: ChainParameters, progress: Progress, steps: int
) -> _Best:
    best: _Best = (Chain((), 0.0), Marks(np.zeros(0), np.zeros((0, 2))), (1.0, 1.0))
    for done, sign in enumerate(features.signs):
        progress(done, steps)
        at = _peaks(sign, features.known, features.step, 1.0)
        if at.size < 3:
            continue
        times = features.start + sub_step(sign, at) * features.step
        reference = _reference(sign[at], sign.size * features.step)
        marks = Marks(times, np.repeat(_evidence(sign[at], reference)[:, None], 2, axis=1))
        again = _guessed(sign, marks, features.step, manner)
        if again[0].score > best[0].score:
            best = again
    return best


def within_reason(bands: Floats) -> Floats:
    """Features clipped, so that one bang does not make a look by itself."""
    held: Floats = np.clip(bands, -4.0, 8.0)
    return held


def soft_threshold(mean: Floats, count: int) -> Floats:
    """The mean of so many cuts, what is within its own uncertainty set to zero."""
    doubt = 1.2 / np.sqrt(count)
    shrunk: Floats = np.sign(mean) * np.clip(np.abs(mean) - doubt, 0.0, None)
    return shrunk


class _Templates:
    """The look of either kind of turn, learnt from the turns chosen so far."""

    def __init__(self, features: Features) -> None:
        self.features = features
        self.before = round(features.before / features.step)
        self.length = self.before + max(2, round(features.after / features.step))

    def cuts(self, at: Sequence[int]) -> Floats:
        """The record about each moment: moment, band, step."""
        bands = self.features.bands
        rows = [
            bands[:, i - self.before : i - self.before + self.length]
            for i in at
            if i >= self.before and i - self.before + self.length <= bands.shape[1]
        ]
        empty = np.zeros((0, bands.shape[0], self.length))
        return np.stack(rows) if rows else empty

    def look(self, cuts: Floats) -> Floats:
        """The middle of the cuts, what is within its own uncertainty set to zero."""
        return soft_threshold(within_reason(cuts).mean(axis=0), len(cuts))

    def matched(self, look: Floats) -> Floats:
        """How strongly the record looks like this at every step, in standard deviations."""
        bands = within_reason(self.features.bands)
        total = np.zeros(bands.shape[1])
        for row, want in zip(bands, look, strict=True):
            if np.any(want):
                total += np.convolve(row, want[::-1], mode="full")[self.length - 1 - self.before :][
                    : row.size
                ]
        return standardised(total, self.features.known)


def _steps(times: Floats, features: Features) -> list[int]:
    return [round((t - features.start) / features.step) for t in times]


def _at_steps(features: Features, found: Chain, marks: Marks) -> list[int]:
    return _steps(marks.times[[link.mark for link in found.links]], features)


def halved(sign: Floats, turns: Sequence[int], step: S, lengths: tuple[S, S]) -> tuple[S, S] | None:
    """A split of even strokes where something fainter comes back between every two turns.

    When one kind of turn is loud and the other faint, whole cycles pass for strokes. The sign is
    laid over itself from turn to turn; where its mean stands out by five standard errors there is
    a turn of the fainter kind.
    """
    short, long = sorted(lengths)
    if long > _EVEN * short or short < 2 * SHORTEST or len(turns) < 4:
        return None
    reach, edge = round(short / step), round(SHORTEST / step)
    rows = [sign[i : i + reach] for i in turns if i + reach <= sign.size]
    if len(rows) < 3:
        return None
    laid = np.stack(rows)
    mean = image.gaussian_filter1d(laid.mean(axis=0), 0.02 / step)[edge : reach - edge]
    if mean.size < 3:
        return None
    best = int(np.argmax(mean))
    rise, loud = mean[best] - float(np.median(mean)), float(np.median(laid[:, 0]))
    if rise < max(5.0 / np.sqrt(len(rows)), 0.35 * loud):
        return None
    first = (best + edge) * step
    return first, short - first


def _learn(
    features: Features, before: _Best, manner: ChainParameters, *, guess: bool
) -> tuple[Chain, Marks, tuple[S, S], Floats]:
    """Looks learnt from a chain, the record searched for them, and the chain fitted again."""
    found, marks, lengths = before
    looks = _Templates(features)
    signs = []
    for kind in (0, 1):
        times = marks.times[[link.mark for link in found.links if link.kind == kind]]
        cuts = looks.cuts(_steps(times, features))
        look = looks.look(cuts) if len(cuts) > 1 else np.zeros((features.bands.shape[0],
                                                                looks.length))  # fmt: skip
        signs.append(looks.matched(look))
    both = np.stack(signs)
    top = both.max(axis=0)
    at = _peaks(top, features.known, features.step, 1.0)
    times = features.start + sub_step(top, at) * features.step
    length = top.size * features.step
    evidence = [_evidence(row[at], _reference(row[at], length)) for row in both]
    seen = Marks(times, np.stack(evidence, axis=1))
    again, fitted = fit(seen, lengths, manner)
    if guess:
        other = _guessed(top, seen, features.step, manner)
        if other[0].score > again.score:
            again, fitted = other[0], other[2]
        halves = halved(top, _at_steps(features, again, seen), features.step, fitted)
        if halves is not None:
            fainter = Marks(times, np.maximum(seen.evidence, _evidence(top[at], _FAINT)[:, None]))
            again, fitted = fit(fainter, halves, manner)
    return again, seen, fitted, top


def _strengths(features: Features, found: Chain, marks: Marks) -> dict[int, float]:
    """Strength of every turn against the look of its kind learnt from the others."""
    looks = _Templates(features)
    strengths = dict.fromkeys((link.mark for link in found.links), 0.0)
    for kind in (0, 1):
        chosen = [link.mark for link in found.links if link.kind == kind]
        at = _steps(marks.times[chosen], features)
        inside = [
            (mark, i) for mark, i in zip(chosen, at, strict=True)
            if looks.before <= i <= features.bands.shape[1] - looks.length + looks.before
        ]  # fmt: skip
        if len(inside) < 3:
            continue
        cuts = within_reason(looks.cuts([i for _, i in inside]))
        whole = cuts.sum(axis=0)
        scale = _scale(looks, looks.look(cuts))
        for (mark, _), cut in zip(inside, cuts, strict=True):
            look = soft_threshold((whole - cut) / (len(cuts) - 1), len(cuts) - 1)
            strengths[mark] = (float((cut * look).sum()) - scale[0]) / scale[1]
    return strengths


def _scale(looks: _Templates, look: Floats) -> tuple[float, float]:
    bands = within_reason(looks.features.bands)
    total = np.zeros(bands.shape[1])
    for row, want in zip(bands, look, strict=True):
        if np.any(want):
            total += np.convolve(row, want[::-1], mode="same")
    seen = total[looks.features.known]
    return (float(np.median(seen)), robust_spread(seen)) if seen.size else (0.0, 1.0)


def follow(
    features: Features, manner: ChainParameters | None = None, *, progress: Progress = quiet
) -> Followed:
    """Turns of the pump in a record's features.

    Args:
        features: what the record shows.
        manner: how strictly a chain is held together.
        progress: called before each step of the search, with how many are done and of how many.

    Source of the search for a learnt look: the matched filter, North, "An analysis of the factors
    which determine signal/noise discrimination in pulsed-carrier systems" (1943).
    """
    held = manner or ChainParameters()
    steps = len(features.signs) + _ROUNDS
    found, marks, lengths = _first_chain(features, held, progress, steps)
    sign = features.signs[0]
    for turn in range(_ROUNDS):
        if len(found.links) < 4:
            break
        progress(len(features.signs) + turn, steps)
        found, marks, lengths, sign = _learn(
            features, (found, marks, lengths), held, guess=turn < _ROUNDS - 2
        )
    strengths = _strengths(features, found, marks)
    turns = tuple(
        Turn(float(marks.times[link.mark]), link.kind, link.strokes, strengths[link.mark])
        for link in found.links
    )
    return Followed(turns, lengths, sign, found.score)
