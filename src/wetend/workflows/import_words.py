"""What the words of a foreign table may mean: parts, reasons, headings; and how sure that is.

A word is *sure* where it is a name used here, or a name of the trade with nothing beside it but
what changes no meaning ("new", "carbide"). Anything else is a guess that a person confirms, or no
guess at all: "cylinder o-ring" is no cylinder, "no failure" no failure.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from wetend.pump.usage import FITTED_WORDS, PART_WORDS, TURNS, FittedPart, Why
from wetend.units.message import Message

LEAVE_OUT = "leave out"
"""Read as nothing: the rows it stands in say nothing of this field."""
BOTH_PACKINGS = "static-packings+moving-packings"
_TURNED = " turned"


@dataclass(frozen=True)
class Guess:
    """What a text may mean; ``value`` is blank where nothing is proposed."""

    value: str = ""
    sure: bool = False


_PHRASES: Mapping[FittedPart, tuple[str, ...]] = {
    "static-packings": ("static packing", "upper packing", "throat packing", "gland packing",
                        "rod packing"),
    "moving-packings": ("moving packing", "lower packing", "piston packing", "piston seal"),
    "piston-ball": ("piston ball", "piston valve ball", "outlet ball", "discharge ball",
                    "upper ball"),
    "piston-seat": ("piston seat", "piston valve seat", "piston seat face", "outlet seat",
                    "discharge seat", "upper seat"),
    "foot-ball": ("foot ball", "foot valve ball", "inlet ball", "intake ball", "suction ball",
                  "lower ball"),
    "foot-seat": ("foot seat", "foot valve seat", "foot valve seat face", "inlet seat",
                  "intake seat", "suction seat", "lower seat"),
    "cylinder": ("cylinder", "sleeve", "liner"),
    "rod": ("rod", "piston rod"),
    "nozzle": ("nozzle", "tip"),
    "outlet-filter": ("outlet filter", "filter screen", "filter element", "outlet screen"),
    "soft-rings": ("soft ring",),
    "cage": ("cage", "foot valve cage"),
    "strainer": ("strainer",),
}  # fmt: skip
"""Names of the trade: common practice, no source."""
_HALF = {"filter": "outlet-filter", "screen": "outlet-filter"}
"""Words that are most likely a part, and may be another's."""
_PLAIN = frozenset({"new", "carbide", "tungsten", "ceramic", "ptfe", "leather", "stainless",
                    "hardened", "replaced", "fitted", "the", "a", "set", "of"})  # fmt: skip
"""Words that change no meaning."""
_SAME = {"packings": "packing", "packs": "packing", "pack": "packing"}
_TURNS = frozenset({"turned", "reversed"})
_EXACT: Mapping[Why, tuple[str, ...]] = {
    "worn out": ("worn out", "failed", "failure", "breakdown", "broke down"),
    "found worn": ("found worn", "found worn when opened"),
    "planned": ("planned", "preventive", "service", "annual service", "routine", "scheduled",
                "scheduled service", "planned service", "routine service"),
    "damaged": ("damaged", "dropped", "bent"),
    "first fitted": ("first fitted", "new pump", "commissioning"),
}  # fmt: skip
_SIGNS: Mapping[Why, tuple[str, ...]] = {
    "first fitted": ("commission", "install"),
    "damaged": ("damag", "drop", "accident", "broken", "bent"),
    "planned": ("plan", "prevent", "service", "schedul", "routine"),
    "worn out": ("worn out", "fail", "breakdown", "broke", "stopped", "leak"),
    "found worn": ("worn", "wear"),
}
_DENIED = re.compile(r"\b(no|not|non|without|never|none)\b|\bun[a-z]|n't\b|\?")
_PEOPLES = frozenset({"labour", "labor", "man", "crew", "job", "travel", "standby", "idle", "paid",
                      "repair", "fitter", "technician", "down", "downtime"})  # fmt: skip
"""Beside "hours": those of people or of a standstill, none of the pump's."""


def tokens(text: str) -> list[str]:
    """Words of a text in small letters, the plurals of parts folded."""
    found = re.findall(r"[^\W_]+", text.lower())
    return [_SAME.get(w, w[:-1] if len(w) > 3 and w.endswith("s") and w[-2] != "s" else w)
            for w in found]  # fmt: skip


def folded(text: str) -> str:
    """A text as it is compared: small letters, single spaces."""
    return " ".join(text.lower().split())


def _named() -> list[tuple[list[str], str]]:
    pairs: list[tuple[list[str], str]] = [
        (tokens(words), part)
        for part, own in _PHRASES.items()
        for words in (*own, part, str(FITTED_WORDS[part]))
    ]
    pairs += [(tokens(str(words)), part) for part, words in PART_WORDS.items()]
    return sorted(pairs, key=lambda pair: -len(pair[0]))


def part_guess(text: str) -> Guess:
    """What a text names: a part, a part turned, both sets of packings, or nothing sure.

    >>> part_guess("Inlet ball, carbide"), part_guess("cylinder o-ring").value
    (Guess(value='foot-ball', sure=True), '')
    """
    left = tokens(text)
    turned = bool(_TURNS & set(left))
    left = [word for word in left if word not in _TURNS]
    found: list[str] = []
    for words, part in _named():
        size = len(words)
        for start in range(len(left) - size + 1):
            if left[start : start + size] == words:
                found.append(part)
                left[start : start + size] = ["", *[""] * (size - 1)]
    rest = [word for word in left if word and word not in _PLAIN]
    parts = sorted(set(found))
    if len(parts) != 1:
        half = {_HALF[word] for word in rest if word in _HALF}
        alone = not parts and len(half) == 1 and len(rest) == 1
        return Guess(half.pop()) if alone else Guess()
    if rest or (turned and parts[0] not in TURNS):
        return Guess()
    return Guess(parts[0] + _TURNED * turned, sure=True)


def why_guess(text: str) -> Guess:
    """Why a part was fitted, from the words of a cell; nothing where words deny or contradict.

    >>> why_guess("unplanned stop"), why_guess("breakdown"), why_guess("worn lips")
    (Guess(value='', sure=False), Guess(value='worn out', sure=True), Guess(value='found worn', sure=False))
    """  # noqa: E501 - a doctest's output is one line
    plain = " ".join(re.findall(r"[^\W_]+", text.lower()))
    for why, words in _EXACT.items():
        if plain in words:
            return Guess(why, sure=True)
    if _DENIED.search(text.lower()):
        return Guess()
    found = [why for why, signs in _SIGNS.items() if any(sign in plain for sign in signs)]
    if set(found) == {"worn out", "found worn"} and "worn out" in plain:
        found = ["worn out"]
    return Guess(found[0]) if len(found) == 1 else Guess()


def hours_of_people(heading: str) -> bool:
    """Whether a column of hours is headed as people's or a standstill's, none of the pump's.

    >>> hours_of_people("Labour hrs"), hours_of_people("Run hours")
    (True, False)
    """
    return bool(_PEOPLES & set(tokens(heading)))


def part_options() -> tuple[tuple[str, str], ...]:
    """All that a part's cell may be read as, with its words."""
    found: list[tuple[str, str]] = []
    for part, words in FITTED_WORDS.items():
        found.append((part, words))
        if part in TURNS:
            found.append((part + _TURNED, Message("{part}, turned", part=words)))
    both = Message("static and moving packings")
    return (*found, (BOTH_PACKINGS, both), (LEAVE_OUT, Message("None of these: leave out")))


def why_options() -> tuple[tuple[str, str], ...]:
    """All that a reason's cell may be read as."""
    return tuple((why, Message(why)) for why in get_args(Why))


def parts_meant(value: str) -> tuple[tuple[str, bool], ...]:
    """The parts that a reading of a part's cell stands for, each with whether it was turned."""
    return tuple((p.removesuffix(_TURNED), p.endswith(_TURNED)) for p in value.split("+"))
