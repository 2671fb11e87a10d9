"""All acts of a visit in order, and the one that comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from wetend.records.fold import Visit
from wetend.workflows import checks, fitted, prove, rebuild, strip
from wetend.workflows.acts import checks as check_acts
from wetend.workflows.acts import handover as handover_acts
from wetend.workflows.acts import make_safe as safe_acts
from wetend.workflows.acts import parts
from wetend.workflows.acts import prove as prove_acts
from wetend.workflows.acts.act import Act, ActsView
from wetend.workflows.desk import Desk
from wetend.workflows.standing import opened
from wetend.workflows.zero import Gate, gate_of

_BELIEVED = 2


def acts_of(desk: Desk, visit_id: str) -> ActsView:
    """A visit's acts as they stand for whoever is at the desk.

    Raises:
        NotFound: no such visit.
    """
    seen = checks.view(desk, visit_id)
    visit, diagnosis = seen.visit, seen.diagnosis
    gate = gate_of(desk, visit)
    inner = [
        check_acts.complaint(visit), check_acts.coating(visit), *check_acts.acts(seen),
        *_opening(desk, visit_id, seen), *handover_acts.acts(visit),
    ]  # fmt: skip
    acts = _with_skipped(visit, _with_list(visit, gate, inner))
    found = diagnosis.findings[:_BELIEVED] if diagnosis else ()
    first = seen.look_first[0].title if seen.look_first else ""
    return ActsView(visit, acts, _next(visit, gate, acts), gate, found, seen.healthy, first)


def next_act(desk: Desk, visit_id: str) -> Act | None:
    """The act that comes next; ``None`` where nothing is due any more.

    Raises:
        NotFound: no such visit.
    """
    return acts_of(desk, visit_id).next


def _opening(desk: Desk, visit_id: str, seen: checks.ChecksView) -> list[Act]:
    """Strip, inspection, rebuild and proof. Due unless the readings say to leave it shut."""
    visit, diagnosis = seen.visit, seen.diagnosis
    due = visit.bag is not None or not (diagnosis is not None and diagnosis.leave_wet_end)
    apart, together = strip.view(desk, visit_id), rebuild.view(desk, visit_id)
    proving = list(prove_acts.acts(prove.view(desk, visit_id), due=due or opened(visit)))
    built = list(parts.rebuild(together, due=due))
    before = next((i for i, a in enumerate(built) if a.key == "solvent-foot"), None)
    if before is not None:  # its reading, taken before the pump is closed
        solvent = next(a for a in proving if a.key == "solvent")
        proving.remove(solvent)
        built.insert(before, solvent)
    return [
        parts.bag(visit, diagnosis, due=due), *parts.strip(apart, due=due),
        *parts.inspect(apart, due=due), parts.fitted(fitted.view_of(desk, visit), due=due),
        *parts.stack(together, apart, due=due), *built, *proving,
    ]  # fmt: skip


def _with_list(visit: Visit, gate: Gate, acts: Sequence[Act]) -> list[Act]:
    """The acts with the make-safe list before the first that waits for zero."""
    waits = next((i for i, a in enumerate(acts) if a.zero and a.due and a.left), None)
    place = waits if waits is not None else len(acts)
    return [*acts[:place], *safe_acts.acts(visit, gate), *acts[place:]]


def _with_skipped(visit: Visit, acts: Iterable[Act]) -> tuple[Act, ...]:
    """Acts with what was said of those that can't be done; one done after all is done."""
    why = {s.act: s.reason for s in visit.skipped}
    return tuple(replace(a, cannot=None if a.done else why.get(a.name, a.cannot)) for a in acts)


def _next(visit: Visit, gate: Gate, acts: Sequence[Act]) -> Act | None:
    """The first due act that is left; a line of the make-safe list where that needs zero.

    A line of the list that can't be done opens nothing: it stays next, and keeps the gate shut.
    """
    if visit.closed:
        return None
    first = next((a for a in acts if a.due and a.left and a.stage != "make-safe"), None)
    if first is None or not first.zero or gate.zero.stands:
        return first
    lines = [a for a in acts if a.stage == "make-safe" and not a.done]
    return next((a for a in lines if a.left), lines[0] if lines else first)
