"""What was learned of parts' lives, kept in this person's cache folder from one start to the next.

A belief is cached under a digest of all its inputs: the lives, the prior, the draws asked for,
and the calculation itself. So none is ever out of date, none tells of a record what another holds,
and whoever writes the same one at the same time writes the same bytes. A file that is damaged is as
good as none, and the oldest go.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from platformdirs import user_cache_path

from wetend.errors import StorageFailed
from wetend.keeping import constant
from wetend.records.files import make_folder
from wetend.stats.life import belief as calculation
from wetend.stats.life.belief import LifeBelief, LifePrior
from wetend.stats.lifetimes import Lifetimes

Floats = NDArray[np.float64]

MOST = 160
"""Beliefs kept, two of each of ten parts (by the prior alone, and by what the others say), each
some 90 kB at most: eight depots' worth."""
_ENDING = ".belief"


class LearnedShelf:
    """Beliefs in a folder; without one, or where it can't be used, all are learned again."""

    def __init__(self, folder: Path | None) -> None:
        """Nothing is read or written yet."""
        self._folder = folder

    def believe(
        self, lives: Lifetimes, prior: LifePrior, *, draws: int = 1000, seed: int = 1
    ) -> LifeBelief:
        """As :func:`wetend.stats.life.belief.believe`, read where it was learned before."""
        if self._folder is None:
            return calculation.believe(lives, prior, draws=draws, seed=seed)
        file = self._folder / f"{_digest(lives, prior, draws, seed)}{_ENDING}"
        found = _read(file)
        if found is None:
            found = calculation.believe(lives, prior, draws=draws, seed=seed)
            with suppress(OSError, StorageFailed):
                self._write(file, _bytes_of(found))
        return found

    def _write(self, file: Path, data: bytes) -> None:
        """Give a file its name once it is whole, and let the oldest go."""
        make_folder(file.parent, private=True)
        fresh = file.with_name(f"{file.name}.{os.getpid()}")
        fresh.write_bytes(data)
        fresh.replace(file)
        by_age = sorted(_ages(file.parent))
        for _, old in by_age[:-MOST]:
            old.unlink(missing_ok=True)


def _ages(folder: Path) -> Iterator[tuple[float, Path]]:
    """When each file was written or last read, those half-written long ago too."""
    for file in folder.iterdir():
        if _ENDING in file.name:
            with suppress(OSError):
                yield file.stat().st_mtime, file


@constant("sources of beliefs")
def _sources() -> bytes:
    """A digest of what computes beliefs."""
    whole = sha256()
    for source in sorted(Path(calculation.__file__).parent.glob("*.py")):
        whole.update(source.read_bytes())
    for name in ("numpy", "scipy"):
        whole.update(version(name).encode())
    return whole.digest()


def _digest(lives: Lifetimes, prior: LifePrior, draws: int, seed: int) -> str:
    whole = sha256(_sources())
    whole.update(
        repr((draws, seed, prior.log_scale, prior.log_scale_deviation, prior.early)).encode()
    )
    for array in (*vars(lives).values(), prior.means, prior.deviations):
        whole.update(repr((array.shape, array.dtype.str)).encode())
        whole.update(np.ascontiguousarray(array).tobytes())
    return whole.hexdigest()[:40]


def _bytes_of(belief: LifeBelief) -> bytes:
    head = {
        "shape": belief.coefficients.shape, "weibull_chance": belief.weibull_chance,
        "failures": belief.failures, "effective": belief.effective,
        "mixed": belief.early is not None,
    }  # fmt: skip
    rest = b"\n".join((
        json.dumps(head).encode(),
        belief.coefficients.tobytes() + belief.scales.tobytes()
        + (b"" if belief.early is None else belief.early.tobytes()) + belief.weibull.tobytes(),
    ))  # fmt: skip
    return sha256(rest).hexdigest().encode() + b"\n" + rest


def _read(file: Path) -> LifeBelief | None:
    try:
        data = file.read_bytes()
    except OSError:
        return None
    said, _, rest = data.partition(b"\n")
    if said != sha256(rest).hexdigest().encode():
        return None
    with suppress(OSError):
        os.utime(file)
    line, _, arrays = rest.partition(b"\n")
    head = json.loads(line)
    rows, columns = head["shape"]
    count, early = rows * columns, rows if head["mixed"] else 0
    numbers = np.frombuffer(arrays, dtype=np.float64, count=count + rows + early).copy()
    return LifeBelief(
        numbers[:count].reshape(rows, columns), numbers[count : count + rows],
        np.frombuffer(arrays, dtype=np.bool_, offset=8 * len(numbers)).copy(),
        head["weibull_chance"], head["failures"], head["effective"],
        numbers[count + rows :] if early else None,
    )  # fmt: skip


SHELF = LearnedShelf(user_cache_path("wetend") / "learned")
"""This person's."""
