"""Validates an entry before saving by computing what every page will show of it.

What stops a page is refused before it is kept, so that no entry can shut a visit.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping

from wetend.advice.diagnosis.diagnose import suspect
from wetend.errors import BadInput, WetendError
from wetend.records.entries import EntryKind
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.workflows import checks, handover, inspect, rebuild, standing, strip
from wetend.workflows.desk import Desk

_log = logging.getLogger(__name__)
View = Callable[[Desk, Visit], object]


def _suspicions(_: Desk, visit: Visit) -> object:
    return suspect(visit.complaint) if visit.complaint else None


def _diagnosis(desk: Desk, visit: Visit) -> object:
    return checks.diagnosis_of(visit, leanings=checks.leanings_of(desk, visit))


_BENCH: tuple[View, ...] = (
    lambda _, visit: inspect.judgements_of(visit),
    lambda _, visit: rebuild.fit_of(visit),
    lambda _, visit: rebuild.plan_of(visit),
)
_RUN: tuple[View, ...] = (
    lambda _, visit: standing.proof_of(visit),
    lambda _, visit: handover.sheet_of(visit),
)
_READ_BY: Mapping[EntryKind, tuple[View, ...]] = {
    "complaint": (_suspicions,),
    "coating": (_diagnosis, *_BENCH, *_RUN),
    "check-readings": (_diagnosis,),
    "tool-bag": (lambda _, visit: strip.plan_of(visit), *_BENCH),
    "ball": _BENCH, "seat": _BENCH, "rod": _BENCH, "cylinder": _BENCH, "seal-land": _BENCH,
    "packings": _BENCH, "solvent-test": _BENCH,
    "stack": _BENCH,
    "proof": _RUN,
    "set-up": _RUN,
}  # fmt: skip
"""By kind of entry, what is computed from it."""


def judge(desk: Desk, visit: Visit, kind: EntryKind) -> None:
    """Compute what people will be shown of a visit that holds an entry of this kind.

    Raises:
        BadInput: something can't be computed; the entry is not to be kept.
    """
    for view in _READ_BY.get(kind, ()):
        try:
            view(desk, visit)
        except BadInput:
            raise
        except WetendError as why:
            raise BadInput(str(why)) from why
        except (ArithmeticError, ValueError, LookupError, TypeError) as why:
            _log.exception("an entry of kind %s stopped a page", kind)
            raise BadInput(
                Message(
                    "With these figures nothing can be calculated, so nothing was saved: check "
                    "their units and that they are of this pump."
                )
            ) from why
