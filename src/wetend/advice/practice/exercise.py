"""A pump with a hidden fault to practise on: checks cost minutes, opening costs more.

What was done is a row of moves: a check by its key, ``open-`` with the number of a job, or ``show``
for giving up. Readings come from the model in time with a person's errors, the same whenever the
same check is done on the same pump, so that two people with one code meet the same pump.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from wetend.advice.diagnosis.answers import CheckAdvice
from wetend.advice.diagnosis.causes import NOTHING_KNOWN
from wetend.advice.diagnosis.checks import CHECKS, Check, checks_for
from wetend.advice.diagnosis.hidden import HiddenPump
from wetend.advice.diagnosis.opening import JOBS, Job, job_minutes, table_of
from wetend.advice.diagnosis.policy import (
    MINUTES,
    Asked,
    PolicyRun,
    Stand,
    Trial,
    asked_at,
    job_number,
    jobs_for,
    play_best,
)
from wetend.advice.diagnosis.prior import LUMP, NUISANCES
from wetend.advice.faults.record import Cause, Fault
from wetend.advice.faults.tables import CARRIED_AWAY
from wetend.advice.practice.share_code import Exercise, Size
from wetend.advice.simulation.view import ComparisonView, show_state
from wetend.errors import BadInput, NoAnswer
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump
from wetend.stats.decision import expected_cost
from wetend.units.message import Message, joined
from wetend.units.quantity import Minutes
from wetend.units.show import minutes_text

MOST_MOVES = 40
SET_SIZES: dict[Size, float] = {"slight": -1.0, "moderate": 0.0, "severe": 1.0}
"""Sizes as standard normal numbers: one fault in six is smaller than slight, one in six bigger than
severe.
"""
_OPEN, SHOW = "open-", "show"
_SAME, _MUCH = 0.6, 2.0
"""A check this share as good as the best is as good; minutes lost that are worth a word."""


@dataclass(frozen=True)
class Move:
    """One thing done: a check with what it read, or a job with what it found."""

    token: str
    title: str
    minutes: Minutes
    fields: tuple[str, ...] = ()
    """Readings it gave."""
    found: bool | None = None
    """Whether the job found something wrong; ``None`` for a check."""


@dataclass(frozen=True)
class JobLeft:
    """A job still to choose, with its minutes from where things stand."""

    number: int
    job: Job
    minutes: Minutes


@dataclass(frozen=True)
class Standing:
    """Where an exercise stands."""

    pump: Pump
    coating: Coating
    moves: tuple[Move, ...]
    readings: CheckReadings
    minutes: Minutes
    right: bool
    """Whether all that was wrong is right; known only by opening, or by leaving it at that."""
    over: bool
    checks_left: tuple[Check, ...]
    jobs_left: tuple[JobLeft, ...]


@dataclass(frozen=True)
class Misstep:
    """A move that cost time, and what would have been better."""

    step: int
    said: str


@dataclass(frozen=True)
class Debrief:
    """The answer, the best possible minutes, and the trainee's mistakes."""

    truth: tuple[str, ...]
    faults: tuple[Fault, ...]
    causes: tuple[Cause, ...]
    minutes: Minutes
    mended: bool
    """Whether all that was wrong had been put right; if not, the minutes are not comparable."""
    best: PolicyRun
    best_steps: tuple[str, ...]
    astray: tuple[Misstep, ...]


def practice_pumps() -> tuple[Pump, ...]:
    """Pumps to practise on."""
    return tuple(demo_pump(key) for key in DEMO_PUMPS)


def _sized(hidden: HiddenPump, size: Size | None) -> HiddenPump:
    """The same pump with every fault of this size; ``None`` leaves them as drawn."""
    if size is None:
        return hidden
    z = hidden.z.copy()
    z[:, NUISANCES:LUMP] = SET_SIZES[size]
    return replace(hidden, z=z)


@kept("hidden pumps of practice", most=32 * MB, grows=True)
def _hidden(exercise: Exercise) -> HiddenPump:
    """The hidden pump; it has been simulated, so that it shows what it shows at once.

    Raises:
        BadInput: no such pump or coating.
    """
    pumps, coatings = practice_pumps(), demo_coatings()
    if exercise.pump >= len(pumps) or exercise.coating >= len(coatings):
        raise BadInput(Message("That code is for a pump or coating not known here."))
    for again in range(20):
        rng = np.random.default_rng([exercise.seed, again])
        hidden = HiddenPump.drawn(
            pumps[exercise.pump], coatings[exercise.coating], rng, causes=exercise.causes,
            known=exercise.known,
        )  # fmt: skip
        hidden = _sized(hidden, exercise.size)
        try:
            if hidden.in_time:
                return hidden
        except NoAnswer:  # so far gone that it does not stroke: draw another
            continue
    raise NoAnswer(Message("This exercise can't be run; try another code."))


def _asked(hidden: HiddenPump) -> Asked:
    return Asked(hidden.pump, hidden.coating, NOTHING_KNOWN)


def _check(token: str) -> Check | None:
    return next((c for c in CHECKS if c.key == token), None)


def _job(token: str) -> int | None:
    number = token.removeprefix(_OPEN)
    if token.startswith(_OPEN) and number.isdecimal() and int(number) < len(JOBS):
        return int(number)
    return None


def is_move(token: str) -> bool:
    """Whether a token is a check, a job or the giving up.

    >>> is_move("wet-cup"), is_move("open-0"), is_move("wetcup")
    (True, True, False)
    """
    return token == SHOW or _check(token) is not None or _job(token) is not None


class _Going:
    """An exercise being replayed."""

    def __init__(self, exercise: Exercise) -> None:
        self.hidden = _hidden(exercise)
        self.trial = Trial(self.hidden, exercise.seed)
        self.fields: dict[str, Any] = asked_at(_asked(self.hidden))
        self.table = job_minutes(self.hidden.pump, NOTHING_KNOWN, range(len(JOBS)))
        self.moves: list[Move] = []
        self.jobs: list[int] = []
        self.gave_up = False

    def do(self, token: str) -> None:
        """One move; one that makes no sense here is passed over."""
        check, job = _check(token), _job(token)
        done = {move.token for move in self.moves}
        if token in done or self.over:
            return
        if check is not None:
            new = self.trial.read(check.key)
            self.fields |= new
            self.moves.append(Move(token, check.title, check.minutes, tuple(new)))
        elif job is not None:
            minutes = float(self.table[sum(1 << j for j in self.jobs), job])
            self.jobs.append(job)
            found = job in jobs_for(self.trial.faults)
            self.moves.append(Move(token, JOBS[job].title, minutes, found=found))
        elif token == SHOW:
            self.gave_up = True

    @property
    def right(self) -> bool:
        return jobs_for(self.trial.faults) <= set(self.jobs)

    @property
    def over(self) -> bool:
        return self.gave_up or (self.right and bool(self.jobs))


def replay(exercise: Exercise, moves: Sequence[str]) -> Standing:
    """Where an exercise stands after these moves.

    Raises:
        BadInput: more moves than any exercise takes, or a code for a pump not known here.
        NoAnswer: the pump can't be simulated.
    """
    if len(moves) > MOST_MOVES:
        raise BadInput(
            Message("An exercise takes at most {most_moves} moves.", most_moves=MOST_MOVES)
        )
    going = _Going(exercise)
    for token in moves:
        going.do(token)
    done = {move.token for move in going.moves}
    set_done = sum(1 << j for j in going.jobs)
    return Standing(
        pump=going.hidden.pump,
        coating=going.hidden.coating,
        moves=tuple(going.moves),
        readings=CheckReadings(**going.fields),
        minutes=sum(move.minutes for move in going.moves),
        right=going.right,
        over=going.over,
        checks_left=tuple(c for c in checks_for(going.hidden.pump) if c.key not in done),
        jobs_left=tuple(
            JobLeft(k, job, float(going.table[set_done, k]))
            for k, job in enumerate(JOBS)
            if k not in going.jobs
        ),
    )


@kept("best ways of practice", most=8 * MB)
def _best_way(exercise: Exercise) -> PolicyRun:
    hidden = _hidden(exercise)
    return play_best(_asked(hidden), hidden, seed=exercise.seed)


def debrief(exercise: Exercise, moves: Sequence[str]) -> Debrief:
    """The truth, and how the moves compare with the best way of going about it."""
    standing = replay(exercise, moves)
    hidden = _hidden(exercise)
    best = _best_way(exercise)
    titles = {c.key: c.title for c in CHECKS}
    steps: list[str] = [
        Message("{check}, {minutes:g} min", check=titles[c], minutes=MINUTES[c])
        for c in best.checks
    ]
    shut = (
        Message("nothing is left that is wrong") if hidden.faults else Message("nothing is wrong")
    )
    steps += [JOBS[j].title for j in best.jobs] or [Message("Leave it shut: {shut}.", shut=shut)]
    return Debrief(
        truth=_truth(hidden),
        faults=hidden.faults,
        causes=hidden.causes,
        minutes=standing.minutes,
        mended=standing.right,
        best=best,
        best_steps=tuple(steps),
        astray=_astray(exercise, standing),
    )


def in_motion(exercise: Exercise) -> ComparisonView:
    """The hidden pump as it runs, its faults at their own size, beside a sound one."""
    hidden = _hidden(exercise)
    return show_state(hidden.pump, hidden.setting.liquid, hidden.motion)


def _size_word(size: float) -> Size:
    """How big a fault is, over its middle size.

    >>> _size_word(0.55), _size_word(1.0), _size_word(1.8)
    ('slight', 'moderate', 'severe')
    """
    return "slight" if size < 0.7 else "severe" if size > 1.45 else "moderate"


def _truth(hidden: HiddenPump) -> tuple[str, ...]:
    readings, worn = [], hidden.after(tuple(CARRIED_AWAY))
    for fault in hidden.faults:
        causes = [c for c in fault.causes if c in hidden.causes]
        named = [c.words for c in causes if c.words]
        size = _size_word(max(hidden.size(c) for c in causes))
        if fault.lump and fault not in worn.faults:
            named = [fault.lump.truth]
        readings.append(
            Message(
                "{title}: {named}, {size}",
                title=fault.title,
                named=joined(Message(" and "), named),
                size=size,
            )
            if named
            else Message("{title}, {size}", title=fault.title, size=size)
        )
    return tuple(readings) or (Message("nothing is wrong with this pump"),)


@kept("moves of practice judged", most=4 * MB)
def _judged(exercise: Exercise, before: tuple[str, ...], token: str) -> str:
    """Why a move was not the best to make after these checks; blank where it was."""
    hidden = _hidden(exercise)
    asked, trial = _asked(hidden), Trial(hidden, exercise.seed)
    fields = asked_at(asked)
    done = [check.key for check in map(_check, before) if check is not None]
    for key in done:
        fields |= trial.read(key)
    stand, check = asked.stand(fields, done), _check(token)
    if check is None:
        return _opened_wrong(stand, _job(token), asked)
    return _asked_wrong(stand, check.key)


def _until_opened(moves: Sequence[Move]) -> tuple[str, ...]:
    """Moves up to the first opening and with it: those that are judged."""
    tokens = [move.token for move in moves]
    opened = next((k for k, token in enumerate(tokens) if _check(token) is None), len(tokens))
    return tuple(tokens[: opened + 1])


def _astray(exercise: Exercise, standing: Standing) -> tuple[Misstep, ...]:
    """Moves up to the first opening that were not the best to make on what was known then."""
    tokens = _until_opened(standing.moves)
    said = [_judged(exercise, tokens[:k], token) for k, token in enumerate(tokens)]
    return tuple(
        Misstep(step, said_here) for step, said_here in enumerate(said, start=1) if said_here
    )


def make_ready(exercise: Exercise, moves: Sequence[str]) -> None:
    """Compute what the debriefing will ask for: the best way, and what is to be said of the last
    move.

    Raises:
        BadInput: more moves than any exercise takes, or a code for a pump not known here.
        NoAnswer: the pump can't be simulated.
    """
    tokens = _until_opened(replay(exercise, moves).moves)
    if tokens:
        _judged(exercise, tokens[:-1], tokens[-1])
    else:
        _best_way(exercise)


def _advice(stand: Stand, key: CheckKey) -> CheckAdvice | None:
    return next((c for c in stand.checks if c.key == key), None)


def _asked_wrong(stand: Stand, key: CheckKey) -> str:
    chosen, best = _advice(stand, key), stand.checks[0] if stand.checks else None
    if chosen is None:
        return Message("It showed nothing new.")
    if best is None or not best.worth:
        first = stand.openings[0].title.lower()
        return Message("No check was worth its minutes any more; better: {first}.", first=first)
    gained, most = chosen.information_bits_per_minute, best.information_bits_per_minute
    if chosen.worth and gained >= _SAME * most:
        return ""
    gain = (best.minutes_saved - best.minutes) - (chosen.minutes_saved - chosen.minutes)
    better: str = (
        Message("“{title}” would have shown more for its minutes.", title=best.title)
        if gain < 0.75
        else Message(
            "“{title}” would have saved {gain} more on average.",
            title=best.title,
            gain=minutes_text(gain),
        )
    )
    if not best.settles:
        return better
    return joined(" ", (better, Message("It settles {settles}.", settles=best.settles)))


def _opened_wrong(stand: Stand, job: int | None, asked: Asked) -> str:
    if job is None:
        return ""
    best = stand.checks[0] if stand.checks else None
    if best and best.worth and best.minutes_saved - best.minutes > _MUCH:
        gain = minutes_text(best.minutes_saved - best.minutes)
        return Message(
            "Opened too soon: “{title}” first would have saved {gain} on average.",
            title=best.title,
            gain=gain,
        )
    order = [job_number(o) for o in stand.openings]
    jobs = range(len(JOBS))
    table = job_minutes(asked.pump, asked.around, jobs)
    mine = [job, *(k for k in order if k != job)]
    lost = expected_cost(mine, table_of(stand.cloud, jobs), table) - stand.minutes_to_fixed
    if lost <= _MUCH:
        return ""
    first, less = stand.openings[0].title.lower(), minutes_text(lost)
    return Message(
        "Better first: {first}; it costs {less} less on average.", first=first, less=less
    )
