"""A practice pump in a few letters and digits, to be read out over a phone.

The figures are Crockford's Base32: Douglas Crockford, Base 32 (2002, revised 2019). By it small
letters read as large ones, I and L as 1, O as 0, and hyphens are ignored. Two things are our own:
a U, which the encoding has no use for here, reads as the V it was mistaken for, and the check is
one of the 32 figures, not the encoding's optional symbol of 37.

The code holds which pump, which coating, which faults, how big they are where somebody said, the
seed of everything else, and how many causes of faults were known when it was given. The seed draws
from those alone, so a code means the same exercise when more become known. There are two forms:

- nine figures, from when sixteen causes were known: 2 bits for the size, 2 the pump, 3 the coating,
  16 the seed, 17 the set of causes, 5 the check;
- twelve figures, from when more are: the first is the form's number, 2; then 2 bits for the size,
  2 the pump, 3 the coating, 16 the seed, 6 how many causes were known, 21 which are there (whether
  they were set, how many, and up to three of 6 bits), 5 the check.

The faults are mixed up with the seed so that they can't be read off a code, but it is no secret
from a program.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from wetend.advice.faults.record import Cause
from wetend.advice.faults.tables import CAUSES
from wetend.errors import BadInput
from wetend.units.message import Message

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Of Crockford's Base32: figures and letters not mistaken for one another, no I, L, O, U."""
SEEDS = 1 << 16
FIRST_KNOWN = 16
"""Causes known when the first form was made; it has room for no more."""
MOST_CAUSES = 3
"""Causes that a code of the second form can hold."""
Size = Literal["slight", "moderate", "severe"]
_SIZE_BITS: dict[Size | None, int] = {None: 1, "slight": 0, "moderate": 2, "severe": 3}
"""How a code begins. The first codes, from before sizes could be set, begin with 1: sizes drawn."""
_SIZE_OF = {bits: size for size, bits in _SIZE_BITS.items()}
_READ_AS = str.maketrans({"I": "1", "L": "1", "O": "0", "U": "V"})
_LENGTHS = {9: 1, 12: 2}
"""The form by a code's length."""
_SECOND = 2
_SET_BITS, _NUMBER_BITS, _COUNT_BITS, _CHECK_BITS = FIRST_KNOWN + 1, 6, 2, 5
_CHOSEN_BITS = 1 + _COUNT_BITS + MOST_CAUSES * _NUMBER_BITS


@dataclass(frozen=True)
class Exercise:
    """Which hidden pump."""

    pump: int
    """Place in the list of practice pumps, 0 to 3."""
    coating: int
    """Place in the list of practice coatings, 0 to 7."""
    seed: int
    causes: tuple[Cause, ...] | None = None
    """``None``: drawn from what is usual."""
    size: Size | None = None
    """How big every fault is; ``None``: drawn from what is usual."""
    known: int = len(CAUSES)
    """Causes known when it was made: the seed draws from those alone."""


def _mask(seed: int, bits: int) -> int:
    digest = hashlib.sha256(Message("wetend practice {seed}", seed=seed).encode()).digest()
    return int.from_bytes(digest[:8], "big") & ((1 << bits) - 1)


def _check(body: int) -> int:
    return int.from_bytes(hashlib.sha256(str(body).encode()).digest()[:4], "big") & 0x1F


class _Packed:
    """Figures laid side by side in a number, the last one lowest."""

    def __init__(self, body: int = 0) -> None:
        self.body = body

    def put(self, value: int, bits: int) -> None:
        self.body = self.body << bits | value

    def take(self, bits: int) -> int:
        value = self.body & ((1 << bits) - 1)
        self.body >>= bits
        return value


def _set(causes: Sequence[Cause] | None) -> int:
    """The set of causes as the first form has it: whether they were set, and a bit a cause."""
    return 0 if causes is None else 1 | sum(1 << (1 + c) for c in causes)


def _set_of(chosen: int) -> tuple[Cause, ...] | None:
    return tuple(c for c in CAUSES if chosen >> (1 + c) & 1) if chosen & 1 else None


def _list(causes: Sequence[Cause] | None) -> int:
    """The causes as the second form has them: whether they were set, how many, and which."""
    packed = _Packed()
    chosen = list(causes or ())
    for cause in [*chosen, *[0] * (MOST_CAUSES - len(chosen))]:
        packed.put(int(cause), _NUMBER_BITS)
    packed.put(len(chosen), _COUNT_BITS)
    packed.put(causes is not None, 1)
    return packed.body


def _list_of(chosen: int, known: int) -> tuple[Cause, ...] | None:
    packed = _Packed(chosen)
    if not packed.take(1):
        return None
    count = packed.take(_COUNT_BITS)
    numbers = [packed.take(_NUMBER_BITS) for _ in range(MOST_CAUSES)][::-1][:count]
    if any(number >= known for number in numbers):
        raise BadInput(Message("That code is not valid: a letter or digit is wrong."))
    return tuple(CAUSES[number] for number in numbers)


def _letters(body: int, length: int) -> str:
    whole = body << _CHECK_BITS | _check(body)
    return "".join(ALPHABET[whole >> 5 * k & 31] for k in reversed(range(length)))


def code_of(exercise: Exercise) -> str:
    """The code of an exercise.

    Raises:
        BadInput: it sets more causes than a code can hold.

    >>> code_of(Exercise(0, 1, 77, (CAUSES[0],), known=16))
    '8809N-XQ4V'
    """
    packed = _Packed()
    first = exercise.known == FIRST_KNOWN
    if not first:
        packed.put(_SECOND, 5)
    for value, bits in (
        (_SIZE_BITS[exercise.size], 2), (exercise.pump, 2), (exercise.coating, 3),
        (exercise.seed, 16),
    ):  # fmt: skip
        packed.put(value, bits)
    if first:
        packed.put(_set(exercise.causes) ^ _mask(exercise.seed, _SET_BITS), _SET_BITS)
        text = _letters(packed.body, 9)
        return f"{text[:5]}-{text[5:]}"
    if len(exercise.causes or ()) > MOST_CAUSES:
        raise BadInput(
            Message("A practice code holds at most {most_causes} faults.", most_causes=MOST_CAUSES)
        )
    packed.put(exercise.known, _NUMBER_BITS)
    packed.put(_list(exercise.causes) ^ _mask(exercise.seed, _CHOSEN_BITS), _CHOSEN_BITS)
    text = _letters(packed.body, 12)
    return f"{text[:4]}-{text[4:8]}-{text[8:]}"


def exercise_of(code: str) -> Exercise:
    """The exercise a code stands for; spaces, hyphens and small letters are read kindly.

    Raises:
        BadInput: no such code; most slips of one character are caught. Or it is from a later
            version of the program, that knows more faults.
    """
    letters = "".join(c for c in code.upper() if c.isalnum()).translate(_READ_AS)
    if len(letters) not in _LENGTHS or any(c not in ALPHABET for c in letters):
        raise BadInput(
            Message("A practice code has nine or twelve letters and digits, like 8809N-XQ4V.")
        )
    packed = _Packed()
    for letter in letters:
        packed.put(ALPHABET.index(letter), 5)
    check = packed.take(_CHECK_BITS)
    if check != _check(packed.body):
        raise BadInput(Message("That code is not valid: a letter or digit is wrong."))
    return _first(packed) if _LENGTHS[len(letters)] == 1 else _second(packed)


def _first(packed: _Packed) -> Exercise:
    secret = packed.take(_SET_BITS)
    seed, coating, pump = packed.take(16), packed.take(3), packed.take(2)
    causes = _set_of(secret ^ _mask(seed, _SET_BITS))
    return Exercise(pump, coating, seed, causes, _SIZE_OF[packed.take(2)], FIRST_KNOWN)


def _second(packed: _Packed) -> Exercise:
    secret, known = packed.take(_CHOSEN_BITS), packed.take(_NUMBER_BITS)
    seed, coating, pump = packed.take(16), packed.take(3), packed.take(2)
    size, form = _SIZE_OF[packed.take(2)], packed.take(5)
    if form > _SECOND or known > len(CAUSES):
        raise BadInput(
            Message("That code is from a later version of the program, which knows more faults.")
        )
    if form < _SECOND or known <= FIRST_KNOWN:
        raise BadInput(Message("That code is not valid: a letter or digit is wrong."))
    causes = _list_of(secret ^ _mask(seed, _CHOSEN_BITS), known)
    return Exercise(pump, coating, seed, causes, size, known)
