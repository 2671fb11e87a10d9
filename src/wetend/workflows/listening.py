"""Stroke times from a recording, a log or taps, saved with the running checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetend.advice.diagnosis.diagnose import Prediction
from wetend.advice.listening.answer import Corrected, Listening, Way
from wetend.advice.listening.strokes import judge
from wetend.errors import BadInput
from wetend.progress import Progress, quiet
from wetend.pump.readings import CheckReadings
from wetend.records.fold import Visit
from wetend.stats.signal.hearing import follow_taps, listen_to_sound, read_from_log
from wetend.stats.signal.log import even_log
from wetend.stats.signal.table import read_table
from wetend.stats.signal.wav import is_wav, read_wav
from wetend.units.message import Message
from wetend.units.quantity import S
from wetend.workflows import checks
from wetend.workflows.desk import Desk

MOST_TIMES = 200
"""Stroke times of one kind that the readings hold."""
_OTHER_SOUND = {
    b"ID3": "MP3", b"OggS": "Ogg", b"fLaC": "FLAC", b"FORM": "AIFF", b"\x1aE\xdf\xa3": "WebM",
    b"caff": "CAF", b"#!AM": "AMR",
}  # fmt: skip


@dataclass(frozen=True)
class LogColumns:
    """Which columns of a log to read; blank and ``None`` are read from the log itself."""

    time: str = ""
    value: str = ""
    rate: float | None = None
    """Readings a second, for a log without times."""


@dataclass(frozen=True)
class ListeningView:
    """The listening page: the visit, what was heard, and what a sound pump would read."""

    visit: Visit
    heard: Listening | None
    corrected: Corrected | None
    """The same record with its strokes as somebody corrected them."""
    healthy: Prediction | None
    """``None`` until the coating is known."""
    whole_cycles: bool
    """Whether the strokes found are as long as a sound pump's whole cycle."""


def _other_sound(data: bytes) -> str | None:
    if data[4:8] == b"ftyp":
        return "M4A"
    return next((name for mark, name in _OTHER_SOUND.items() if data.startswith(mark)), None)


def analyse(
    data: bytes,
    first: Way | None = None,
    columns: LogColumns | None = None,
    progress: Progress = quiet,
) -> Listening:
    """Strokes in a WAV recording or a CSV log, told apart by their first bytes.

    Args:
        data: the file.
        first: which way the first stroke found goes, if somebody knows.
        columns: which columns of a log to read.
        progress: called as the work goes on; it may raise to end it.

    Raises:
        BadInput: neither a recording nor a log that can be read.
        NoAnswer: too short, or silent.
    """
    if is_wav(data):
        return judge(listen_to_sound(read_wav(data), progress), "sound", first)
    other = _other_sound(data)
    if other:
        raise BadInput(
            Message(
                "This is {other} sound; save the recording as WAV (PCM) and upload that.",
                other=other,
            )
        )
    asked = columns or LogColumns()
    table = read_table(data, progress)
    log = even_log(table, time=asked.time, value=asked.value, rate=asked.rate)
    return judge(read_from_log(log, progress), "log", first)


def from_taps(times: Sequence[S], first: Way | None = None) -> Listening:
    """Strokes from moments tapped at each turn."""
    return judge(follow_taps(times), "taps", first)


def tap_times(data: bytes) -> tuple[S, ...]:
    """Moments tapped, from text with one a line or apart by blanks.

    Raises:
        BadInput: not text, or something that is no number in it.
    """
    try:
        return tuple(float(word) for word in data.decode("utf-8-sig").split())
    except (UnicodeDecodeError, ValueError) as bad:
        raise BadInput(Message("Taps are times in seconds, one per line.")) from bad


def _as_whole_cycles(heard: Listening | Corrected | None, healthy: Prediction | None) -> bool:
    """Whether both strokes are far nearer a sound pump's cycle than its stroke."""
    if heard is None or healthy is None:
        return False
    cycle = healthy.up_time + healthy.down_time
    middles = [side.middle for side in heard.sides]
    return all(m is not None and abs(m - cycle) < 0.15 * cycle for m in middles)


def view(
    desk: Desk,
    visit_id: str,
    heard: Listening | None = None,
    corrected: Corrected | None = None,
) -> ListeningView:
    """What was heard, or corrected, beside what a sound pump would read."""
    stage = checks.view(desk, visit_id)
    whole = _as_whole_cycles(corrected or heard, stage.healthy)
    return ListeningView(stage.visit, heard, corrected, stage.healthy, whole)


def save(
    desk: Desk,
    visit_id: str,
    up: Sequence[S],
    down: Sequence[S],
    *,
    spread: S,
    beside: bool = False,
) -> Visit:
    """Save stroke times with the running checks; every other reading stays as it is.

    Args:
        desk: who keeps them.
        visit_id: the visit.
        up: times of up-strokes.
        down: times of down-strokes.
        spread: standard uncertainty of one turn's moment.
        beside: put them beside the times already there instead of in their place.

    Raises:
        BadInput: no stroke at all, more than the readings hold, or a time that can't be.
    """
    if not up and not down:
        raise BadInput(Message("No stroke is ticked; tick the ones that are right."))
    old = desk.visit(visit_id).readings or CheckReadings()
    ups = (*(old.up_times if beside else ()), *(round(t, 3) for t in up))
    downs = (*(old.down_times if beside else ()), *(round(t, 3) for t in down))
    if max(len(ups), len(downs)) > MOST_TIMES:
        raise BadInput(
            Message(
                "More than {most_times} strokes of a kind; leave some out.", most_times=MOST_TIMES
            )
        )
    doubt = max(spread, old.tap_spread) if beside else spread
    fields = old.model_dump() | {
        "up_times": ups, "down_times": downs, "tap_spread": round(min(max(doubt, 0.005), 2.0), 4),
    }  # fmt: skip
    try:
        readings = CheckReadings.model_validate(fields)
    except ValueError as bad:
        raise BadInput(Message("A stroke must take more than zero and less than an hour.")) from bad
    return checks.save(desk, visit_id, readings)
