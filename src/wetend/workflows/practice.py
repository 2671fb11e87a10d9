"""Practice: a pump with a hidden fault, defined by its code and the moves made."""

from __future__ import annotations

import secrets
from collections.abc import Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass

from wetend.advice.diagnosis.diagnose import Prediction, predict
from wetend.advice.faults.record import Cause
from wetend.advice.faults.tables import CAUSE, CAUSES, FAULT_OF
from wetend.advice.practice.exercise import (
    SET_SIZES,
    SHOW,
    Debrief,
    Move,
    Standing,
    debrief,
    in_motion,
    make_ready,
    practice_pumps,
    replay,
)
from wetend.advice.practice.share_code import SEEDS, Exercise, code_of, exercise_of
from wetend.advice.simulation.film import Film, thinned
from wetend.errors import BadInput, WetendError
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings
from wetend.units.fields import Field, fields_of
from wetend.units.message import Message, joined
from wetend.units.quantity import Minutes
from wetend.units.show import show
from wetend.units.suggestions import near_or_all

INSTANTS = 150
"""Instants of the moving section."""
MOST_SET = 3
"""Faults a trainer may set at once."""


@dataclass(frozen=True)
class MoveReport:
    """A move as reported: what was done, its minutes, what it showed."""

    title: str
    minutes: Minutes
    showed: tuple[str, ...]
    found: bool | None


@dataclass(frozen=True)
class PracticeView:
    """The exercise as it stands."""

    code: str
    standing: Standing
    reports: tuple[MoveReport, ...]
    healthy: Prediction
    debrief: Debrief | None
    """``None`` until it is over."""


@dataclass(frozen=True)
class PracticeStart:
    """What can be chosen for an exercise."""

    pumps: tuple[Pump, ...]
    coatings: tuple[Coating, ...]
    causes: tuple[tuple[str, str], ...]
    """Name and title of each fault that can be set."""
    sizes: tuple[str, ...]
    """How big they can be set."""


def cause_title(cause: Cause) -> str:
    """A cause as it is called.

    >>> cause_title(CAUSE["bore"])
    'piston valve or moving packings not holding: a scored bore'
    """
    fault = FAULT_OF[cause]
    return (
        Message("{title}: {words}", title=fault.title, words=cause.words)
        if cause.words
        else fault.title
    )


def start() -> PracticeStart:
    """What can be chosen."""
    titles = tuple((cause.id, cause_title(cause)) for cause in CAUSES)
    return PracticeStart(practice_pumps(), demo_coatings(), titles, tuple(SET_SIZES))


def _place(key: str, known: Sequence[Pump | Coating], what: str) -> int:
    keys = [one.key for one in known]
    if key and key not in keys:
        there = near_or_all(key, keys, Message("there are"))
        raise BadInput(
            Message(
                "There is no {what} “{key}” to practise on; {there}",
                what=what,
                key=key[:60],
                there=there,
            )
        )
    return keys.index(key) if key else secrets.randbelow(len(keys))


def new_code(
    pump: str = "", coating: str = "", causes: Collection[str] | None = None, *,
    size: str = "", seed: int | None = None,
) -> str:  # fmt: skip
    """The code of a new exercise; what is left blank is drawn.

    Args:
        pump: key of a practice pump.
        coating: key of a practice coating.
        causes: names of faults to set; ``None`` draws them, none sets a sound pump.
        size: how big every fault is: slight, moderate or severe.
        seed: of all the rest.

    Raises:
        BadInput: no such pump, coating, fault or size, or too many faults.
    """
    wrong = [name for name in causes or () if name not in CAUSE]
    if wrong:
        known = near_or_all(wrong[0], CAUSE, Message("there are"))
        raise BadInput(
            Message("“{wrong}” is not a fault to set; {known}", wrong=wrong[0][:60], known=known)
        )
    if causes is not None and len(causes) > MOST_SET:
        raise BadInput(Message("Set at most {most_set} faults at once.", most_set=MOST_SET))
    big = next((known for known in SET_SIZES if known == size), None)
    if size and big is None:
        raise BadInput(
            Message(
                "“{size}” is not a size of a fault; there are {set_sizes}.",
                size=size[:60],
                set_sizes=joined(", ", SET_SIZES),
            )
        )
    chosen = None if causes is None else tuple(sorted({CAUSE[name] for name in causes}))
    exercise = Exercise(
        pump=_place(pump, practice_pumps(), "pump"),
        coating=_place(coating, demo_coatings(), "coating"),
        seed=secrets.randbelow(SEEDS) if seed is None else seed % SEEDS,
        causes=chosen,
        size=big,
    )
    return code_of(exercise)


def read_code(code: str) -> str:
    """A code as it is written, from how it was typed.

    Raises:
        BadInput: no such code.
    """
    return code_of(exercise_of(code))


def _said(field: Field, value: object) -> str:
    if isinstance(value, tuple) and field.unit is not None:
        value = joined(", ", (show(v, field.unit) for v in value))
    elif field.unit is not None and isinstance(value, int | float):
        value = show(float(value), field.unit)
    elif isinstance(value, str):
        value = Message(value)
    return Message("{label}: {value}", label=Message(field.label), value=value)


def _report(move: Move, readings: CheckReadings) -> MoveReport:
    known = {f.name: f for f in fields_of(CheckReadings)}
    showed = [_said(known[name], getattr(readings, name)) for name in move.fields]
    if move.found is not None:
        showed = [
            Message("It was bad, and is repaired.")
            if move.found
            else Message("Nothing wrong there.")
        ]
    return MoveReport(move.title, move.minutes, tuple(showed), move.found)


@kept("debriefs of practice", most=8 * MB)
def _debriefed(exercise: Exercise, moves: tuple[str, ...]) -> Debrief:
    return debrief(exercise, moves)


def view(code: str, moves: Sequence[str]) -> PracticeView:
    """The exercise after these moves.

    Raises:
        BadInput: no such code, or too many moves.
        NoAnswer: the pump can't be simulated.
    """
    exercise = exercise_of(code)
    standing = replay(exercise, moves)
    return PracticeView(
        code=code_of(exercise),
        standing=standing,
        reports=tuple(_report(move, standing.readings) for move in standing.moves),
        healthy=predict(standing.pump, standing.coating),
        debrief=_debriefed(exercise, tuple(moves)) if standing.over else None,
    )


@kept("films of practice", most=16 * MB)
def moving(code: str) -> tuple[Film, Film]:
    """One cycle of the exercise's pump and of a sound one, to be shown when it is over.

    Raises:
        BadInput: no such code.
        NoAnswer: the pump can't be simulated.
    """
    showing = in_motion(exercise_of(code))
    this, sound = (thinned(shown.film, INSTANTS) for shown in (showing.this, showing.sound))
    return this, sound


def is_ready_for(code: str, moves: Sequence[str]) -> bool:
    """Whether nothing is left to be computed ahead after these moves."""
    return _made_ready.holds(code, tuple(moves))


def make_ready_for(code: str, moves: Sequence[str]) -> None:
    """Compute in the background what is shown when the exercise is over; what can't be simulated is
    reported then.
    """
    _made_ready(code, tuple(moves))


@kept("practice made ready", most=MB)
def _made_ready(code: str, moves: tuple[str, ...]) -> None:
    with suppress(WetendError):
        if not moves:
            moving(code)
        make_ready(exercise_of(code), moves)


def moves_of(text: str) -> tuple[str, ...]:
    """Moves as an address carries them: joined by full stops.

    >>> moves_of("wet-cup.strokes.open-0")
    ('wet-cup', 'strokes', 'open-0')
    """
    return tuple(part for part in text.split(".") if part)


GIVE_UP = SHOW
"""The move that asks for the truth."""
