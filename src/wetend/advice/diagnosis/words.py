"""The answer in plain words: which reading told it, and what to do."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wetend.advice.diagnosis.answers import (
    CheckAdvice,
    Contribution,
    Finding,
    Opening,
    Prediction,
)
from wetend.advice.diagnosis.evidence import Reading
from wetend.advice.diagnosis.next_check import SHUT_FROM
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.faults.record import Fault, Key
from wetend.units.message import Message, joined, raised
from wetend.units.quantity import Ratio
from wetend.units.show import chance_text, minutes_text, show

LIKELY, POSSIBLE = 0.7, 0.2
_UNTOLD = Message(
    "No reading speaks for or against it: its chance is the usual one here, with "
    "the wear of the parts."
)
LEAVE_FROM = SHUT_FROM
"""Soundness from which the wet end is left alone."""
_HINTS, _SPEAKS, _SPEAKS_UP = 0.1, 0.45, 1.1
"""Logarithm of the Bayes factor from which a reading is said to speak: half as likely again; and,
for a fault that is unlikely after all, three times as likely. From a tenth on it hints.
"""

SIGHT_WORDS: dict[Key, tuple[str, str]] = {
    "wet_cup": (Message("a clean wet cup"), Message("coating in the wet cup")),
    "early_drop": (
        Message("no quick drop at the start of the down-stroke"),
        Message("a quick drop at the start of the down-stroke"),
    ),
    "slow_turn": (Message("a brisk changeover"), Message("a slow changeover")),
    "knock": (Message("no knock at the turn"), Message("a knock at the turn")),
    "creep_place": (
        Message("creep the same along the stroke"),
        Message("creep that differs along the stroke"),
    ),
    "suction_lifted": (
        Message("a lifted suction that holds"),
        Message("coating running back out of the suction"),
    ),
    "fresh_suction": (Message("no change with a full pail"), Message("better from a full pail")),
    "air_seen": (Message("no bubbles"), Message("bubbles in what comes back")),
    "filter_looked": (Message("a clean outlet filter"), Message("a blocked outlet filter")),
    "nozzle_changed": (
        Message("no change with another nozzle"),
        Message("better with another nozzle"),
    ),
    "outside_looked": (Message("dry hose and dump valve"), Message("a wet hose or dump valve")),
    "wash": (Message("no change after a wash"), Message("better after a wash")),
    "nozzle_turned": (
        Message("no change with the nozzle turned and shot through"),
        Message("better with the nozzle turned and shot through"),
    ),
    "solvent_test": (
        Message("a foot valve that holds solvent"),
        Message("solvent weeping past the foot valve"),
    ),
}
"""What is seen or not, in words: no, yes."""


def word_for(probability: float, *, explained: bool = True) -> str:
    """A probability in a word; no fault is called likely by readings that don't fit together.

    >>> word_for(0.84), word_for(0.3), word_for(0.06)
    ('likely', 'possible', 'unlikely')
    >>> word_for(0.84, explained=False)
    'doubtful'
    """
    if not explained and probability >= POSSIBLE:
        return Message("doubtful")
    if probability >= LIKELY:
        return Message("likely")
    return Message("possible") if probability >= POSSIBLE else Message("unlikely")


def worth_text(check: CheckAdvice) -> str:
    """What a check is worth, in minutes and in what it settles."""
    if not check.worth:
        return Message(
            "takes {minutes}, and saves less than that", minutes=minutes_text(check.minutes)
        )
    saved = Message(
        "saves about {minutes_saved} on average", minutes_saved=minutes_text(check.minutes_saved)
    )
    if not check.settles:
        return saved
    return Message("{saved}; settles {settles}", saved=saved, settles=check.settles)


def right_text(check: CheckAdvice) -> str:
    """How far a check is expected to bring the chance of naming all that is wrong."""
    now, after = (5 * round(20 * p) for p in (check.right_now, check.right_after))
    if after <= now:
        return Message(
            "Everything wrong is found about {now} times in 100, with or without it.", now=now
        )
    return Message(
        "Everything wrong is found about {now} times in 100 now, {after} with this check.",
        now=now,
        after=after,
    )


@dataclass(frozen=True)
class Formatter:
    """Says what readings show."""

    healthy: Prediction

    def phrase(self, reading: Reading) -> str:
        """One reading against what a sound pump would show."""
        key, what = reading.what.key, reading.what
        if reading.said:
            return reading.said
        if key in SIGHT_WORDS:
            no, yes = SIGHT_WORDS[key]
            return yes if reading.value > 0.5 else no
        if key == "rhythm":
            return self._rhythm(reading)
        assert what.unit is not None
        figure = Message("{title} {value}", title=what.title, value=show(reading.value, what.unit))
        sound = self._sound(key)
        if sound is None:
            return figure
        shown = show(sound, what.unit)
        seen, expected = (float(what.scale(np.asarray(v))) for v in (reading.value, sound))
        if abs(seen - expected) <= reading.error:
            return Message("{figure}, much as a sound pump's {shown}", figure=figure, shown=shown)
        return Message("{figure} where a sound pump shows {shown}", figure=figure, shown=shown)

    def _rhythm(self, reading: Reading) -> str:
        """Up-stroke against down-stroke."""
        sound = self.healthy.up_time / self.healthy.down_time
        if abs(math.log(reading.value / sound)) <= reading.error:
            return Message("up-stroke and down-stroke as long beside each other as a sound pump's")
        quicker = _quicker(reading.value)
        told = Message("a down-stroke {quicker} than the up-stroke", quicker=quicker)
        if reading.value < 0.5:
            told = Message(
                "a down-stroke {times:.1f} times as long as the up-stroke", times=1 / reading.value
            )
        return Message("{told} where a sound pump's is {sound}", told=told, sound=_quicker(sound))

    def _sound(self, key: Key) -> float | None:
        """What the sound pump reads, where it is worth saying."""
        if key.startswith("creep"):
            return None
        if key == "cycle_volume":
            return self.healthy.flow / self.healthy.cycle_rate
        value = getattr(self.healthy, key, None)
        return None if value is None else float(value)


def _quicker(ratio: float) -> str:
    """How much quicker the down-stroke is, from the up-stroke's time over its own.

    >>> _quicker(1.46), _quicker(0.8), _quicker(1.001)
    ('32 % quicker', '25 % slower', 'no quicker')
    """
    off = round(100.0 * (1.0 - 1.0 / ratio))
    if off == 0:
        return Message("no quicker")
    return Message("{off} % quicker", off=off) if off > 0 else Message("{off} % slower", off=-off)


def _listed(phrases: Sequence[str]) -> str:
    if len(phrases) == 1:
        return phrases[0]
    return Message("{those} and {last}", those=joined(", ", phrases[:-1]), last=phrases[-1])


def because(
    cloud: WeightedSample,
    fault: Fault,
    readings: Sequence[Reading],
    teller: Formatter,
    chance: float,
) -> str:
    """What the readings say for a fault and against it."""
    weight = cloud.says[fault]
    order = np.argsort(-weight)
    together = _together(cloud, fault, readings, teller) if chance >= POSSIBLE else ""
    least = _SPEAKS if chance >= POSSIBLE else _SPEAKS_UP
    speaking = [teller.phrase(readings[i]) for i in order if weight[i] > least][:2]
    against = [teller.phrase(readings[i]) for i in order[::-1] if weight[i] < -_SPEAKS][:2]
    spoken = Message("For it: {speaking}.", speaking=_listed(speaking)) if speaking else ""
    denied = Message("Against it: {against}.", against=_listed(against)) if against else ""
    best = int(order[0]) if len(order) else -1
    hints = best >= 0 and weight[best] > _HINTS
    hint = (
        Message("Weakly for it: {phrase}.", phrase=teller.phrase(readings[best])) if hints else ""
    )
    if chance >= POSSIBLE:
        told = joined(" ", filter(None, (spoken, denied)))
        return (told if speaking else joined(" ", filter(None, (together, told)))) or (
            hint or _UNTOLD
        )
    if denied:
        return joined(" ", filter(None, (denied, spoken)))
    if spoken:
        return Message("{spoken} Another fault explains that better.", spoken=spoken)
    return (
        Message("{hint} Another fault explains that better.", hint=hint)
        if hint
        else Message("No reading speaks for it.")
    )


def _together(
    cloud: WeightedSample, fault: Fault, readings: Sequence[Reading], teller: Formatter
) -> str:
    """The readings that would speak for a fault each by itself, where none is needed beside the
    others."""
    alone = cloud.alone[fault]
    named = [teller.phrase(readings[i]) for i in np.argsort(-alone) if alone[i] > _SPEAKS][:2]
    return Message("For it: {speaking}.", speaking=_listed(named)) if named else ""


GONE = Message("It was a lump, most likely, and is gone.")


def carried_text(chances: Mapping[Fault, Ratio]) -> str:
    """What was a lump and is gone; ``""`` where that is not even possible."""
    said = [
        Message("{carried} ({chance})", carried=fault.lump.carried, chance=chance_text(chance))
        for fault, chance in chances.items()
        if fault.lump and chance >= POSSIBLE
    ]
    return Message("It was {said}.", said=joined(Message(" or "), said)) if said else ""


def where_to_start(
    findings: Sequence[Finding],
    openings: Sequence[Opening],
    *,
    sound: float,
    explained: bool,
    check: str | None,
    carried: str = "",
    first_try: Mapping[Fault, str] | None = None,
    undecided: bool = False,
) -> str:
    """What to open first, or why to leave the wet end shut.

    Args:
        findings: every fault, likeliest first.
        openings: the jobs in their order.
        sound: chance that nothing is wrong with the wet end.
        explained: whether the readings fit together.
        check: the next check, if one is worth its minutes.
        carried: what was a lump and is gone, in words.
        first_try: what may put a fault right with nothing opened, where it is not tried yet.
        undecided: whether a quick check may yet show that the wet end has to be opened.
    """
    if not explained:
        return Message("Open nothing yet: the readings don't fit together. Take them again.")
    likely = {f.fault for f in findings if f.probability >= LIKELY}
    order = [fault for opening in openings for fault in opening.faults if fault in likely]
    if order:
        shut = sound >= LEAVE_FROM and not any(fault.inside for fault in likely) and not undecided
        told: str = joined(Message(" Then: "), (fault.open_first for fault in order[:3]))
        tried = (first_try or {}).get(order[0])
        if tried:
            told = Message(
                "{tried} first. Only if that changes nothing: {told}", tried=tried, told=told
            )
        return Message("Leave the wet end shut. {told}", told=told) if shut else told
    if carried:
        return Message(
            "Open nothing for it. Strain the coating, clean strainer and filters, and "
            "stall it again after an hour at work."
        )
    first = findings[0]
    if sound >= LEAVE_FROM and undecided:
        return Message("Open nothing yet: a quick check may still show that the wet end leaks.")
    if sound >= LEAVE_FROM:
        if not first.fault.inside and first.probability >= POSSIBLE:
            return Message(
                "Leave the wet end shut. {open_first}", open_first=first.fault.open_first
            )
        return Message("Leave the wet end shut: nothing read so far says that it leaks.")
    if check:
        return Message("Open nothing yet: one more check will save more time than it takes.")
    if first.probability < POSSIBLE:
        return Message("Open nothing: no fault stands out. Run it and check again.")
    best = [fault for fault in openings[0].faults if _chance_of(findings, fault) >= POSSIBLE]
    return (best[0] if best else first.fault).open_first


def _chance_of(findings: Sequence[Finding], fault: Fault) -> float:
    return next(f.probability for f in findings if f.fault is fault)


def leave_shut(
    findings: Sequence[Finding], *, sound: float, explained: bool, check: str | None,
    undecided: bool = False,
) -> bool:  # fmt: skip
    """Whether what is known says to leave the wet end alone.

    Readings that don't fit together say nothing of the kind; nor does a wet end that is merely not
    suspected yet, while a check is worth its minutes, or a quick one may yet show that it leaks.
    """
    if undecided:
        return False
    inside = max(f.probability for f in findings if f.fault.inside)
    return explained and (sound >= LEAVE_FROM or (inside < POSSIBLE and not check))


def within(cloud: WeightedSample, fault: Fault) -> str:
    """Which of a fault's causes it is, as far as the readings tell."""
    causes = fault.causes
    if len(causes) == 1:
        return fault.both_ways
    chances = [float(cloud.weight[cloud.present[:, c]].sum()) for c in causes]
    before = [float(cloud.prior_weight[cloud.present[:, c]].sum()) for c in causes]
    total = sum(chances)
    if total <= 0.0:
        return ""
    shares = [c / total for c in chances]
    first = max(range(len(causes)), key=lambda k: shares[k])
    named = causes[first].words
    if shares[first] >= LIKELY:
        return Message(
            "Most likely {named} ({chance_text} of it).",
            named=named,
            chance_text=chance_text(shares[first]),
        )
    moved = max(abs(s - b / sum(before)) for s, b in zip(shares, before, strict=True))
    listed = _listed(
        [
            Message("{cause} {share}", cause=c.words, share=chance_text(s))
            for c, s in zip(causes, shares, strict=True)
        ]
    )
    if moved < _MOVED:
        return Message(
            "These readings can't tell which; by what is usual: {listed}.", listed=listed
        )
    return Message("Of it: {listed}.", listed=listed)


_MOVED = 0.1


def contributions(
    cloud: WeightedSample, readings: Sequence[Reading], teller: Formatter
) -> tuple[Contribution, ...]:
    """What each reading adds to the others, in words."""
    weights = cloud.says
    found = []
    for k, reading in enumerate(readings):
        heard = [(float(w[k]), f) for f, w in weights.items()]
        spoken = sorted(heard, key=lambda said: (said[0], said[1].title), reverse=True)
        strong = [
            Message("for {title} ({w})", title=f.title, w=strength(w))
            for w, f in spoken
            if w > _SPEAKS
        ][:2]
        strong += [
            Message("against {title} ({w})", title=f.title, w=strength(w))
            for w, f in spoken[::-1]
            if w < -_SPEAKS
        ][:2]
        told = (
            Message("Speaks {strong}.", strong=_listed(strong))
            if strong
            else Message("Says little either way.")
        )
        found.append(Contribution(teller.phrase(reading), told))
    return tuple(found)


def strength(log_factor: float) -> str:
    """How strongly a reading speaks, from the logarithm of its Bayes factor.

    >>> strength(0.6), strength(-2.0), strength(6.0)
    ('twice as likely', 'seven times less likely', 'over a hundred times as likely')
    """
    times = math.exp(abs(log_factor))
    more, count = log_factor > 0, max(round(times), 2)
    if times > 100 and more:
        return Message("over a hundred times as likely")
    if times > 100:
        return Message("over a hundred times less likely")
    if count == 2:
        return Message("twice as likely") if more else Message("half as likely")
    told = _COUNTS.get(count, str(count))
    if more:
        return Message("{count} times as likely", count=told)
    return Message("{count} times less likely", count=told)


_COUNTS = {
    3: Message("three"), 4: Message("four"), 5: Message("five"), 6: Message("six"),
    7: Message("seven"), 8: Message("eight"), 9: Message("nine"), 10: Message("ten"),
}  # fmt: skip


READ_AGAIN = 2
"""Readings at once that are asked for again."""


def read_again(strays: Sequence[str]) -> str:
    """Which readings to take again."""
    return Message(
        "Read again what doesn't fit the rest: {listed}.", listed=_listed(strays[:READ_AGAIN])
    )


def _named(findings: Sequence[Finding]) -> str:
    """The likely faults, or the likeliest, with their chances."""
    named = [f for f in findings if f.probability >= LIKELY][:3] or [findings[0]]
    listed = _listed(
        [
            Message(
                "{title} ({probability})",
                title=f.fault.title,
                probability=chance_text(f.probability),
            )
            for f in named
        ]
    )
    if len(named) == 1:
        return Message("{fault} is {word}", fault=listed, word=named[0].word)
    return Message("{faults} are likely together", faults=listed)


def _by_the_rest(rest: Sequence[tuple[Fault, float]]) -> str:
    """What the readings that fit together say by themselves."""
    if not rest:
        return ""
    listed = _listed(
        [Message("{title} ({p})", title=fault.title, p=chance_text(p)) for fault, p in rest[:3]]
    )
    if len(rest) == 1:
        return Message("By the rest, {fault} is likely.", fault=listed)
    return Message("By the rest, {faults} are likely together.", faults=listed)


def overall(
    findings: Sequence[Finding],
    *,
    sound: float,
    explained: bool,
    strays: Sequence[str],
    rest: Sequence[tuple[Fault, float]] = (),
    carried: str = "",
) -> str:
    """The answer in a sentence or two.

    Args:
        findings: every fault, likeliest first.
        sound: chance that nothing is wrong with the wet end.
        explained: whether the readings fit together.
        strays: the readings that don't fit the rest, worst first.
        rest: what is likely by the readings but these, where they are weighed apart.
        carried: what was a lump and is gone, in words.
    """
    again = read_again(strays) if strays else ""
    named = _named(findings)
    if not explained:
        lead = Message("No combination of the faults known here explains all these readings.")
        return joined(" ", filter(None, (lead, again, _by_the_rest(rest))))
    if findings[0].probability < POSSIBLE:
        lead = Message(
            "Nothing stands out; that the wet end is sound has a chance of {sound}.",
            sound=chance_text(sound),
        )
    else:
        lead = Message("{named}. {because}", named=raised(named), because=findings[0].because)
    return joined(" ", filter(None, (carried, lead, again)))
