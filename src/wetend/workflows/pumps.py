"""The fleet: describe a pump, list pumps, open one with its history."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from weakref import WeakKeyDictionary

from wetend.errors import BadInput, NotFound, Problem
from wetend.pump.description import Pump
from wetend.pump.guesses import still_guessed
from wetend.pump.proportion import KnownSizes, in_proportion, like_it, same_sizes
from wetend.pump.toml import DEMO_PUMPS, pump_from_toml
from wetend.records.entries import Entry, unread_why
from wetend.records.fold import HISTORY_KINDS, VisitSummary, fold_history, fold_pump, removals
from wetend.records.store import Depot
from wetend.units.message import Message
from wetend.units.noun import Line, Name
from wetend.units.show import fine_length
from wetend.workflows.desk import DESCRIBED_KINDS, Desk

_LISTED: WeakKeyDictionary[Depot, tuple[tuple[int, str], _Listed]] = WeakKeyDictionary()
"""The lines of each open depot, with the state of the record they were read from."""

RESERVED = frozenset({"new", "toml"})
"""Keys that addresses of the pages use for something else."""
NEARBY = 8
"""Pumps named in the navigation of every page."""


@dataclass(frozen=True)
class PumpLine:
    """One pump in the list, with its last visit."""

    pump: Pump
    visits: int
    last: VisitSummary | None
    open_visit: VisitSummary | None


@dataclass(frozen=True)
class LeftOut:
    """A pump that no description can be read of: the latest, and why."""

    entry: Entry
    why: str


@dataclass(frozen=True)
class _Listed:
    """The pumps of a depot by name: those in the lists, those taken out, those not readable."""

    lines: tuple[PumpLine, ...]
    removed: tuple[PumpLine, ...]
    left_out: tuple[LeftOut, ...]


@dataclass(frozen=True)
class PumpView:
    """A pump's page: the pump and every visit to it, latest first."""

    pump: Pump
    history: tuple[VisitSummary, ...]


def _by_pump(desk: Desk, kinds: Sequence[str]) -> Iterator[list[Entry]]:
    """Entries of some kinds of every pump that is described."""
    by_pump: dict[str, list[Entry]] = {}
    for entry in desk.depot.entries(kinds=kinds):
        by_pump.setdefault(entry.pump, []).append(entry)
    for own in by_pump.values():
        if any(e.kind == "pump-described" for e in own):
            yield own


def _pump_of(own: Sequence[Entry]) -> Pump | None:
    """A pump as described last; ``None`` where no description of it can be read."""
    try:
        return fold_pump(own)
    except NotFound:
        return None


def described(desk: Desk, *, removed: bool = False) -> tuple[Pump, ...]:
    """Every pump in the depot's lists as last described, by name; one not readable is left out.

    Args:
        desk: where a person works from.
        removed: whether those removed from the lists are given too.
    """
    entries = (own for own in _by_pump(desk, DESCRIBED_KINDS) if removed or not removals(own))
    found = filter(None, map(_pump_of, entries))
    return tuple(sorted(found, key=lambda pump: pump.name.lower()))


def list_pumps(desk: Desk) -> tuple[PumpLine, ...]:
    """Every pump in the lists, by name; read again only where something was entered since."""
    return _listed(desk).lines


def list_removed(desk: Desk) -> tuple[PumpLine, ...]:
    """Every pump removed from the lists, by name."""
    return _listed(desk).removed


def left_out(desk: Desk) -> tuple[LeftOut, ...]:
    """Pumps of the depot that no description can be read of."""
    return _listed(desk).left_out


def _listed(desk: Desk) -> _Listed:
    state = desk.depot.state(kinds=(*DESCRIBED_KINDS, *HISTORY_KINDS))
    held = _LISTED.get(desk.depot)
    if held is None or held[0] != state:
        held = _LISTED[desk.depot] = (state, _lines(desk))
    return held[1]


def find_pumps(lines: Sequence[PumpLine], words: str) -> tuple[PumpLine, ...]:
    """Lines whose name, key, build or site hold all these words; all where there are none."""
    wanted = words.lower().split()
    return tuple(
        line for line in lines
        if all(w in f"{line.pump.name} {line.pump.key} {line.pump.build} {line.pump.site}".lower()
               for w in wanted)
    )  # fmt: skip


def nearby(desk: Desk) -> tuple[tuple[str, str], ...]:
    """Keys and names of the pumps at hand: with an open visit first, then by their last visit."""

    def order(line: PumpLine) -> tuple[bool, float]:
        return line.open_visit is not None, line.last.started.timestamp() if line.last else 0.0

    ranked = sorted(list_pumps(desk), key=order, reverse=True)
    return tuple((line.pump.key, line.pump.name) for line in ranked[:NEARBY])


def _lines(desk: Desk) -> _Listed:
    lines: list[PumpLine] = []
    out: list[PumpLine] = []
    lost: list[LeftOut] = []
    for own in _by_pump(desk, (*DESCRIBED_KINDS, *HISTORY_KINDS)):
        pump = _pump_of(own)
        if pump is None:
            bad = next(e for e in reversed(own) if e.kind == "pump-described")
            lost.append(LeftOut(bad, unread_why(bad)))
            continue
        history = fold_history(own)
        unfinished = next((v for v in history if not v.closed), None)
        line = PumpLine(pump, len(history), history[0] if history else None, unfinished)
        (out if removals(own) else lines).append(line)
    return _Listed(_by_name(lines), _by_name(out), tuple(lost))


def _by_name(lines: Iterable[PumpLine]) -> tuple[PumpLine, ...]:
    return tuple(sorted(lines, key=lambda line: line.pump.name.lower()))


def view(desk: Desk, key: str) -> PumpView:
    """One pump and its history, latest visit first."""
    pump = desk.pump(key)
    return PumpView(pump, fold_history(desk.depot.entries(pump=key)))


def describe(desk: Desk, pump: Pump, *, new: bool = False) -> Pump:
    """Save a pump's description; a later description replaces it in what is shown.

    One removed from the lists is in them again.

    Raises:
        BadInput: ``new`` is set and the depot already lists a pump with this key; or its stack
            leaves the ball no room.
    """
    _refuse_without_room(pump)
    own = desk.depot.entries(pump=pump.key, kinds=DESCRIBED_KINDS)
    if new and _pump_of(own) is not None and not removals(own):
        raise BadInput(
            Message(
                "The depot already has a pump with the key “{key}”; choose another.", key=pump.key
            )
        )
    desk.keep("pump-described", pump, pump=pump.key)
    return pump


def _refuse_without_room(pump: Pump) -> None:
    """That no ring over the seat has a narrower hole than the seat: the ball could not rest.

    Refused as it is described, not as it is read: what a depot holds already stays readable.
    """
    kinds = [part.kind for part in pump.stack.parts]
    if "seat" not in kinds:
        return
    bore = pump.foot_valve.seat_bore
    for number, part in enumerate(pump.stack.parts):
        if number > kinds.index("seat") and part.inside < bore:
            sentence = Message(
                "“{ring}” leaves the ball no room: its hole of {hole} is narrower than the seat's "
                "{bore}.",
                ring=part.title or part.name, hole=fine_length(part.inside),
                bore=fine_length(bore),
            )  # fmt: skip
            raise BadInput(sentence, (Problem(f"stack.parts.{number}.inside", sentence),))


class NewPump(KnownSizes):
    """A pump in ten answers: what it is called, and what can be read and measured from outside."""

    name: Name
    site: Line = ""


def answers_of(pump: Pump, name: str) -> NewPump:
    """The answers that describe a pump of the depot under another name, its ratings too."""
    return NewPump(
        name=name, site=pump.site, like=pump.key, bore=pump.cylinder.bore,
        rod=pump.rod.diameter, stroke=pump.stroke, drive=pump.drive.kind, ratio=pump.drive.ratio,
        hose_bore=pump.hose[0].bore, hose_length=sum(hose.length for hose in pump.hose),
        orifice=pump.nozzle.orifice, supply_rated=pump.drive.supply_rated,
        outlet_pressure=pump.limits.outlet_pressure,
        hose_rated=min(hose.rated_pressure for hose in pump.hose),
        filter_rated=pump.filter.rated_pressure, nozzle_rated=pump.nozzle.rated_pressure,
    )  # fmt: skip


def another_name(desk: Desk, name: str) -> str:
    """A name with a number behind that no pump of the depot bears yet."""
    taken = {pump.name.casefold() for pump in described(desk, removed=True)}
    stem = re.sub(r"\s+\d+$", "", name)[:70]
    return next(f"{stem} {n}" for n in count(2) if f"{stem} {n}".casefold() not in taken)


def scaled(like: Pump, known: KnownSizes) -> Pump:
    """A pump from the answers: of the build of one described already, or scaled from it.

    Raises:
        BadInput: they make no pump.
    """
    own = like.key not in DEMO_PUMPS
    return like_it(like, known) if own and same_sizes(like, known) else in_proportion(like, known)


def describe_scaled(desk: Desk, like: Pump, known: NewPump) -> Pump:
    """Save a pump described in ten answers; its key is made from its name.

    Raises:
        BadInput: they make no pump, or one of this key is there.
    """
    named = {"key": key_from(known.name), "name": known.name, "site": known.site}
    return describe(desk, scaled(like, known).model_copy(update=named), new=True)


def key_from(name: str) -> str:
    """A key made from a name; one that the pages reserve gets an ending.

    >>> key_from("North Quay, No. 3"), key_from("New")
    ('north-quay-no-3', 'new-pump')
    """
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:63].rstrip("-") or "pump"
    return f"{plain}-pump" if plain in RESERVED else plain


def put_right(desk: Desk, key: str, pump: Pump) -> Pump:
    """Save a description put right; what differs from what was guessed is a guess no more."""
    before = desk.pump(key)
    return describe(desk, pump.model_copy(update={"guessed": still_guessed(before, pump)}))


def measured(desk: Desk, key: str, parts: Sequence[str]) -> Pump:
    """Save that what was guessed of these was measured, and is as described.

    Raises:
        BadInput: none is named, or one is no guess of this pump (any more).
    """
    pump = desk.pump(key)
    if not parts or not set(parts) <= set(pump.guessed):
        raise BadInput(Message("Tick what was measured, of what is still a guess."))
    left = tuple(part for part in pump.guessed if part not in parts)
    return describe(desk, pump.model_copy(update={"guessed": left}))


def describe_toml(desk: Desk, text: str, *, new: bool = False) -> Pump:
    """Save a pump described in TOML."""
    return describe(desk, pump_from_toml(text), new=new)
