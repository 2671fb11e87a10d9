"""The jobs of a rebuild and their precedence.

The strip's rules hold turned round: what came off last goes back first, a shield is on before a
tool swings near what it shields, and what needs the assembly held waits until it is held again.
To these come the rebuild's own: cleaning and greasing first, checks between, the gland last.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field

from wetend.advice.rebuild.step_words import (
    Role,
    Said,
    check_text,
    role_of,
    role_text,
    said_of,
)
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Need, Operation, must_precede
from wetend.units.quantity import S

_PULLERS = frozenset({"soft-drift", "hammer", "soft-hammer", "packing-hook"})
"""Tools that only get parts out."""
_PRESSED: frozenset[PartName] = frozenset(
    {"cage", "soft-ring", "shim", "foot-ball", "foot-seat", "piston-ball", "piston-seat",
     "moving-packings", "static-packings", "cylinder", "rod"}
)  # fmt: skip
"""Parts pressed or slid home, not struck."""
_BEFORE_GLAND: frozenset[PartName] = frozenset(
    {"rod", "cylinder", "coupling", "body", "piston", "drive", "static-packings"}
)

CLEAN: S = 300.0
SOLVENT: S = 180.0
SLIDE: S = 60.0
FILL: S = 45.0
LOOK: S = 90.0
"""Times of the rebuild's own steps (common practice, no source)."""


@dataclass(frozen=True)
class Job:
    """One step of the rebuild before it has its place."""

    role: Role
    said: Said
    operation: Operation
    """As the search over orders takes it: what it needs, and in ``after`` all that comes first."""
    undone: Operation | None
    """The strip's operation that this puts back."""


@dataclass
class _Before:
    """What must come first for each job, kept free of rings."""

    firsts: dict[str, set[str]] = field(default_factory=dict)

    def add(self, first: str, later: str) -> None:
        """Put one before another, unless that would close a ring."""
        if first != later and first not in self._after(later):
            self.firsts.setdefault(later, set()).add(first)

    def _after(self, key: str) -> set[str]:
        """All jobs that come after one."""
        found: set[str] = set()
        waiting = [key]
        while waiting:
            at = waiting.pop()
            for later, firsts in self.firsts.items():
                if at in firsts and later not in found:
                    found.add(later)
                    waiting.append(later)
        return found


Which = Callable[[Operation, Role], bool]


def _gives(*parts: PartName) -> Which:
    return lambda operation, _: bool(set(parts) & set(operation.gives))


def _is(*roles: Role) -> Which:
    return lambda _, role: role in roles


def _on(parts: Collection[PartName]) -> Which:
    return lambda operation, role: operation.part in parts and role != "gland-set"


_ALWAYS: tuple[tuple[Which, Which], ...] = (
    (_gives("foot-seat"), _gives("foot-ball", "cage")),
    (_gives("cage", "foot-ball", "foot-seat"), _gives("foot-housing", "clamp-ring")),
    (_gives("foot-housing", "clamp-ring"), lambda o, r: r == "tighten" and o.part in
        ("foot-housing", "clamp-ring")),
    (_gives("moving-packings"), _gives("cylinder")),
    (_gives("cylinder"), _gives("foot-housing", "clamp-ring")),
    (_gives("static-packings"), _is("gland-on")),
    (_is("gland-on"), _is("gland-set")),
    (_on(_BEFORE_GLAND), _is("gland-set")),
)  # fmt: skip
"""What holds in any pump, whatever its description says: first, later."""


def jobs_of(apart: Sequence[Operation]) -> tuple[Job, ...]:
    """All steps that put back the operations done in a strip, each with what must come first.

    A description's own rules, turned round, come before the common ones where they disagree.
    """
    roles = {o.key: role_of(o) for o in apart}
    before = _Before()
    for later, firsts in must_precede([_not_leading(o) for o in apart]).items():
        for first in firsts:
            before.add(later, first)
    for is_first, is_later in _ALWAYS:
        for one in apart:
            for other in apart:
                if is_first(one, roles[one.key]) and is_later(other, roles[other.key]):
                    before.add(one.key, other.key)
    own = tuple(_own(apart, roles, before))
    made = [_back(o, roles[o.key]) for o in apart]
    return tuple(_placed(job, before) for job in (*own, *made))


def _not_leading(operation: Operation) -> Operation:
    return operation.model_copy(update={"leads": False})


def _placed(job: Job, before: _Before) -> Job:
    after = tuple(sorted(before.firsts.get(job.operation.key, ())))
    operation = job.operation.model_copy(update={"after": after})
    return Job(job.role, job.said, operation, job.undone)


def _back(operation: Operation, role: Role) -> Job:
    said = said_of(operation, role)
    made = operation.model_copy(
        update={
            "title": said.title, "how": said.how, "needs": _needs_back(operation, role),
            "exposes": (), "unshields": (), "needs_held": False, "ends_hold": False,
            "gives": (), "leads": False,
        }
    )  # fmt: skip
    return Job(role, said, made, operation)


def _needs_back(operation: Operation, role: Role) -> tuple[Need, ...]:
    """The strip's tools, without those that only get a part out where it is pressed home."""
    if role == "gland-on":
        return ()
    if not _PRESSED & {operation.part, *operation.gives}:
        return operation.needs
    return tuple(n for n in operation.needs if not {c.tool for c in n.any_of} <= _PULLERS)


def _own(apart: Sequence[Operation], roles: dict[str, Role], before: _Before) -> Iterator[Job]:
    """Steps that no strip has: cleaning, checks between, the wet cup, the last look."""
    taken = {o.key for o in apart}
    yield _made("clean", "clean", taken, part="body", time=CLEAN, leads=True)
    for key, ball, seat, home in _VALVES:
        pair = [o.key for o in apart if {ball, seat} & set(o.gives)]
        if pair:
            job = _made("check", key, taken, part=seat, time=SOLVENT)
            later = [o.key for o in apart if home(o, roles[o.key])]
            _between(before, pair, job.operation.key, later)
            yield job
    slid = [o.key for o in apart if {"cylinder", "rod"} & set(o.gives)]
    if slid:
        job = _made("check", "slide", taken, part="cylinder", time=SLIDE)
        later = [o.key for o in apart if roles[o.key] in ("hang", "gland-set")]
        later += [o.key for o in apart if "coupling" in o.gives]
        _between(before, slid, job.operation.key, later)
        yield job
    glands = [key for key, role in roles.items() if role == "gland-set"]
    if glands:
        job = _made("fill", "wet-cup", taken, part="wet-cup", time=FILL)
        _between(before, glands, job.operation.key, ())
        yield job
    job = _made("look-over", "look-over", taken, part="body", time=LOOK)
    _between(before, [*before.firsts, *(o.key for o in apart)], job.operation.key, ())
    yield job


_VALVES: tuple[tuple[str, PartName, PartName, Which], ...] = (
    ("solvent-foot", "foot-ball", "foot-seat", _gives("foot-housing", "clamp-ring")),
    ("solvent-piston", "piston-ball", "piston-seat",
     lambda o, _: o.part == "piston" and not o.gives),
)  # fmt: skip
"""Check, its ball and seat, and what closes over them."""


def _made(
    role: Role, key: str, taken: set[str], *, part: PartName, time: S, leads: bool = False
) -> Job:
    said = check_text(key) if role == "check" else role_text(role)
    while key in taken:
        key += "-2"
    operation = Operation(
        key=key, title=said.title, how=said.how, part=part, time=time, leads=leads
    )
    return Job(role, said, operation, None)


def _between(before: _Before, firsts: Sequence[str], key: str, laters: Sequence[str]) -> None:
    for first in firsts:
        before.add(first, key)
    for later in laters:
        before.add(key, later)
