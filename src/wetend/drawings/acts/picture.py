"""An act drawn: what is off is gone, what moves stands on its way with one arrow.

One diagram an act, every part of it visible, the rest of the pump pale behind it, and the same view
as long as it serves: M. Agrawala, D. Phan, J. Heiser, J. Haymaker, J. Klingner, P. Hanrahan and B.
Tversky, "Designing effective step-by-step assembly instructions", ACM Transactions on Graphics 22
(2003) 828 (from memory). What moves stands out by weight and place, not by colour alone.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from wetend.drawings.acts.at_bench import AT_BENCH
from wetend.drawings.acts.between import between_of
from wetend.drawings.acts.pieces import Pieces
from wetend.drawings.acts.risks import risks_of
from wetend.drawings.acts.state import Standing
from wetend.drawings.acts.tray import places, tray
from wetend.drawings.acts.view import View, seen
from wetend.drawings.svg import tag
from wetend.drawings.words import AS_WRITTEN
from wetend.keeping import MB, kept
from wetend.pump.description import Pump
from wetend.pump.strip_graph import Operation
from wetend.units.message import Words

Used = Sequence[str] | None
"""Keys of the tools that a step is done with; not given, the first that would do of each."""


@dataclass(frozen=True)
class ActPictures:
    """Pictures of all acts on one pump, said to a reader.

    On a page the parts are drawn once (:attr:`stock`), and each picture points to them; a picture
    that stands alone carries its own.
    """

    pump: Pump
    reader: Words = AS_WRITTEN

    drawn: Pieces | None = None
    """Its parts, where they were drawn before."""

    @cached_property
    def pieces(self) -> Pieces:
        """Parts of this pump."""
        return self.drawn or Pieces(self.pump)

    @cached_property
    def stock(self) -> str:
        """All parts, to stand once on a page that shows pictures pointing to them."""
        inside = (
            tag("g", piece.markup, cls="dw dw-piece", id=f"act-{part}")
            for part, piece in self.pieces.all.items()
        )
        return tag("svg", tag("defs", *inside), cls="dw dw-stock", width="0", height="0",
                   aria_hidden="true")  # fmt: skip

    def strip(
        self, operation: Operation, done: Collection[str], *, used: Used = None,
        alone: bool = False,
    ) -> str:  # fmt: skip
        """An operation of the strip, after those done before it.

        Args:
            operation: of this pump.
            done: keys of the operations done before.
            used: keys of its tools; not given, the first that would do of each.
            alone: whether the picture carries its parts.
        """
        return self._one(operation, done, operation.title, used, back=False, alone=alone)

    def rebuild(
        self, operation: Operation, apart: Collection[str], title: str, *,
        used: Used = None, alone: bool = False,
    ) -> str:  # fmt: skip
        """An operation put back, while those others are still apart.

        Args:
            operation: of this pump's strip.
            apart: keys of the operations not yet put back, without this one.
            title: what putting it back is called.
            used: keys of its tools; not given, the first that would do of each.
            alone: whether the picture carries its parts.
        """
        return self._one(operation, apart, title, used, back=True, alone=alone)

    def _one(
        self, operation: Operation, done: Collection[str], title: str, used: Used, *,
        back: bool, alone: bool,
    ) -> str:  # fmt: skip
        act = seen(Standing.after(self.pump, done).act(operation, used), self.pieces.all)
        risks = risks_of(self.pump, operation, done, back=back)
        view = View(
            self.pieces, act, back=back, alone=alone, risks=risks, reader=self.reader
        )  # fmt: skip
        return view.drawn(title)

    def strip_steps(
        self, steps: Iterable[tuple[Operation, Used]], *, alone: bool = False
    ) -> Iterator[str]:
        """A picture of each operation of a strip with its tools, in the order they are done."""
        done: list[str] = []
        for operation, used in steps:
            yield self.strip(operation, done, used=used, alone=alone)
            done.append(operation.key)

    def rebuild_steps(
        self, steps: Sequence[tuple[str, str, Used]], *, alone: bool = False
    ) -> Iterator[str]:
        """A picture of each step of a rebuild by key, title and tools; ``""`` where none is."""
        operations = {o.key: o for o in self.pump.strip.operations}
        apart = [key for key, _, _ in steps if key in operations]
        for key, title, used in steps:
            if key in operations:
                apart.remove(key)
                yield self.rebuild(operations[key], apart, title, used=used, alone=alone)
            else:
                yield self.between(key, title, alone=alone)

    def tray(
        self, order: Sequence[Operation], apart: Collection[str], coming: Sequence[str] = (), *,
        alone: bool = False,
    ) -> str:  # fmt: skip
        """What lies on the tray: see :func:`wetend.drawings.acts.tray.places`."""
        laid = places(self.pump, order, apart, coming)
        return tray(self.pump, laid, pieces=self.pieces, alone=alone, reader=self.reader)

    def between(self, key: str, title: str, *, alone: bool = False) -> str:
        """A step of the rebuild that puts nothing back, by its key; ``""`` where none is drawn."""
        whole = next((draw for begin, draw in AT_BENCH.items() if key.startswith(begin)), None)
        if whole is not None:
            return whole(self.pieces, title, reader=self.reader, alone=alone)
        made = between_of(key)
        if made is None:
            return ""
        act = seen(made.act, self.pieces.all)
        view = View(self.pieces, act, back=False, alone=alone, made=made, reader=self.reader)
        return view.drawn(title)


@kept("pictures of acts", most=8 * MB, grows=True)
def _pieces_of(pump: Pump) -> Pieces:
    return Pieces(pump)


def pictures_of(pump: Pump, *, reader: Words = AS_WRITTEN) -> ActPictures:
    """Pictures of this pump's acts; its parts are drawn once whoever reads them."""
    return ActPictures(pump, reader, _pieces_of(pump))
