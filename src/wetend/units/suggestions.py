"""What a mistyped name may have meant."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher, get_close_matches

from wetend.units.message import Message, as_message, joined


def near(typed: str, known: Iterable[str], *, most: int = 3) -> list[str]:
    """The known names nearest to what was typed, the nearest first; none where none is near.

    >>> near("stal_pressure", ["stall_pressure", "spray_pressure", "note"])
    ['stall_pressure']
    >>> near("Seat", ["seat", "rod"])
    ['seat']
    """
    names = {_plain(name): name for name in known}
    wanted = _plain(typed[:80])
    found = get_close_matches(wanted, names, n=most, cutoff=0.72)
    like = [SequenceMatcher(None, name, wanted).ratio() for name in found]
    return [names[name] for name, ratio in zip(found, like, strict=True) if ratio > like[0] - 0.1]


def _plain(name: str) -> str:
    return name.strip().lower().replace("_", "-").replace(" ", "-")


_KNOWN = Message("known:")


def near_or_all(typed: str, known: Iterable[str], listed: str = _KNOWN) -> str:
    """The end of a sentence that refuses a name: what may be meant, else all there is.

    Args:
        typed: what was given.
        known: what there is.
        listed: the words before the list of all.

    >>> near_or_all("sead", ["seat", "rod"]), near_or_all("xyz", ["seat", "rod"])
    ('did you mean seat?', 'known: seat, rod.')
    """
    names = list(known)
    meant = near(typed, names)
    if meant:
        return Message("did you mean {meant}?", meant=joined(Message(" or "), meant))
    return (
        Message("{listed} {names}.", listed=as_message(listed), names=joined(", ", names))
        if names
        else Message("none is known here.")
    )
