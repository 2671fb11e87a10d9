"""A user's session with a depot: its records, who they are and their units."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from threading import Lock

from wetend.errors import BadInput, NotFound
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.toml import demo_coatings
from wetend.records.entries import Entry, EntryKind, new_entry, said_by, unread_why
from wetend.records.fold import Visit, fold_pump, fold_visit
from wetend.records.store import Depot
from wetend.telling.languages import ENGLISH
from wetend.telling.reader import Reader
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.suggestions import near, near_or_all
from wetend.workflows.form_sent import FormSent, changed

DESCRIBED_KINDS: tuple[EntryKind, ...] = ("pump-described", "pump-removed", "withdrawn")
"""The kinds that say how a pump is described, and whether it is in the lists."""
KEEPING = Lock()
"""Held while a form or a mark is weighed against what others entered, and kept."""
Judge = Callable[["Desk", Visit, EntryKind], object]
"""Computes what people will be shown of a visit, and raises what stops that."""


def _unjudged(desk: Desk, visit: Visit, kind: EntryKind) -> None:
    """For work on a record that nobody is shown, such as building the demo."""


@dataclass(frozen=True)
class Desk:
    """A user's session: every entry made through it carries who and where they are."""

    depot: Depot
    who: str = ""
    place: str = ""
    device: str = ""
    system: System = "metric"
    language: str = ENGLISH
    sent: FormSent = field(default_factory=FormSent, compare=False)
    judge: Judge = field(default=_unjudged, compare=False)

    @property
    def reader(self) -> Reader:
        """Whom answers are said to."""
        return Reader(self.system, self.language)

    def new(
        self, kind: EntryKind, noun: Noun, *, pump: str, visit: str | None = None,
        corrects: str | None = None, at: datetime | None = None,
    ) -> Entry:  # fmt: skip
        """An entry of this person's, of now or of ``at``; nothing is saved yet."""
        return new_entry(
            kind, noun, pump=pump, visit=visit, who=self.who, place=self.place,
            device=self.device, corrects=corrects, at=at,
        )  # fmt: skip

    def keep(
        self, kind: EntryKind, noun: Noun, *, pump: str, visit: str | None = None,
        corrects: str | None = None, at: datetime | None = None,
        last: Callable[[], object] = lambda: None,
    ) -> Entry:  # fmt: skip
        """Write one entry, of now or of ``at``; it is durable when this returns.

        Of a form sent twice the entry is given that was kept the first time. ``last`` is called
        just before it is kept for good; if that raises, it is not.
        """
        entry = self.new(kind, noun, pump=pump, visit=visit, corrects=corrects, at=at)
        return self._append(entry, last)

    def keep_all(self, entries: Sequence[Entry]) -> None:
        """Write entries that come from one form: all or none, and once however often it is sent."""
        if entries:
            self.depot.append(*entries, act=self.sent.next_act(*entries))

    def _append(self, entry: Entry, last: Callable[[], object] = lambda: None) -> Entry:
        before = self.depot.append(entry, act=self.sent.next_act(entry), last=last)
        return entry if before is None else self.depot.entry(before)

    def visit(self, visit_id: str) -> Visit:
        """The visit as it stands, folded from its entries.

        Raises:
            NotFound: no such visit.
        """
        return fold_visit(self.depot.visit_entries(visit_id))

    def keep_in_visit(
        self, kind: EntryKind, noun: Noun, visit_id: str, *, at: datetime | None = None
    ) -> Visit:
        """Write one entry of a visit, of now or of ``at``, and give the visit as it now stands.

        Of a form only what was changed in it is written. What would stop a page that reads it is
        refused, and nothing is saved.

        Raises:
            EditConflict: someone changed the same fields since the form was opened.
            BadInput: it can't be of this pump, or a page that reads it could not be shown.
        """
        entries = self.depot.visit_entries(visit_id)
        visit = fold_visit(entries)
        own = self.depot.saved_by_form(self.sent.act)
        said = changed(kind, noun, visit, self.sent, own=own)
        if said is None:
            return visit
        entry = self.new(kind, said, pump=visit.pump.key, visit=visit_id)
        after = fold_visit([*entries, entry])
        stopped = next((u for u in after.unfit if u.entry.id == entry.id), None)
        if stopped is not None:
            raise BadInput(stopped.why)
        self.judge(self, after, kind)
        with KEEPING:
            now = self.depot.visit_entries(visit_id)
            if now[-1].id != entries[-1].id:  # someone else was quicker
                said = changed(kind, noun, fold_visit(now), self.sent, own=own)
            if said is not None:
                self._append(self.new(kind, said, pump=visit.pump.key, visit=visit_id, at=at))
        return self.visit(visit_id)

    def pump(self, key: str) -> Pump:
        """The pump as last described.

        Raises:
            NotFound: no such pump.
        """
        entries = self.depot.entries(pump=key, kinds=DESCRIBED_KINDS)
        if not entries:
            keys = {e.pump for e in self.depot.entries(kinds=("pump-described",))}
            meant = near(key, keys)
            if not meant:
                raise NotFound(Message("There is no pump “{key}” in this depot.", key=key[:60]))
            raise NotFound(
                Message(
                    "There is no pump “{key}” in this depot; did you mean {meant}?",
                    key=key[:60],
                    meant=joined(Message(" or "), meant),
                )
            )
        try:
            return fold_pump(entries)
        except NotFound:
            why = next((why for e in reversed(entries) if (why := unread_why(e))), "")
            raise NotFound(
                Message(
                    "The description of pump “{key}” can't be shown: describe it again. {why}",
                    key=key[:60],
                    why=why,
                )
            ) from None

    def coatings(self) -> tuple[Coating, ...]:
        """Coatings to choose from: those used in this depot, latest first, then the examples."""
        used: dict[str, Coating] = {}
        for entry in reversed(self.depot.entries(kinds=("coating",))):
            coating = said_by(entry)
            if isinstance(coating, Coating):
                used.setdefault(coating.key, coating)
        for coating in demo_coatings():
            used.setdefault(coating.key, coating)
        return tuple(used.values())

    def coating(self, key: str) -> Coating:
        """The coating with this key.

        Raises:
            NotFound: no such coating is known here.
        """
        found = next((c for c in self.coatings() if c.key == key), None)
        if found is None:
            known = near_or_all(key, (c.key for c in self.coatings()), Message("known here:"))
            raise NotFound(
                Message("There is no coating “{key}”; {known}", key=key[:60], known=known)
            )
        return found
