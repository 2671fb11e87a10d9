"""A described pump and a visit to it, with the coating chosen."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.records.store import Depot
from wetend.units.noun import Noun
from wetend.workflows import pumps, visits
from wetend.workflows.acts.queue import acts_of
from wetend.workflows.acts.saving import save
from wetend.workflows.desk import Desk
from wetend.workflows.form_sent import FormSent

WHO = "R. Okafor (invented)"
Do = Callable[..., tuple[str, ...]]


@pytest.fixture(params=["quay-air"])
def desk(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        at = Desk(depot, who=WHO)
        pumps.describe(at, demo_pump(request.param))
        yield at


@pytest.fixture
def visit(desk: Desk) -> str:
    (pump,) = pumps.list_pumps(desk)
    made = visits.start(desk, VisitStart(pump=pump.pump.key))
    visits.choose_coating(desk, made, demo_coatings()[0])
    return made


def filled(desk: Desk, was: Noun | None) -> Desk:
    """The desk with a form that was filled so, not sent before."""
    text = "null" if was is None else was.model_dump_json(exclude_unset=True)
    return replace(desk, sent=FormSent(secrets.token_hex(16), text))


@pytest.fixture
def do(desk: Desk, visit: str) -> Do:
    """Does an act by name, as its form would send it."""

    def done(
        name: str, said: Noun, *, was: Noun | None = None, by: Desk | None = None, under: str = ""
    ) -> tuple[str, ...]:
        at = filled(by or desk, was)
        act = acts_of(at, visit).act(*name.split("/"))
        return tuple(e.id for e in save(at, visit, act, said, begun_under=under))

    return done
