"""Sentences on a recording's result: times, reservations and the working."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.listening.answer import FEWEST, Side, Source, Stroke
from wetend.advice.listening.confidence import COARSE
from wetend.advice.reasons import Figure, Working
from wetend.stats.signal.hearing import Heard
from wetend.units.quantity import CycleRate, Percent, Ratio, S, unit_of

_RECORD = {"taps": "taps", "sound": "recording", "log": "log"}
_MEND = {
    "taps": "Tap again at each turn, a dozen strokes or more.",
    "sound": "Hold the phone nearer the wet end, out of the wind, for half a minute while spraying "
    "steadily; or tap the strokes.",
    "log": "Log at 50 readings a second or more, near the pump, for half a minute while spraying "
    "steadily; or tap the strokes.",
}


def no_rhythm(source: Source) -> str:
    """Why no times are given, and what to do."""
    return f"No clear rhythm of two strokes was found in the {_RECORD[source]}. {_MEND[source]}"


def overall(sides: tuple[Side, Side], *, differ: bool) -> str:
    """The two stroke times in a sentence."""
    ordered = sorted(sides, key=lambda side: side.name in ("down", "second"))
    parts = [f"{side.name} {side.middle:.2f} s" for side in ordered if side.middle is not None]
    if not differ or len(parts) < 2:
        return f"The strokes are even: {', '.join(parts)}."
    quick, slow = sorted(sides, key=lambda side: side.middle or 0.0)
    share = 1 - (quick.middle or 0.0) / (slow.middle or 1.0)
    return f"{', '.join(parts)}: the {quick.name} stroke is {100 * share:.0f} % quicker."


def _long(time: S) -> str:
    return f"{time:.0f} s" if time < 180 else f"{time / 60:.0f} minutes"


def _of_record(heard: Heard, source: Source) -> list[str]:
    told = []
    if heard.lost > 0.002:
        told.append(
            f"{100 * heard.lost:.0f} % of the {_RECORD[source]} is missing; strokes with a turn in "
            "a gap are left out."
        )
    if heard.clipped > 0.001:
        told.append("The recording is clipped in places; turns may be timed a little late.")
    if heard.cut > 0 and source == "log":
        told.append(
            f"Two minutes are used, from {heard.start:.0f} s into the log, where the pressure "
            f"moves most; the other {_long(heard.cut)} were not used."
        )
    elif heard.cut > 0:
        told.append(f"The last {_long(heard.cut)} were not used; two minutes are enough.")
    if source == "log" and 0.0105 < heard.step <= COARSE:
        told.append(
            f"Readings come every {2000 * heard.step:.0f} ms or so: a turn can't be timed much "
            "better than that."
        )
    return told


def _of_strokes(strokes: Sequence[Stroke], *, missed: int, pauses: int) -> list[str]:
    told = []
    if missed:
        told.append(f"{missed} turn{'s' if missed > 1 else ''} in between could not be heard.")
    if pauses:
        told.append(
            f"The rhythm is interrupted {pauses} time{'s' if pauses > 1 else ''}: the pump "
            "stopped, or nothing could be heard. Up and down may be swapped after that; check."
        )
    faint = sum(s.why.startswith("a turn at its end") for s in strokes)
    if faint:
        told.append(f"{faint} stroke{'s' if faint > 1 else ''} left out: a turn too faint.")
    far = sum(s.why == "far from the others" for s in strokes)
    if far:
        told.append(f"{far} stroke{'s' if far > 1 else ''} left out: far from the others.")
    return told


def _of_sides(sides: tuple[Side, Side]) -> list[str]:
    told = []
    for side in sides:
        if side.drift is not None and abs(side.drift) > 0.05:
            word = "slower" if side.drift > 0 else "quicker"
            told.append(
                f"The {side.name} strokes get {word} by {100 * abs(side.drift):.0f} % a minute."
            )
        if side.step_at is not None:
            told.append(
                f"The {side.name} strokes change all at once {side.step_at:.0f} s into it: the gun "
                "or the supply may have been changed there."
            )
    first, second = sides
    if first.middle and second.middle and abs(first.middle / second.middle - 1) < 0.03:
        told.append(
            "The two strokes are alike. If only one turn in each cycle was heard, these are "
            "whole cycles: check a few strokes by eye against the trace."
        )
    return told


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
    told = _of_record(heard, source)
    if all(side.middle is not None for side in sides):
        told += _of_strokes(strokes, missed=missed, pauses=pauses) + _of_sides(sides)
    return tuple(told)


def listening_working(heard: Heard, source: Source) -> Working:
    """How turns were found."""
    seconds, share = unit_of(S), unit_of(Percent)
    lengths = heard.followed.lengths
    figures = [Figure("length of the record", heard.length, seconds)]
    if source != "taps":
        figures.append(Figure("share missing", heard.lost, share))
    how = {
        "taps": "two alternating stroke times fitted to the taps; double and missed taps are "
        "penalised, and found",
        "sound": "loudness in 24 frequency bands every 5 ms, steady noise removed, matched with "
        "a template learned from the turns",
        "log": "pressure less its running median, matched with a template learned from the turns",
    }
    return Working(
        title="where the pump turns",
        formula=how[source] + "; the sequence of alternating turns with the most evidence and "
                              "the steadiest stroke times is taken; turns of a kind are aligned "
                              "and timed from the onset of their mean",
        given=tuple(figures),
        result=(
            Figure("one stroke", lengths[0], seconds), Figure("the other", lengths[1], seconds),
        ),
        source="North 1943 (matched filter); Bellman 1957 (dynamic programming); Juang and Rabiner "
        "1990 (alternating fit); Woody 1967 (alignment)",
        validity="strokes of 0.25 to 20 s, one no more than some 4 times the other, and a rhythm "
        "kept for a dozen strokes",
        spread="on synthetic recordings with as much noise as signal, clear stroke times were "
               "right to 20 ms",
    )  # fmt: skip


def sides_working(sides: tuple[Side, Side]) -> tuple[Working, ...]:
    """How the times were put together; nothing where there are none."""
    known = [side for side in sides if side.middle is not None and side.interval is not None]
    if len(known) < 2:
        return ()
    result = []
    for side in known:
        result.append(Figure(f"{side.name} stroke", side.middle or 0.0, unit_of(S)))
        result.append(Figure(f"{side.name}: scatter of one", side.scatter or 0.0, unit_of(S)))
        result.append(Figure(f"{side.name}: strokes", float(len(side.times)), unit_of(Ratio)))
    cycle = sum(side.middle or 0.0 for side in known)
    result.append(Figure("cycles", 1 / cycle, unit_of(CycleRate)))
    return (
        Working(
            title="the two stroke times",
            formula="median of the means of all pairs of strokes; even unless the interval of "
            "the shift excludes zero, Welch's p is under 0.05, and they differ by over "
            "20 ms",
            given=(),
            result=tuple(result),
            source="Hodges and Lehmann 1963; Hollander and Wolfe; Welch 1947",
            validity=f"{FEWEST} strokes or more of either kind, steady spraying",
            spread="90 % interval, from the strokes' own scatter",
        ),
    )
