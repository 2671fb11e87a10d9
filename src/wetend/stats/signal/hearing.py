"""Turns of a pump from taps, from its sound, or from the log of its pressure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput, NoAnswer, TooLarge
from wetend.lazy_import import image
from wetend.progress import Progress, quiet
from wetend.stats.signal.alternation import ChainParameters, Marks, fit
from wetend.stats.signal.follow import HEARD, Features, Followed, Turn, follow
from wetend.stats.signal.log import Log, features_of_log
from wetend.stats.signal.loudness import STEP, features_of
from wetend.stats.signal.settling import settled
from wetend.stats.signal.two_lengths import two_normals
from wetend.stats.signal.wav import LONGEST_SOUND, Sound
from wetend.units.message import Message
from wetend.units.quantity import Ratio, S

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

SHORTEST_RECORD: S = 6.0
MOST_TAPS = 2000
_TAPPED = ChainParameters(wander=0.08, jitter=0.06, miss=2.0, breaking=5.0)
_TAP_WORTH = 3.0
_PLACED_IN_SOUND: S = 0.003
_PLACED_IN_LOG: tuple[S, Ratio] = (0.004, 0.15)
"""At the least, and as a share of the time between readings; both as found on made records."""
_STILL: S = 0.03
"""A recording that stands exactly still for longer has dropped out."""


@dataclass(frozen=True)
class Heard:
    """Turns followed in a record, and what the record itself suffered from."""

    followed: Followed
    start: S
    step: S
    length: S
    known: Flags
    """False where nothing was recorded, a flag a step."""
    lost: Ratio
    """Share of the record that dropped out."""
    clipped: Ratio = 0.0
    """Share of the recording's samples at its limit."""
    cut: S = 0.0
    """Time of the record that was left out as too long: of a sound its end, of a log what lies
    before and after."""
    placed: S = 0.0
    """Standard uncertainty of where between the two strokes the turns stand.

    The same for all turns of a kind, so however many strokes there are it never shrinks."""


def _one_channel(channels: Floats) -> Floats:
    """All channels together, or the loudest where they cancel."""
    mixed = channels.mean(axis=0)
    powers = (channels**2).mean(axis=1)
    loudest = channels[int(np.argmax(powers))]
    chosen: Floats = mixed if (mixed**2).mean() > 0.1 * powers.max() else loudest
    return chosen


def _sounding(samples: Floats, rate: float) -> Flags:
    """False at the steps where the recording stands still."""
    reach = max(2, round(_STILL * rate))
    moved = image.maximum_filter1d(samples, reach) - image.minimum_filter1d(samples, reach) > 0
    hop = STEP * rate
    at = np.round(np.arange(int(samples.size / hop)) * hop + 0.01 * rate).astype(int)
    flags: Flags = moved[np.minimum(at, samples.size - 1)]
    return flags


def _clipped(samples: Floats) -> Ratio:
    peak = float(np.abs(samples).max())
    return float(np.mean(np.abs(samples) >= 0.999 * peak)) if peak > 0.98 else 0.0


def _followed(features: Features, progress: Progress) -> Followed:
    """Turns followed, and their moments settled."""
    found = follow(features, progress=progress)
    return replace(found, turns=settled(features, found.turns, found.lengths))


def listen_to_sound(sound: Sound, progress: Progress = quiet) -> Heard:
    """Turns heard in a recording.

    Args:
        sound: the recording.
        progress: called with the steps of the search done so far, and of how many.

    Raises:
        NoAnswer: too short, or silent.
    """
    if sound.length < SHORTEST_RECORD:
        raise NoAnswer(
            Message(
                "The recording lasts {length:.1f} s; half a minute is needed, "
                "{shortest_record:.0f} s at the least.",
                length=sound.length,
                shortest_record=SHORTEST_RECORD,
            )
        )
    samples = _one_channel(sound.channels[:, : int(LONGEST_SOUND * sound.rate)])
    if float(np.ptp(samples)) == 0.0:
        raise NoAnswer(Message("The recording is silent from end to end."))
    known = _sounding(samples, sound.rate)
    if known.mean() < 0.3:
        raise NoAnswer(
            Message("Most of the recording is silence without any noise; it dropped out.")
        )
    features = features_of(samples / max(float(np.abs(samples).max()), 1e-12), sound.rate, known)
    return Heard(
        _followed(features, progress), features.start, features.step,
        samples.size / sound.rate, features.known, float(1 - known.mean()), _clipped(samples),
        sound.cut + max(0.0, sound.length - LONGEST_SOUND), _PLACED_IN_SOUND,
    )  # fmt: skip


def read_from_log(log: Log, progress: Progress = quiet) -> Heard:
    """Turns seen in a pressure log.

    Args:
        log: the log.
        progress: called with the steps of the search done so far, and of how many.

    Raises:
        NoAnswer: too short.
    """
    length = log.step * log.values.size
    if length < SHORTEST_RECORD:
        raise NoAnswer(
            Message(
                "The log lasts {length:.1f} s; half a minute is needed, "
                "{shortest_record:.0f} s at the least.",
                length=length,
                shortest_record=SHORTEST_RECORD,
            )
        )
    features = features_of_log(log)
    return Heard(
        _followed(features, progress), log.start, log.step, length, log.known, log.lost,
        cut=log.cut, placed=max(_PLACED_IN_LOG[0], _PLACED_IN_LOG[1] * log.usual_step),
    )  # fmt: skip


def _tap_guesses(spans: Floats) -> list[tuple[S, S]]:
    middle = float(np.median(spans))
    guesses = [(middle, middle), (float(np.median(spans[::2])), float(np.median(spans[1::2])))]
    likely = spans[spans < 2.2 * middle]
    if likely.size >= 4 and np.ptp(likely) > 0:
        short, long = two_normals([float(span) for span in likely]).means
        guesses += [(short, long), (long, short)]
    return guesses


def follow_taps(times: Sequence[S]) -> Heard:
    """Strokes from taps at each turn, doubled and missed taps found out.

    Raises:
        BadInput: fewer than three taps, or one that is no time.
        TooLarge: more taps than ``MOST_TAPS``.
    """
    if len(times) > MOST_TAPS:
        raise TooLarge(Message("More than {most_taps} taps were sent.", most_taps=MOST_TAPS))
    taps = np.unique(np.asarray(times, dtype=float))
    if taps.size < 3 or not np.isfinite(taps).all():
        raise BadInput(Message("At least three taps at different times are needed."))
    marks = Marks(taps, np.full((taps.size, 2), _TAP_WORTH))
    spans = np.diff(taps)
    fits = [fit(marks, guess, _TAPPED) for guess in _tap_guesses(spans)]
    found, lengths = max(fits, key=lambda each: each[0].score)
    turns = tuple(
        Turn(float(taps[k.mark]), k.kind, k.strokes, 2 * HEARD) for k in found.links
    )  # fmt: skip
    step = max(float(taps[-1] - taps[0]) / 2000, 0.01)
    sign = np.zeros(int((taps[-1] - taps[0]) / step) + 2)
    sign[np.round((taps - taps[0]) / step).astype(int)] = 1.0
    return Heard(
        Followed(turns, lengths, sign, found.score), float(taps[0]), step,
        float(taps[-1] - taps[0]), np.ones(sign.size, dtype=bool), 0.0,
    )  # fmt: skip
