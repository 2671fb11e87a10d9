"""A practice pump in nine letters and figures, to be read out over a phone.

The figures are Crockford's Base32: Douglas Crockford, Base 32 (2002, revised 2019). By it small
letters read as large ones, I and L as 1, O as 0, and hyphens are ignored. Two things are our own:
a U, which the encoding has no use for here, reads as the V it was mistaken for, and the check is
one of the 32 figures, not the encoding's optional symbol of 37.

The code holds which pump, which coating, which faults, how big they are where somebody said, and
the seed of everything else; its faults are mixed up with the seed so that they can't be read off
it, but it is no secret from a program.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from wetend.advice.diagnosis.causes import Cause
from wetend.errors import BadInput

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Of Crockford's Base32: figures and letters not mistaken for one another, no I, L, O, U."""
SEEDS = 1 << 16
Size = Literal["slight", "moderate", "severe"]
_SIZE_BITS: dict[Size | None, int] = {None: 1, "slight": 0, "moderate": 2, "severe": 3}
"""How a code begins. The first codes, from before sizes could be set, begin with 1: sizes drawn."""
_SIZE_OF = {bits: size for size, bits in _SIZE_BITS.items()}
_LENGTH = 9
_BITS = 5 * _LENGTH
_READ_AS = str.maketrans({"I": "1", "L": "1", "O": "0", "U": "V"})
_CAUSE_BITS, _CHECK_BITS = 17, 5


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


def _mask(seed: int, bits: int) -> int:
    digest = hashlib.sha256(f"wetend practice {seed}".encode()).digest()
    return int.from_bytes(digest[:8], "big") & ((1 << bits) - 1)


def _check(body: int) -> int:
    return int.from_bytes(hashlib.sha256(str(body).encode()).digest()[:4], "big") & 0x1F


def _set(causes: Collection[Cause] | None) -> int:
    return 0 if causes is None else 1 | sum(1 << (1 + c) for c in causes)


def code_of(exercise: Exercise) -> str:
    """The code of an exercise.

    >>> code_of(Exercise(0, 1, 77, (Cause.FOOT,)))
    '8809N-XQ4V'
    """
    body = _SIZE_BITS[exercise.size]
    for value, bits in ((exercise.pump, 2), (exercise.coating, 3)):
        body = body << bits | value
    secret = _set(exercise.causes) ^ _mask(exercise.seed, _CAUSE_BITS)
    body = (body << 16 | exercise.seed) << _CAUSE_BITS | secret
    whole = body << _CHECK_BITS | _check(body)
    text = "".join(ALPHABET[whole >> 5 * k & 31] for k in reversed(range(_LENGTH)))
    return f"{text[:5]}-{text[5:]}"


def exercise_of(code: str) -> Exercise:
    """The exercise a code stands for; spaces, hyphens and small letters are read kindly.

    Raises:
        BadInput: no such code; most slips of one character are caught.
    """
    told = "".join(c for c in code.upper() if c.isalnum()).translate(_READ_AS)
    if len(told) != _LENGTH or any(c not in ALPHABET for c in told):
        raise BadInput("A practice code has nine letters and figures, like 8809N-XQ4V.")
    whole = 0
    for letter in told:
        whole = whole << 5 | ALPHABET.index(letter)
    body, check = whole >> _CHECK_BITS, whole & 31
    secret, rest = body & ((1 << _CAUSE_BITS) - 1), body >> _CAUSE_BITS
    seed, rest = rest & 0xFFFF, rest >> 16
    coating, rest = rest & 7, rest >> 3
    pump, size = rest & 3, _SIZE_OF[rest >> 2]
    if check != _check(body):
        raise BadInput("That code isn't one of ours: a letter or figure is wrong.")
    chosen = secret ^ _mask(seed, _CAUSE_BITS)
    causes = tuple(c for c in Cause if chosen >> (1 + c) & 1) if chosen & 1 else None
    return Exercise(pump, coating, seed, causes, size)
