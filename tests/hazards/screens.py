"""What stands on one screen: the blocks of a page in their order, a fold or a step apart."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

_VOID = {"meta", "link", "input", "br", "img", "hr"}
_BLOCKS = {"p", "li", "dd", "dt", "h1", "h2", "h3", "summary", "caption", "legend", "label", "td"}


@dataclass
class Block:
    """A paragraph or the like: its words, whether it is a caution, and the fold it lies in."""

    tag: str
    screen: str
    """Blank on the open page; else the closed fold or the step that it lies in."""
    caution: bool
    parts: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """Its words."""
        return " ".join("".join(self.parts).split())


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, str, bool]] = []
        self.blocks: list[Block] = []
        self.made = 0

    def _now(self) -> tuple[str, bool]:
        return (self.open[-1][1], self.open[-1][2]) if self.open else ("", False)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _VOID:
            return
        named = dict(attrs)
        classes = (named.get("class") or "").split()
        screen, caution = self._now()
        self.made += 1
        if (tag == "details" and "open" not in named) or "screen" in classes:
            screen = f"{tag} {self.made}"
        if tag == "summary" and len(self.open) > 1:
            screen = self.open[-2][1]  # the line of a fold is seen where the fold lies
        caution = caution or "caution" in classes
        self.open.append((tag, screen, caution))
        if tag in _BLOCKS or "caution" in classes:
            self.blocks.append(Block(tag, screen, caution))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open[-1][0] != tag:
            self.open.pop()
        if self.open:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.blocks and self.open and any(tag in _BLOCKS for tag, _, _ in self.open):
            self.blocks[-1].parts.append(data)


def blocks_of(page: str) -> list[Block]:
    """The blocks of a page in their order."""
    reader = _Reader()
    reader.feed(page)
    return [block for block in reader.blocks if block.text]


def before(blocks: list[Block], place: int) -> tuple[str, ...]:
    """Cautions that a person has met when they come to a block: on the page, and in its fold."""
    here = blocks[place].screen
    return tuple(b.text for b in blocks[:place] if b.caution and b.screen in ("", here))
