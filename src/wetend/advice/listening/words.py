"""Sentences on a recording's result: times, reservations and the working."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.listening.answer import FEWEST, Side, Source, Stroke
from wetend.advice.listening.confidence import COARSE
from wetend.advice.reasons import Figure, Working
from wetend.stats.signal.hearing import Heard
from wetend.units.message import Message, joined, plural
from wetend.units.quantity import CycleRate, Percent, Ratio, S, unit_of

_RECORD = {"taps": "taps", "sound": "recording", "log": "log"}
_MEND = {
    "taps": Message("Tap again at each turn, a dozen strokes or more."),
    "sound": Message(
        "Hold the phone nearer the wet end, out of the wind, for half a minute while "
        "spraying steadily; or tap the strokes."
    ),
    "log": Message(
        "Log at 50 readings a second or more, near the pump, for half a minute while "
        "spraying steadily; or tap the strokes."
    ),
}


def no_rhythm(source: Source) -> str:
    """Why no times are given, and what to do."""
    return Message(
        "No clear rhythm of two strokes was found in the {record}. {mend}",
        record=_RECORD[source],
        mend=_MEND[source],
    )


def overall(sides: tuple[Side, Side], *, differ: bool) -> str:
    """The two stroke times in a sentence."""
    ordered = sorted(sides, key=lambda side: side.name in ("down", "second"))
    parts = [
        Message("{name} {middle:.2f} s", name=side.name, middle=side.middle)
        for side in ordered
        if side.middle is not None
    ]
    if not differ or len(parts) < 2:
        return Message("The strokes are even: {parts}.", parts=joined(", ", parts))
    quick, slow = sorted(sides, key=lambda side: side.middle or 0.0)
    share = 1 - (quick.middle or 0.0) / (slow.middle or 1.0)
    return Message(
        "{parts}: the {name} stroke is {share:.0f} % quicker.",
        parts=joined(", ", parts),
        name=quick.name,
        share=100 * share,
    )


def _long(time: S) -> str:
    return (
        Message("{time:.0f} s", time=time)
        if time < 180
        else Message("{time:.0f} minutes", time=time / 60)
    )


def _of_record(heard: Heard, source: Source) -> list[str]:
    sentences: list[str] = []
    if heard.lost > 0.002:
        sentences.append(
            Message(
                "{lost:.0f} % of the {record} is missing; strokes with a turn in a gap are "
                "left out.",
                lost=100 * heard.lost,
                record=_RECORD[source],
            )
        )
    if heard.clipped > 0.001:
        sentences.append(
            Message("The recording is clipped in places; turns may be timed a little late.")
        )
    if heard.cut > 0 and source == "log":
        sentences.append(
            Message(
                "Two minutes are used, from {start:.0f} s into the log, where the pressure "
                "moves most; the other {cut} were not used.",
                start=heard.start,
                cut=_long(heard.cut),
            )
        )
    elif heard.cut > 0:
        sentences.append(
            Message("The last {cut} were not used; two minutes are enough.", cut=_long(heard.cut))
        )
    if source == "log" and 0.0105 < heard.step <= COARSE:
        sentences.append(
            Message(
                "Readings come every {step:.0f} ms or so: a turn can't be timed much better "
                "than that.",
                step=2000 * heard.step,
            )
        )
    return sentences


def _of_strokes(strokes: Sequence[Stroke], *, missed: int, pauses: int) -> list[str]:
    sentences: list[str] = []
    if missed:
        sentences.append(
            plural(
                "{n} turn in between could not be heard.",
                "{n} turns in between could not be heard.",
                missed,
            )
        )
    if pauses:
        sentences.append(
            plural(
                "The rhythm is interrupted {n} time: the pump stopped, or nothing could be heard. "
                "Up and down may be swapped after that; check.",
                "The rhythm is interrupted {n} times: the pump stopped, or nothing could be heard. "
                "Up and down may be swapped after that; check.",
                pauses,
            )
        )
    faint = sum(s.why.startswith("a turn at its end") for s in strokes)
    if faint:
        sentences.append(
            plural(
                "{n} stroke left out: a turn too faint.",
                "{n} strokes left out: a turn too faint.",
                faint,
            )
        )
    far = sum(s.why == "far from the others" for s in strokes)
    if far:
        sentences.append(
            plural(
                "{n} stroke left out: far from the others.",
                "{n} strokes left out: far from the others.",
                far,
            )
        )
    return sentences


def _of_sides(sides: tuple[Side, Side]) -> list[str]:
    sentences: list[str] = []
    for side in sides:
        if side.drift is not None and abs(side.drift) > 0.05:
            word = "slower" if side.drift > 0 else "quicker"
            sentences.append(
                Message(
                    "The {name} strokes get {word} by {drift:.0f} % a minute.",
                    name=side.name,
                    word=word,
                    drift=100 * abs(side.drift),
                )
            )
        if side.step_at is not None:
            sentences.append(
                Message(
                    "The {name} strokes change all at once {step_at:.0f} s into it: the gun or "
                    "the supply may have been changed there.",
                    name=side.name,
                    step_at=side.step_at,
                )
            )
    first, second = sides
    if first.middle and second.middle and abs(first.middle / second.middle - 1) < 0.03:
        sentences.append(
            Message(
                "The two strokes are alike. If only one turn in each cycle was heard, these "
                "are whole cycles: check a few strokes by eye against the trace."
            )
        )
    return sentences


def reservations(
    heard: Heard,
    source: Source,
    strokes: Sequence[Stroke],
    sides: tuple[Side, Side],
    *,
    missed: int,
    pauses: int,
) -> tuple[str, ...]:
    """What could not be read, a sentence each."""
    sentences = _of_record(heard, source)
    if all(side.middle is not None for side in sides):
        sentences += _of_strokes(strokes, missed=missed, pauses=pauses) + _of_sides(sides)
    return tuple(sentences)


def listening_working(heard: Heard, source: Source) -> Working:
    """How turns were found."""
    seconds, share = unit_of(S), unit_of(Percent)
    lengths = heard.followed.lengths
    figures = [Figure(Message("length of the record"), heard.length, seconds)]
    if source != "taps":
        figures.append(Figure(Message("share missing"), heard.lost, share))
    how = {
        "taps": Message(
            "two alternating stroke times fitted to the taps; double and missed taps are "
            "penalised, and found"
        ),
        "sound": Message(
            "loudness in 24 frequency bands every 5 ms, steady noise removed, matched "
            "with a template learned from the turns"
        ),
        "log": Message(
            "pressure less its running median, matched with a template learned from the turns"
        ),
    }
    return Working(
        title=Message("where the pump turns"),
        formula=Message(
            "{matching}; the sequence of alternating turns with the most evidence and the "
            "steadiest stroke times is taken; turns of a kind are aligned and timed from the onset "
            "of their mean",
            matching=how[source],
        ),
        given=tuple(figures),
        result=(
            Figure(Message("one stroke"), lengths[0], seconds),
            Figure(Message("the other"), lengths[1], seconds),
        ),
        source="North 1943 (matched filter); Bellman 1957 (dynamic programming); Juang and Rabiner "
        "1990 (alternating fit); Woody 1967 (alignment)",
        validity=Message(
            "strokes of 0.25 to 20 s, one no more than some 4 times the other, and a rhythm kept "
            "for a dozen strokes"
        ),
        spread=Message(
            "on synthetic recordings with as much noise as signal, clear stroke times were right "
            "to 20 ms"
        ),
    )


def sides_working(sides: tuple[Side, Side]) -> tuple[Working, ...]:
    """How the times were put together; nothing where there are none."""
    known = [side for side in sides if side.middle is not None and side.interval is not None]
    if len(known) < 2:
        return ()
    result = []
    for side in known:
        result.append(
            Figure(Message("{name} stroke", name=side.name), side.middle or 0.0, unit_of(S))
        )
        result.append(
            Figure(
                Message("{name}: scatter of one", name=side.name), side.scatter or 0.0, unit_of(S)
            )
        )
        result.append(
            Figure(
                Message("{name}: strokes", name=side.name), float(len(side.times)), unit_of(Ratio)
            )
        )
    cycle = sum(side.middle or 0.0 for side in known)
    result.append(Figure(Message("cycles"), 1 / cycle, unit_of(CycleRate)))
    return (
        Working(
            title=Message("the two stroke times"),
            formula="median of the means of all pairs of strokes; even unless the interval of "
            "the shift excludes zero, Welch's p is under 0.05, and they differ by over "
            "20 ms",
            given=(),
            result=tuple(result),
            source="Hodges and Lehmann 1963; Hollander and Wolfe; Welch 1947",
            validity=Message(
                "{fewest} strokes or more of either kind, steady spraying", fewest=FEWEST
            ),
            spread=Message("90 % interval, from the strokes' own scatter"),
        ),
    )
