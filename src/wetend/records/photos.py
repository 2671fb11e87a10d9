"""Photo storage: files named by their hash, never by an uploaded name."""

from __future__ import annotations

import hashlib
import re
import struct
import zlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from io import BytesIO
from pathlib import Path
from typing import Literal

from wetend.errors import BadInput, NotFound, StorageFailed, TooLarge, why_not
from wetend.lazy_import import picture as pillow
from wetend.pump.readings import Photo
from wetend.records.files import make_folder, move_atomic, write_atomic
from wetend.records.temporary_files import staging_folder, sweep
from wetend.units.message import Message

MOST_BYTES = 15_000_000
"""The largest photo accepted, in bytes."""
MOST_PIXELS = 64_000_000
"""The most pixels a photo may unfold to."""

Media = Literal["image/jpeg", "image/png", "image/webp"]
SUFFIX: dict[Media, str] = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
"""How the file of each kind ends."""
_FORMAT: dict[Media, str] = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP"}
_HASH = re.compile(r"[0-9a-f]{64}")
_MOST_LOOKED_AT = 2000
NOT_WHOLE = Message("This photo is damaged; take or upload it again.")
_DECODER_FAILS = (
    OSError, SyntaxError, ValueError, TypeError, LookupError, ArithmeticError, EOFError,
    MemoryError, struct.error, zlib.error,
)  # fmt: skip


def media_of(data: bytes) -> Media:
    """What kind of picture the first bytes announce.

    Sources: ISO/IEC 10918-1 (start of image, then a marker), the PNG specification (signature,
    section 5.2), RFC 9649 (WebP container, section 2.4).

    Raises:
        BadInput: none that is kept here.
    """
    if data[:3] == b"\xff\xd8\xff":
        return "image/jpeg"
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return "image/png"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "image/webp"
    raise BadInput(Message("This photo can't be saved; upload a JPEG, PNG or WebP."))


def check_photo(data: bytes) -> Media:
    """Make sure that the bytes are one whole picture of a fair size, and say which kind.

    Raises:
        TooLarge: too many bytes or pixels.
        BadInput: not a JPEG, PNG or WebP, or not a whole one.
    """
    if len(data) > MOST_BYTES:
        raise TooLarge(
            Message(
                "This photo is larger than {most_bytes} MB; upload a smaller one.",
                most_bytes=MOST_BYTES // 1000000,
            )
        )
    media = media_of(data)
    try:
        with pillow.open(BytesIO(data), formats=(_FORMAT[media],)) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise TooLarge(
                    Message(
                        "This photo has more than {most_pixels} million pixels.",
                        most_pixels=MOST_PIXELS // 1000000,
                    )
                )
            picture.load()
    except (pillow.DecompressionBombError, pillow.DecompressionBombWarning) as error:
        raise TooLarge(
            Message(
                "This photo has more than {most_pixels} million pixels.",
                most_pixels=MOST_PIXELS // 1000000,
            )
        ) from error
    except _DECODER_FAILS as error:
        raise BadInput(NOT_WHOLE) from error
    return media


class PhotoShelf:
    """A folder of photos. Safe to share between threads and processes."""

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder
        self._looked_at: dict[str, tuple[int, int, int]] = {}

    def put(self, data: bytes) -> Photo:
        """Keep a photo, on disk when this returns; one that is there already is left as it is.

        Raises:
            TooLarge: too many bytes or pixels.
            BadInput: not a JPEG, PNG or WebP, or not a whole one.
            StorageFailed: the disk failed, or no folder for photos is named.
        """
        media = check_photo(data)
        sha = hashlib.sha256(data).hexdigest()
        path = self.path_of(sha, media)
        if not (path.is_file() and _read(path) == data):
            make_folder(path.parent, private=True)
            write_atomic(path, data)
        return Photo(sha256=sha, media=media)

    def get(self, sha: str) -> tuple[bytes, Media]:
        """A photo's bytes and kind.

        Raises:
            NotFound: no photo is kept under this hash.
            StorageFailed: the file can't be read, or is no longer what was kept.
        """
        path, media = self._find(sha)
        data = _read(path)
        if hashlib.sha256(data).hexdigest() != sha:
            raise StorageFailed(
                Message("Photo {sha} is damaged on disk; restore the last backup.", sha=sha[:12])
            )
        return data, media

    @contextmanager
    def staged(self) -> Iterator[Stage]:
        """Put photos aside, to be kept together or not at all.

        Raises:
            StorageFailed: the disk failed.
        """
        with ExitStack() as until_left:
            yield Stage(self, until_left)

    def hashes(self) -> Iterator[str]:
        """Hashes of all photos kept, in order."""
        if self.folder is not None and self.folder.is_dir():
            for path in sorted(self.folder.glob("??/*.*")):
                if _HASH.fullmatch(path.stem) and path.suffix[1:] in SUFFIX.values():
                    yield path.stem

    def holds(self, sha: str) -> bool:
        """Whether a photo is there and as it was kept."""
        try:
            self.get(sha)
        except (NotFound, StorageFailed):
            return False
        return True

    def seems_sound(self, sha: str) -> bool:
        """The same, looked at again only when the file has changed: quick, for pages."""
        try:
            found = self._find(sha)[0].stat()
        except (NotFound, OSError):
            return False
        mark = (found.st_ino, found.st_size, found.st_mtime_ns)
        if self._looked_at.get(sha) != mark:
            if not self.holds(sha):
                return False
            if len(self._looked_at) > _MOST_LOOKED_AT:
                self._looked_at.clear()
            self._looked_at[sha] = mark
        return True

    def put_aside(self, sha: str) -> None:
        """Take a damaged photo's file off the shelf, keeping it beside.

        Raises:
            NotFound: there is none.
            StorageFailed: the disk failed.
        """
        path, _ = self._find(sha)
        move_atomic(path, path.with_name(f"{path.name}.damaged"))

    def remove(self, sha: str) -> None:
        """Take a photo away.

        Raises:
            NotFound: there is none.
            StorageFailed: the disk failed.
        """
        try:
            self._find(sha)[0].unlink(missing_ok=True)
        except OSError as error:
            raise StorageFailed(
                Message("A photo can't be removed: {error}.", error=why_not(error))
            ) from error

    def clear(self) -> None:
        """Take every photo away.

        Raises:
            StorageFailed: the disk failed.
        """
        for sha in list(self.hashes()):
            self.remove(sha)

    def __contains__(self, sha: str) -> bool:
        try:
            self._find(sha)
        except NotFound:
            return False
        return True

    def path_of(self, sha: str, media: Media) -> Path:
        """Where a photo is kept.

        Raises:
            StorageFailed: no folder for photos is named.
        """
        if self.folder is None:
            raise StorageFailed(
                Message(
                    "No folder for photos is set; set WETEND_PHOTOS to the folder to save them in."
                )
            )
        return self.folder / sha[:2] / f"{sha}.{SUFFIX[media]}"

    def _find(self, sha: str) -> tuple[Path, Media]:
        if self.folder is not None and _HASH.fullmatch(sha):
            for media in SUFFIX:
                path = self.path_of(sha, media)
                if path.is_file():
                    return path, media
        raise NotFound(Message("There is no such photo in this record."))


class Stage(PhotoShelf):
    """Photos put aside within a shelf's folder until :meth:`keep` gives them their places."""

    def __init__(self, shelf: PhotoShelf, until_left: ExitStack) -> None:
        super().__init__(None)
        self._shelf, self._until_left = shelf, until_left
        self.moved: list[str] = []
        """Hashes of those that were given their places."""

    def put(self, data: bytes) -> Photo:
        """Put a photo aside; its errors are those of :meth:`PhotoShelf.put`."""
        if self.folder is None and self._shelf.folder is not None:
            self.folder = self._begun(self._shelf.folder)
        return super().put(data)

    def _begun(self, within: Path) -> Path:
        """A folder on the shelf's own disk; what a killed one left there is cleared away."""
        make_folder(within, private=True)
        sweep(within)
        try:
            return self._until_left.enter_context(staging_folder(within))
        except OSError as error:
            raise StorageFailed(
                Message("{name} can't be written: {error}.", name=within.name, error=why_not(error))
            ) from error

    def keep(self) -> None:
        """Move all to their places on the shelf, to last; sound ones there already are left.

        Raises:
            StorageFailed: the disk failed.
        """
        for sha in self.hashes():
            path, media = self._find(sha)
            if not self._shelf.holds(sha):
                move_atomic(path, self._shelf.path_of(sha, media))
                self.moved.append(sha)


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise StorageFailed(
            Message("A photo can't be read: {error}.", error=why_not(error))
        ) from error
