"""The record line by line: who, when, what; withdrawn and restored."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass

from wetend.advice.rebuild.entered import check_fits
from wetend.errors import BadInput, NotFound
from wetend.pump.description import Pump
from wetend.pump.readings import Photo
from wetend.pump.usage import PartFitted, Usage
from wetend.records.corrections import standing, taken_back
from wetend.records.entries import (
    BY_FIELD,
    NO_PUMP,
    PAYLOADS,
    Entry,
    Withdrawn,
    said_by,
    unread_why,
)
from wetend.records.fold import Visit, fold_visit
from wetend.units.fields import Field, fields_of, read
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.show import show
from wetend.workflows.desk import Desk

KIND_WORDS: Mapping[str, str] = {
    "pump-described": Message("Pump described"),
    "visit-started": Message("Visit started"),
    "make-safe": Message("Make-safe list"),
    "complaint": Message("Complaint"),
    "coating": Message("Coating"),
    "check-readings": Message("Running checks"),
    "tool-bag": Message("Tools to hand"),
    "strip-progress": Message("Strip, steps done"),
    "rebuild-progress": Message("Rebuild, steps done"),
    "ball": Message("Ball measured"),
    "seat": Message("Seat measured"),
    "rod": Message("Rod measured"),
    "cylinder": Message("Cylinder measured"),
    "seal-land": Message("Seal land measured"),
    "packings": Message("Packings measured"),
    "solvent-test": Message("Solvent test"),
    "stack": Message("Seal stack"),
    "proof": Message("Proof readings"),
    "set-up": Message("Settings requested"),
    "photo": Message("Photo"),
    "note": Message("Remark"),
    "sign-off": Message("Signed off"),
    "usage": Message("Use of the pump"),
    "part-fitted": Message("Part fitted"),
    "nozzle": Message("Nozzle measured"),
    "catalogue-item": Message("Item of the catalogue"),
    "stock-counted": Message("Stock counted"),
    "site": Message("The site"),
    "mixed": Message("Two-pack mixed"),
    "flushed": Message("Flushed"),
    "incident": Message("Near miss or injury"),
    "pump-ran": Message("Pump ran again"),
    "import": Message("History imported"),
    "pump-removed": Message("Pump removed from the lists"),
    "act-skipped": Message("Could not be done"),
}
"""Kinds of entry as people call them; another kind is called by its own name."""
_MOST_FIELDS = 12
_BY_FIELD = tuple(PAYLOADS[kind] for kind in BY_FIELD)
"""What an entry says of these names only what it changes; so a blank there empties."""


@dataclass(frozen=True)
class Line:
    """One entry as the record page shows it."""

    entry: Entry
    what: str
    says: tuple[tuple[str, str], ...]
    """Fields it names, each with its value as people read it."""
    withdrawn: bool
    withdrawn_by: str
    why: str
    """Why it is left out of what is shown, if it is."""
    after_sign_off: bool
    brought_in: str = ""
    """Id of the import it came with."""
    corrected: bool = False
    """Whether a later entry, which corrects it, counts in its place."""

    @property
    def can_withdraw(self) -> bool:
        """Whether it can be withdrawn."""
        return not self.withdrawn and not self.corrected and self.entry.kind != "pump-described"


@dataclass(frozen=True)
class RecordView:
    """All that was entered for a visit, or for a pump outside its visits, the newest first."""

    pump: Pump
    visit: Visit | None
    lines: tuple[Line, ...]


def _value(value: object, known: Field, system: System) -> str:
    if isinstance(value, bool):
        return Message("yes") if value else Message("no")
    if value is None or value in ((), "", {}):
        return Message("emptied")
    if isinstance(value, tuple):
        return joined(", ", (_value(v, known, system) for v in value[:_MOST_FIELDS]))
    if isinstance(value, dict):
        return joined(", ", (joined(" ", (k, _value(v, known, system))) for k, v in value.items()))
    if known.unit is not None and isinstance(value, int | float):
        return show(float(value), known.unit, system)
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, Noun):
        return Message("described")
    text = str(value)
    return Message(text) if text in known.choices else text[:200]


def says_of(
    noun: Noun | None, system: System, filled: Container[str]
) -> tuple[tuple[str, str], ...]:
    """The fields an entry names, in words; ``filled`` are those that held something before it."""
    if noun is None:
        return ((Message("content"), Message("not readable by this version")),)
    if isinstance(noun, Pump):
        return ((Message("name"), noun.name),)
    found, by_field = [], isinstance(noun, _BY_FIELD)
    for known in fields_of(type(noun)):
        value = getattr(noun, known.name)
        if known.name == "brought_in" or known.name not in noun.model_fields_set:
            continue
        set_back = by_field and known.name in filled
        if value != known.default or known.required or set_back:
            found.append((known.label, _value(value, known, system)))
    return tuple(found[:_MOST_FIELDS])


def _filled_before(entries: Sequence[Entry]) -> dict[str, frozenset[str]]:
    """For each entry, by its id, the fields that one of its kind before it had given."""
    given: dict[str, frozenset[str]] = {}
    found = {}
    for entry in entries:
        found[entry.id] = given.get(entry.kind, frozenset())
        noun = said_by(entry)
        names = () if noun is None else noun.model_fields_set
        more = (n for n in names if getattr(noun, n, None) not in (None, (), "", {}))
        given[entry.kind] = found[entry.id].union(more)
    return found


def _lines(
    entries: Sequence[Entry], left_out: Mapping[str, str], signed: str, system: System
) -> tuple[Line, ...]:
    """``signed`` is the id of the first sign-off that stands, blank before."""
    stands, gone = {s.entry.id for s in standing(entries)}, taken_back(entries)
    back = {e.corrects: e for e in entries if e.kind == "withdrawn" and e.corrects}
    lines, filled = [], _filled_before(entries)
    for entry in reversed(entries):
        if entry.kind == "withdrawn":
            continue
        noun = said_by(entry)
        taken = entry.id in gone
        by = back.get(entry.id)
        reason = said_by(by) if by is not None else None
        lines.append(
            Line(
                entry, KIND_WORDS.get(entry.kind, entry.kind),
                says_of(noun, system, filled[entry.id]), taken,
                by.who if by is not None and taken else "",
                (reason.reason if isinstance(reason, Withdrawn) and taken else "")
                or left_out.get(entry.id, "")
                or (unread_why(entry) if noun is None else ""),
                bool(signed) and entry.id > signed,
                noun.brought_in if isinstance(noun, Usage | PartFitted) else "",
                noun is not None and not taken and entry.id not in stands,
            )
        )  # fmt: skip
    return tuple(lines)


def of_visit(desk: Desk, visit_id: str) -> RecordView:
    """All that was entered in a visit."""
    visit = desk.visit(visit_id)
    signed = next((s.entry.id for s in standing(visit.entries) if s.entry.kind == "sign-off"), "")
    left_out = {u.entry.id: u.why for u in visit.unfit}
    return RecordView(visit.pump, visit, _lines(visit.entries, left_out, signed, desk.system))


def of_pump(desk: Desk, key: str) -> RecordView:
    """What was entered for a pump outside its visits, and the visits withdrawn."""
    pump = desk.pump(key)
    entries = desk.depot.entries(pump=key)
    own = [e for e in entries if e.visit is None or e.kind == "visit-started"
           or (e.kind == "withdrawn" and _starts(entries, e.corrects))]  # fmt: skip
    return RecordView(pump, None, _lines(own, {}, "", desk.system))


def _starts(entries: Sequence[Entry], entry_id: str | None) -> bool:
    return any(e.id == entry_id and e.kind == "visit-started" for e in entries)


def withdraw(desk: Desk, entry_id: str, reason: str = "") -> Entry:
    """Withdraw an entry; the entry itself stays in the record. Twice is once.

    Raises:
        NotFound: no such entry.
        BadInput: a pump's description is replaced by describing it again, not withdrawn; or the
            reason can't be kept.
    """
    entry = desk.depot.entry(entry_id)
    if entry.kind in ("pump-described", "withdrawn"):
        raise BadInput(Message("A pump's description can't be withdrawn: describe the pump again."))
    if _taken_back(desk, entry):
        return entry
    said = read(Withdrawn, {"reason": reason})
    gone = [entry, *_same_photo(desk, entry)]
    if len(gone) == 1:
        desk.keep("withdrawn", said, pump=entry.pump, visit=entry.visit, corrects=entry_id)
    else:
        desk.keep_all([
            desk.new("withdrawn", said, pump=each.pump, visit=each.visit, corrects=each.id)
            for each in gone
        ])  # fmt: skip
    return entry


def _same_photo(desk: Desk, entry: Entry) -> list[Entry]:
    """The entries of a photo from before its location was removed: their files are kept no more."""
    photo = said_by(entry)
    if not (isinstance(photo, Photo) and photo.in_place_of and entry.corrects):
        return []
    before = desk.depot.entry(entry.corrects)
    return [before, *_same_photo(desk, before)]


def put_back(desk: Desk, entry_id: str) -> Entry:
    """Restore a withdrawn entry. Twice is once.

    Raises:
        NotFound: no such entry.
        BadInput: it can't be of its pump, or a page that reads it could not be shown.
    """
    entry = desk.depot.entry(entry_id)
    taken = _taken_back(desk, entry)
    if taken:
        back = [
            desk.new(
                "withdrawn",
                Withdrawn(reason="put back"),
                pump=entry.pump,
                visit=entry.visit,
                corrects=each.id,
            )
            for each in taken
        ]
        _weigh(desk, entry, back)
        desk.keep_all(back)
    return entry


def _weigh(desk: Desk, entry: Entry, back: Sequence[Entry]) -> None:
    """An entry put back is weighed like a new one."""
    noun = said_by(entry)
    if noun is not None and entry.pump != NO_PUMP:
        check_fits(desk.pump(entry.pump), noun)
    kind = next((k for k in PAYLOADS if k == entry.kind), None)
    if entry.visit is None or kind in (None, "visit-started"):
        return
    after = fold_visit([*desk.depot.visit_entries(entry.visit), *back])
    stopped = next((u for u in after.unfit if u.entry.id == entry.id), None)
    if stopped is not None:
        raise BadInput(stopped.why)
    desk.judge(desk, after, kind)


def _taken_back(desk: Desk, entry: Entry) -> tuple[Entry, ...]:
    """The withdrawals of an entry that stand, two where two people did; none where it stands."""
    near = desk.depot.entries(pump=entry.pump)
    own = [e for e in near if e.visit == entry.visit]
    back = [e for e in own if e.kind == "withdrawn" and e.corrects == entry.id]
    undone = {e.corrects for e in own if e.kind == "withdrawn"}
    return tuple(e for e in back if e.id not in undone)


def find(view: RecordView, letters: str) -> Entry:
    """The entry of a record that a person names by its last letters.

    Raises:
        NotFound: none, or more than one, goes by them.
    """
    wanted = letters.strip().lower()
    hits = [x.entry for x in view.lines if len(wanted) >= 4 and x.entry.id.endswith(wanted)]
    if len(hits) != 1:
        raise NotFound(
            Message(
                "No single entry matches “{letters}”; the record lists them.", letters=letters[:40]
            )
        )
    return hits[0]
