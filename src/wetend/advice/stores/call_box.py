r"""What to put in the box for one call: the best chance of a repair at the first visit.

Each fault that may be behind the complaint wants one of several sets of parts. For every sum of
wants its probability is known, and

.. math:: P(\text{repaired} \mid \text{box}) = \sum_{wants \subseteq box} P(wants)

is computed for every possible box at once (a sum over subsets), so the best that fits is exact.
Which parts a fault wants how often, and how much room they take, is common practice without a
source, ours and rough.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULTS
from wetend.errors import TooLarge
from wetend.units.message import Message
from wetend.units.quantity import M3, Ratio

Floats = NDArray[np.float64]
Want = frozenset[str]
L = 1e-3
MOST_ITEMS = 18


@dataclass(frozen=True)
class BoxItem:
    """Something to carry: what it covers and the room it takes."""

    key: str
    title: str
    covers: Want
    room: M3


ITEMS: tuple[BoxItem, ...] = (
    BoxItem("foot-ball", Message("foot-valve ball"), frozenset({"foot-ball"}), 0.05 * L),
    BoxItem("foot-seat", Message("foot-valve seat"), frozenset({"foot-seat"}), 0.15 * L),
    BoxItem("soft-rings", Message("soft rings and shims"), frozenset({"soft-rings"}), 0.1 * L),
    BoxItem("cage", Message("foot-valve cage"), frozenset({"cage"}), 0.3 * L),
    BoxItem("piston-ball", Message("piston ball"), frozenset({"piston-ball"}), 0.05 * L),
    BoxItem("piston-seat", Message("piston seat"), frozenset({"piston-seat"}), 0.15 * L),
    BoxItem("moving-packings", Message("moving packings"), frozenset({"moving-packings"}), 0.3 * L),
    BoxItem("static-packings", Message("static packings"), frozenset({"static-packings"}), 0.3 * L),
    BoxItem(
        "repack-kit",
        Message("repack kit: both packings and soft rings"),
        frozenset({"moving-packings", "static-packings", "soft-rings"}),
        0.6 * L,
    ),
    BoxItem("cylinder", Message("cylinder"), frozenset({"cylinder"}), 3.0 * L),
    BoxItem("rod", Message("rod"), frozenset({"rod"}), 2.5 * L),
    BoxItem("nozzle", Message("nozzles, two sizes"), frozenset({"nozzle"}), 0.1 * L),
    BoxItem(
        "outlet-filter",
        Message("outlet filter and gun filter"),
        frozenset({"outlet-filter"}),
        0.2 * L,
    ),
    BoxItem(
        "strainer", Message("strainer, suction seals and clips"), frozenset({"strainer"}), 0.6 * L
    ),
    BoxItem("drive-kit", Message("drive's valve and seal kit"), frozenset({"drive-kit"}), 1.5 * L),
    BoxItem("hose-kit", Message("hose whip and dump valve"), frozenset({"hose-kit"}), 2.0 * L),
)
"""What may go into the box."""


@dataclass(frozen=True)
class BoxChoice:
    """The best box of a size."""

    items: tuple[BoxItem, ...]
    room: M3
    chance: Ratio
    """Of a repair at the first visit."""
    empty_chance: Ratio
    """With no parts at all."""
    full_chance: Ratio
    """With everything there is to carry."""
    without: tuple[tuple[str, Ratio], ...]
    """For each item carried, what the chance falls to without it."""
    curve: tuple[tuple[M3, Ratio], ...]
    """Best chance for each size of box, where it grows."""


def wants_of(faults: Mapping[Fault, Ratio]) -> dict[Want, Ratio]:
    """Probability of every set of parts wanted, given the chance of each fault.

    Faults count as independent; that none is there is left out, as someone was called.
    """
    found: dict[Want, Ratio] = {frozenset(): 1.0}
    none = 1.0
    for fault, chance in faults.items():
        if chance <= 0:
            continue
        none *= 1.0 - chance
        found = _with_fault(found, min(chance, 1.0), fault.wants)
    if none < 1.0:
        found[frozenset()] = max(found.get(frozenset(), 0.0) - none, 0.0)
    total = sum(found.values())
    return {want: p / total for want, p in found.items()} if total > 0 else {frozenset(): 1.0}


def _with_fault(
    before: Mapping[Want, Ratio], chance: Ratio, ways: Iterable[tuple[Ratio, tuple[str, ...]]]
) -> dict[Want, Ratio]:
    after: dict[Want, Ratio] = {}
    choices = [(1.0 - chance, ()), *((chance * share, parts) for share, parts in ways)]
    for (want, p), (share, parts) in itertools.product(before.items(), choices):
        joined = want | frozenset(parts)
        after[joined] = after.get(joined, 0.0) + p * share
    return after


def _mended(items: Sequence[BoxItem], wants: Mapping[Want, Ratio]) -> tuple[Floats, Floats]:
    """For every box, as a row of bits: chance of repair, and room taken."""
    names = sorted(set().union(*(i.covers for i in items), *wants))
    bit = {name: 1 << place for place, name in enumerate(names)}
    subset = np.zeros(1 << len(names))
    for want, p in wants.items():
        subset[sum(bit[name] for name in want)] += p
    for place in range(len(names)):  # sum over subsets, one part at a time
        halves = subset.reshape(-1, 2, 1 << place)
        halves[:, 1] += halves[:, 0]
    covered = np.zeros(1 << len(items), dtype=np.int64)
    room = np.zeros(1 << len(items))
    for place, item in enumerate(items):
        half = 1 << place
        covered[half : 2 * half] = covered[:half] | sum(bit[name] for name in item.covers)
        room[half : 2 * half] = room[:half] + item.room
    return subset[covered], room


def best_box(
    faults: Mapping[Fault, Ratio], *, room: M3, items: Sequence[BoxItem] = ITEMS
) -> BoxChoice:
    """The box of at most this room with the best chance; of equals, the one that takes least.

    Raises:
        TooLarge: more than eighteen items to choose from.
    """
    if len(items) > MOST_ITEMS:
        raise TooLarge(
            Message(
                "At most {most_items} items can be weighed against each other.",
                most_items=MOST_ITEMS,
            )
        )
    chance, taken = _mended(items, wants_of(faults))
    place = _best(chance, taken, room)
    chosen = [i for i in range(len(items)) if place >> i & 1]
    return BoxChoice(
        items=tuple(items[i] for i in chosen), room=float(taken[place]),
        chance=float(chance[place]), empty_chance=float(chance[0]),
        full_chance=float(chance[-1]),
        without=tuple((items[i].title, float(chance[place & ~(1 << i)])) for i in chosen),
        curve=_curve(chance, taken),
    )  # fmt: skip


def _best(chance: Floats, taken: Floats, room: M3) -> int:
    fits = taken <= room * (1 + 1e-9)
    top = chance[fits].max()
    good = np.flatnonzero(fits & (chance >= top - 1e-12))
    return int(good[np.argmin(taken[good])])


def _curve(chance: Floats, taken: Floats) -> tuple[tuple[M3, Ratio], ...]:
    """Best chance for each room, at the rooms where it grows by a hundredth or more."""
    order = np.argsort(taken, kind="stable")
    best = np.maximum.accumulate(chance[order])
    found: list[tuple[M3, Ratio]] = []
    for room, p in zip(taken[order], best, strict=True):
        if not found or p > found[-1][1] + 0.01:
            found.append((float(room), float(p)))
    return tuple(found)


FIRST_GUESS: Ratio = 0.12
SUSPECTED: Ratio = 0.5


def faults_before_checks(
    suspected: Sequence[Fault], leaning: Mapping[Fault, Ratio]
) -> dict[Fault, Ratio]:
    """Chances of the faults before anyone has run a check: what is seen, and what the parts lived.

    Our own rough start: 12 % each, 50 % where the symptom table points to it.
    """
    return {
        fault: min(
            (SUSPECTED if fault in suspected else FIRST_GUESS) * leaning.get(fault, 1.0), 0.9
        )
        for fault in FAULTS
    }
