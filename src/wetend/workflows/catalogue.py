"""The owner's catalogue: part numbers, suppliers, prices, stock on shelf and in the van."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from threading import Lock

from wetend.advice.stores.shelf import Shelf, Stocked, Used, fits
from wetend.errors import BadInput, NotFound, Problem
from wetend.pump.catalogue import KEPT_UNDER, CatalogueItem, StockCounted
from wetend.pump.description import Pump
from wetend.pump.usage import FITTED_WORDS, PartFitted
from wetend.records.corrections import Said, standing
from wetend.records.entries import Entry, EntryKind, Withdrawn
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.workflows import pumps
from wetend.workflows.desk import Desk
from wetend.workflows.pump_facts import day_of

KINDS: tuple[EntryKind, ...] = ("catalogue-item", "stock-counted", "withdrawn")
"""Kinds of entry that the catalogue is folded from."""
_KEEPING = Lock()


@dataclass(frozen=True)
class Row:
    """One item to keep, with what was counted of it if that was given."""

    item: CatalogueItem
    counted: StockCounted | None = None


@dataclass(frozen=True)
class ItemsView:
    """The catalogue as it stands."""

    items: tuple[Stocked, ...]
    pumps: tuple[Pump, ...]


def _same(number: str) -> str:
    """Part numbers that differ by case or blanks alone are one."""
    return "".join(number.split()).casefold()


def _own(entries: Iterable[Entry]) -> list[Said]:
    return [s for s in standing(entries) if s.entry.pump == KEPT_UNDER]


def _entries(desk: Desk) -> list[Entry]:
    found = desk.depot.entries(pump=KEPT_UNDER, kinds=KINDS)
    return list(found)


def _latest(said: Iterable[Said]) -> dict[str, tuple[Entry, CatalogueItem]]:
    """Of each number the item said last."""
    return {
        _same(s.noun.number): (s.entry, s.noun) for s in said if isinstance(s.noun, CatalogueItem)
    }


def items_of(desk: Desk) -> tuple[Stocked, ...]:
    """Every item with its last count, by name."""
    said = _own(_entries(desk))
    counts = {
        _same(s.noun.number): (s.entry, s.noun) for s in said if isinstance(s.noun, StockCounted)
    }
    found = []
    for number, (_, item) in _latest(said).items():
        counted = counts.get(number)
        if counted is None:
            found.append(Stocked(item))
            continue
        entry, count = counted
        found.append(
            Stocked(item, count.shelf, count.van, day_of(entry.at), entry.id, count.ordered)
        )
    return tuple(sorted(found, key=lambda s: (s.item.name.lower(), s.item.number)))


def shelf_of(desk: Desk, known: Mapping[str, Pump]) -> Shelf:
    """The items, and what was fitted new of them since they were counted.

    Args:
        desk: whose depot.
        known: its pumps, by key.
    """
    items = items_of(desk)
    counts = [s.count_id for s in items if s.count_id]
    return Shelf(items, _used(desk, min(counts)) if counts else (), known)


def _used(desk: Desk, since: str) -> tuple[Used, ...]:
    """Parts fitted new, entered since the first count: on a visit each once."""
    used: dict[tuple[str, str, str], Used] = {}
    for said in standing(desk.depot.since(since, kinds=("part-fitted", "withdrawn"))):
        noun, entry = said.noun, said.entry
        if isinstance(noun, PartFitted):
            place = (entry.pump, entry.visit or entry.id, noun.part)
            used.pop(place, None)
            if noun.done == "new" and noun.why != "first fitted":
                on = noun.on or day_of(entry.at)
                used[place] = Used(entry.pump, noun.part, on, entry.id)
    return tuple(used.values())


def view(desk: Desk) -> ItemsView:
    """The catalogue as it stands, and the pumps its items may be for."""
    return ItemsView(items_of(desk), pumps.described(desk, removed=True))


def find(desk: Desk, number: str) -> Stocked:
    """The item with this number.

    Raises:
        NotFound: there is none.
    """
    found = next((s for s in items_of(desk) if _same(s.item.number) == _same(number)), None)
    if found is None:
        raise NotFound(Message("The catalogue has no item “{number}”.", number=number[:60]))
    return found


def check(item: CatalogueItem, known: Sequence[Pump]) -> None:
    """Refuse an item for pumps not described, or for pumps that take different sizes of it.

    Raises:
        BadInput: says which pump, or which sizes.
    """
    by_key = {pump.key: pump for pump in known}
    strange = [key for key in item.pumps if key not in by_key]
    if strange:
        said = Message(
            "There is no pump “{strange}” in this depot; describe it first.", strange=strange[0]
        )
        raise BadInput(said, (Problem("pumps", said),))
    for part in item.parts:
        sizes = sorted({fits(by_key[key], part) for key in item.pumps})
        if len(sizes) > 1:
            said = Message(
                "These pumps take different {part} ({size}; {other}): one item can't fit both.",
                part=FITTED_WORDS[part],
                size=sizes[0],
                other=sizes[1],
            )
            raise BadInput(said, (Problem("pumps", said),))


def _made(
    desk: Desk, row: Row, before: tuple[Entry, CatalogueItem] | None, there: Stocked | None
) -> list[Entry]:
    """Entries that say what is new in a row."""
    made = []
    if before is None or before[1] != row.item:
        corrects = before[0].id if before else None
        made.append(desk.new("catalogue-item", row.item, pump=KEPT_UNDER, corrects=corrects))
    count = row.counted
    if count is not None and not _counted_so(there, count):
        made.append(desk.new("stock-counted", count, pump=KEPT_UNDER))
    return made


def _counted_so(there: Stocked | None, count: StockCounted) -> bool:
    """Whether an import says the same of the shelf as the last count, or nothing yet."""
    if there is None or there.counted is None:
        return not (count.shelf or count.van or count.ordered)
    return (there.shelf, there.van, there.ordered) == (count.shelf, count.van, count.ordered)


def keep(desk: Desk, rows: Sequence[Row]) -> int:
    """Save items, all or none; what says the same again adds nothing. How many entries were added.

    Raises:
        BadInput: an item can't be kept; a problem a row, counted from 1.
    """
    known = pumps.described(desk, removed=True)
    problems = []
    for number, row in enumerate(rows, start=1):
        try:
            check(row.item, known)
        except BadInput as bad:
            problems.append(
                Problem(
                    f"{number}",
                    Message(
                        "Item {count} ({number}): {bad}",
                        count=number,
                        number=row.item.number,
                        bad=bad,
                    ),
                )
            )
    if problems:
        raise BadInput(joined(" ", (p.sentence for p in problems[:5])), tuple(problems))
    with _KEEPING:
        held = _latest(_own(_entries(desk)))
        stocked = {_same(s.item.number): s for s in items_of(desk)}
        last = {_same(row.item.number): row for row in rows}  # of a number given twice the last
        made = [
            entry for number, row in last.items()
            for entry in _made(desk, row, held.get(number), stocked.get(number))
        ]  # fmt: skip
        desk.keep_all(made)
    return len(made)


def save(desk: Desk, item: CatalogueItem, *, was: str = "") -> CatalogueItem:
    """Save one item, new or changed; ``was`` is its number before, where that changes.

    Raises:
        BadInput: it is for pumps that take different sizes, or another item has its number.
    """
    check(item, pumps.described(desk, removed=True))
    with _KEEPING:
        held = _latest(_own(_entries(desk)))
        mine = held.get(_same(was or item.number))
        other = held.get(_same(item.number))
        if was and other is not None and other != mine:
            said = Message(
                "Part number: “{number}” is taken by {name}.",
                number=item.number,
                name=other[1].name,
            )
            raise BadInput(said, (Problem("number", said),))
        there = next((s for s in items_of(desk) if mine and s.item == mine[1]), None)
        made = _made(desk, Row(item), mine, None)
        if there is not None and there.counted and _same(was or item.number) != _same(item.number):
            count = StockCounted(
                number=item.number, shelf=there.shelf, van=there.van, ordered=there.ordered
            )
            made.append(desk.new("stock-counted", count, pump=KEPT_UNDER))
        desk.keep_all(made)
    return item


def count(desk: Desk, counted: StockCounted) -> Entry:
    """Save what was counted of an item; the same number counted again counts again.

    Raises:
        NotFound: the catalogue has no such item.
    """
    find(desk, counted.number)
    return desk.keep("stock-counted", counted, pump=KEPT_UNDER)


def drop(desk: Desk, number: str) -> None:
    """Take an item out of the catalogue; its entries stay in the record.

    Raises:
        NotFound: the catalogue has no such item.
    """
    find(desk, number)
    with _KEEPING:
        entries, made = _entries(desk), list[Entry]()
        chain = _chain(entries, number)
        while True:
            left = [s for s in _own([*entries, *made]) if s.entry.id in chain]
            if not left:
                break
            gone = Withdrawn(reason=Message("taken out of the catalogue"))
            made += [desk.new("withdrawn", gone, pump=KEPT_UNDER, corrects=s.entry.id)
                     for s in left]  # fmt: skip
        desk.keep_all(made)


def _chain(entries: Sequence[Entry], number: str) -> set[str]:
    """Ids of all that was said of a number, and of what that took the place of."""
    by_id = {e.id: e for e in entries}
    found: set[str] = set()
    for said in _own(entries):
        entry: Entry | None = said.entry if _is_of(said.noun, number) else None
        while entry is not None:
            found.add(entry.id)
            entry = by_id.get(entry.corrects or "")
    return found


def _is_of(noun: Noun, number: str) -> bool:
    return isinstance(noun, CatalogueItem | StockCounted) and _same(noun.number) == _same(number)
