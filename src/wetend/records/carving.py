"""Recovers rows from a damaged SQLite file page by page, without its b-trees.

Every entry carries its checksum and none is ever changed, so a row that reads right is genuine
wherever it stands. Source: SQLite documentation, «Database File Format», sections 1.6, B-tree
Pages, and 2.1, Record Format.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from wetend.records.damage import Damaged
from wetend.records.entries import Entry
from wetend.records.rows import NAMES, entries_of
from wetend.records.write_ahead import Log, read_log

_TABLE_LEAF, _INDEX_LEAF, _INDEX_INNER = 0x0D, 0x0A, 0x02
_MOST_COLUMNS = 40
_LONGEST = 4_000_000
"""Bytes; the longest payload of an entry is less than half of that."""
_INTEGERS = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}
_ID = re.compile(r"[0-9a-f]{12}7[0-9a-f]{19}")
_ENTRY_HEAD = re.compile(rb"[\x0c-\x24]\x4d", re.DOTALL)
Value = str | bytes | int | None
PageAt = Callable[[int], bytes]


class Pages:
    """The pages of an SQLite file as of its last commit, unreadable ones blank."""

    def __init__(self, path: Path) -> None:
        """Read the log; the pages themselves are read as they are wanted."""
        wal = path.with_name(f"{path.name}-wal")
        self.log = read_log(wal.read_bytes()) if wal.exists() else Log()
        self.unreadable = 0
        """Pages the disk could not read."""
        self._file = path.open("rb", buffering=0)
        self.size = _page_size(self._file.read(100))
        whole = path.stat().st_size // self.size
        self.count = self.log.size or whole

    def at(self, number: int) -> bytes:
        """A page by its number, from 1; blank where there is none."""
        image = self.log.pages.get(number)
        if image is not None:
            return image
        try:
            self._file.seek((number - 1) * self.size)
            return self._file.read(self.size)
        except OSError:  # the disk can't read this piece
            self.unreadable += 1
            return b""

    def all(self) -> Iterator[tuple[int, bytes]]:
        """Every page with its number."""
        for number in range(1, self.count + 1):
            yield number, self.at(number)

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()


def _page_size(header: bytes) -> int:
    """The page size the header says, or that of all files this program makes."""
    said = int.from_bytes(header[16:18], "big")
    said = 65536 if said == 1 else said
    return said if said in {2**n for n in range(9, 17)} else 4096


def rows_in(pages: Pages) -> Iterator[list[Value]]:
    """Every row of every table that can be read; of a damaged log what lies beyond that too."""
    for number, page in pages.all():
        yield from _rows(page, 100 if number == 1 else 0, pages.size, pages.at)
    for page in pages.log.beyond if pages.log.damaged else ():
        yield from _rows(page, 0, pages.size, pages.at)


def rows_by_shape(pages: Pages) -> Iterator[list[Value]]:
    """What may be rows of entries anywhere in the file, though no page leads to them any more.

    A record of an entry begins with the length of its head and the type of an id's text.
    """
    for _, page in pages.all():
        for found in _ENTRY_HEAD.finditer(page):
            at = found.start()
            length = _length(page[at:])
            if length:
                row = _record(_payload(page, at, length, pages.size - 35, pages.at))
                if row is not None:
                    yield row


def _length(data: bytes) -> int:
    """How long a record is by its head; zero where it can be none of an entry's."""
    head, at = _varint(data, 0)
    whole, columns = head, 0
    while at < head:
        kind, at = _varint(data, at)
        whole += _size(kind)
        columns += 1
    return whole if at == head and columns in (len(NAMES), len(NAMES) + 1) else 0


def entries_in_log(data: bytes) -> list[Entry]:
    """Every sound entry on any page of a log, whether SQLite would still find it or not."""
    log = read_log(data)
    images = [*log.pages.values(), *log.beyond]
    size = len(images[0]) if images else 0
    rows = (row for image in images for row in _rows(image, 0, size, lambda _number: b""))
    return entries_of([row for row in rows if len(row) == len(NAMES) + 1])[0]


def named_in_indexes(pages: Pages, kinds: Sequence[str]) -> dict[str, Damaged]:
    """Every entry the indexes speak of, by id."""
    found: dict[str, Damaged] = {}
    for _, page in pages.all():
        for row in _keys(page, pages.size, pages.at):
            match row:
                case [str() as key, str() as made, int()] if _ID.fullmatch(made):
                    before = found.setdefault(made, Damaged(made))
                    found[made] = _with_key(before, key, kinds)
    return found


def _with_key(before: Damaged, key: str, kinds: Sequence[str]) -> Damaged:
    """What one more index says of an entry: its visit, its kind or its pump."""
    kind, pump, visit = before.kind, before.pump, before.visit
    if _ID.fullmatch(key):
        visit = key
    elif key in kinds:
        kind = key
    else:
        pump = key
    return Damaged(before.id, kind, pump, visit)


def _rows(page: bytes, start: int, size: int, page_at: PageAt) -> Iterator[list[Value]]:
    if len(page) != size or page[start] != _TABLE_LEAF:
        return
    for cell in _cells(page, start, start + 8):
        length, at = _varint(page, cell)
        _, at = _varint(page, at)  # the row's number
        row = _record(_payload(page, at, length, size - 35, page_at))
        if row is not None:
            yield row


def _keys(page: bytes, size: int, page_at: PageAt) -> Iterator[list[Value]]:
    if len(page) != size or page[0] not in (_INDEX_LEAF, _INDEX_INNER):
        return
    inner = page[0] == _INDEX_INNER
    most = (size - 12) * 64 // 255 - 23
    for cell in _cells(page, 0, 12 if inner else 8):
        length, at = _varint(page, cell + (4 if inner else 0))
        row = _record(_payload(page, at, length, most, page_at))
        if row is not None:
            yield row


def _cells(page: bytes, start: int, pointers: int) -> Iterator[int]:
    count = int.from_bytes(page[start + 3 : start + 5], "big")
    for n in range(min(count, len(page) // 4)):
        at = int.from_bytes(page[pointers + 2 * n : pointers + 2 * n + 2], "big")
        if pointers < at < len(page) - 3:
            yield at


def _payload(page: bytes, at: int, length: int, most: int, page_at: PageAt) -> bytes:
    """A cell's content, the part on other pages fetched; shorter where it can't be."""
    if length <= most:
        return page[at : at + length]
    size = len(page)
    least = (size - 12) * 32 // 255 - 23
    local = least + (length - least) % (size - 4)
    local = local if local <= most else least
    found = [page[at : at + local]]
    following = int.from_bytes(page[at + local : at + local + 4], "big")
    left = length - local
    while 0 < left < _LONGEST and following:
        more = page_at(following)
        following = int.from_bytes(more[:4], "big")
        found.append(more[4 : 4 + min(left, size - 4)])
        left -= size - 4
    return b"".join(found)


def _record(data: bytes) -> list[Value] | None:
    """The values of a record; ``None`` where it is none, or not all there."""
    head, at = _varint(data, 0)
    kinds: list[int] = []
    while at < head <= len(data) and len(kinds) <= _MOST_COLUMNS:
        kind, at = _varint(data, at)
        kinds.append(kind)
    if at != head or not kinds or len(kinds) > _MOST_COLUMNS:
        return None
    values: list[Value] = []
    for kind in kinds:
        length = _size(kind)
        if at + length > len(data):
            return None
        values.append(_value(kind, data[at : at + length]))
        at += length
    return values


def _size(kind: int) -> int:
    """Bytes of a value of a serial type."""
    return _INTEGERS.get(kind, 8 if kind == 7 else (kind - 12) // 2 if kind >= 12 else 0)


def _value(kind: int, data: bytes) -> Value:
    if kind >= 13 and kind % 2:
        return data.decode("utf-8", "surrogateescape")
    if kind in _INTEGERS:
        return int.from_bytes(data, "big", signed=True)
    if kind in (8, 9):
        return kind - 8
    return None if kind == 0 else data


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A number of one to nine bytes, and where it ends."""
    value = 0
    for n in range(9):
        if at >= len(data):
            return value, at
        byte = data[at]
        at += 1
        if n == 8:
            return value << 8 | byte, at
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            break
    return value, at
