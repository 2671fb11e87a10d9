"""The exception hierarchy of the project.

::

    WetendError                 something went wrong that we can name       exit 1, status 500
    ├── BadInput                what was given cannot be used               exit 2, status 422
    │   ├── UnknownName         no unit, part, cup or calculator so named   exit 2, status 422
    │   └── TooLarge            more than we accept                         exit 2, status 413
    ├── NotFound                no such pump, visit or file                 exit 2, status 404
    ├── NotSafe                 a safety step stands before this one        exit 2, status 409
    ├── Refused                 passcode or form token missing or wrong     exit 2, status 403
    ├── NoAnswer                no solution for this input              exit 1, status 422
    └── StorageFailed           the record could not be written or read     exit 1, status 503

The web maps ``status``, the command line maps ``exit_code``. The message is one sentence that says
what is wrong and, where it can, how to correct it.
"""

from __future__ import annotations

import errno
from dataclasses import dataclass


class WetendError(Exception):
    """Base of all errors raised on purpose."""

    exit_code = 1
    status = 500
    personal = False
    """Whether it concerns one asker alone, so that another's equal question may be answered."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong with one field of an input: the field's name and a sentence."""

    field: str
    sentence: str


class BadInput(WetendError):
    """What was given cannot be used; ``problems`` says which field and why."""

    exit_code = 2
    status = 422

    def __init__(self, message: str, problems: tuple[Problem, ...] = ()) -> None:
        super().__init__(message)
        self.problems = problems


class UnknownName(BadInput):
    """No unit, part, cup, solvent or calculator goes by this name."""


class TooLarge(BadInput):
    """More bytes, strokes or rows than we accept."""

    status = 413


class NotFound(WetendError):
    """No such pump, visit, photo or file."""

    exit_code = 2
    status = 404


class NotSafe(WetendError):
    """A required safety step has not been done."""

    exit_code = 2
    status = 409


class Refused(WetendError):
    """Passcode or form token missing or wrong."""

    exit_code = 2
    status = 403


class NoAnswer(WetendError):
    """The calculation has no solution for this input; the message says why."""

    status = 422


class StorageFailed(WetendError):
    """The record could not be written or read; nothing was half-written."""

    status = 503


_NAMED = {
    "ENOSPC": "the disk is full",
    "EDQUOT": "your disk quota is used up",
    "EACCES": "you may not read or write there",
    "EPERM": "you may not read or write there",
    "EROFS": "the disk is read-only",
    "ENOENT": "it does not exist",
    "EEXIST": "something of that name exists",
    "ENOTDIR": "a file is in the place of a folder",
    "EISDIR": "it is a folder",
    "ENAMETOOLONG": "its name is too long",
    "EINVAL": "the disk does not allow that name",
    "ELOOP": "its links form a loop",
    "EMFILE": "too many files are open",
    "EBUSY": "another program uses it",
    "ETXTBSY": "another program uses it",
    "EADDRINUSE": "another program uses it",
    "EXDEV": "it is on another disk",
    "EIO": "the disk reports an error",
}
_WHY_NOT = {getattr(errno, name): why for name, why in _NAMED.items() if hasattr(errno, name)}


def why_not(error: OSError) -> str:
    """What the system refused, in our words: its own differ from one system to the next.

    >>> why_not(OSError(errno.ENOSPC, "whatever it says"))
    'the disk is full'
    """
    return _WHY_NOT.get(error.errno or 0, "the system refuses it")
