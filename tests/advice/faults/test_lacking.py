"""Records of faults are whole; one that is not is told what it lacks."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from lacking import lacking, missing_numbers

from wetend.advice.faults.catalogue import EVERY
from wetend.advice.faults.record import Alters, Cause, Drop, Fault, Mending, Shown, SizeLaw
from wetend.advice.faults.tables import CAUSES, FAULT, FAULTS, GAPS, MENDINGS
from wetend.advice.stores.call_box import ITEMS


def _others(fault: Fault) -> list[Fault]:
    return [other for other in EVERY if other is not fault]


@pytest.mark.parametrize("fault", EVERY, ids=lambda fault: fault.id)
def test_every_record_is_whole(fault: Fault) -> None:
    assert lacking(fault, _others(fault)) == ()


def test_numbers_of_causes_and_jobs_have_no_gap() -> None:
    assert missing_numbers(EVERY) == ()
    assert [cause.number for cause in CAUSES] == list(range(len(CAUSES)))
    assert [mending.number for mending in MENDINGS] == list(range(len(MENDINGS)))


def test_what_faults_want_can_be_carried() -> None:
    covered = set().union(*(item.covers for item in ITEMS))
    for fault in FAULTS:
        assert {part for _, parts in fault.wants for part in parts} <= covered, fault.id


def _cause(**changes: Any) -> Cause:
    return replace(FAULT["nozzle"].causes[0], **changes)


NOZZLE = FAULT["nozzle"]
BLANK = SizeLaw(1.0, 0.5)


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        (replace(NOZZLE, short=" "), "nozzle: short is blank"),
        (replace(NOZZLE, causes=()), "nozzle: it has no cause"),
        (replace(NOZZLE, signs={}), "no sight of the crew's points to it"),
        (replace(NOZZLE, wants=((0.9, ()),)), "add up to 0.9, not 1"),
        (replace(NOZZLE, size=None), "its size has to be said"),
        (replace(NOZZLE, inside=True), "its job says otherwise"),
        (replace(NOZZLE, lump=FAULT["foot-valve"].lump), "what a check carries away has words"),
        (replace(NOZZLE, played_as="rust"), "'rust' is none of nozzle-worn"),
        (replace(NOZZLE, id="filter"), "filter has the same id"),
        (replace(NOZZLE, mending=Mending(3, "Polish it", 1.0)),
         "job 3 is 'Clear or change the nozzle' already"),
        (replace(NOZZLE, causes=(_cause(chance=0.0),)), "its chance lies between"),
        (replace(NOZZLE, causes=(_cause(), _cause(number=16, id="rust"))), "needs a name (words)"),
        (replace(FAULT["static-packings"], causes=(replace(FAULT["static-packings"].causes[0],
                                                           parts=()),)), "to be marked (parts)"),
        (replace(NOZZLE, causes=(_cause(motion=()),)), "can't be put into the pump in motion"),
        (replace(NOZZLE, causes=(_cause(effect=Alters("rust", BLANK, lambda a, b, _: a + b)),)),
         "a condition has no figure 'rust'"),
        (replace(NOZZLE, causes=(_cause(shows={"wet_cup": Shown("share", 0.1)}),)),
         "only a first cause that leaks or drops"),
        (replace(NOZZLE, causes=(_cause(number=4),)), "number 4 is starved's"),
        (replace(NOZZLE, causes=(_cause(id="air"),)), "another goes by that id"),
        (replace(NOZZLE, causes=(_cause(not_with=("rust",)),)), "there is no cause 'rust'"),
        (replace(NOZZLE, causes=(_cause(effect=Drop(lambda m, _p, _s: m, (0.0,), (1,))),)),
         "never there with starved"),
        (replace(NOZZLE, causes=(_cause(effect=Drop(lambda m, _p, _s: m, (0.0,), ())),)),
         "as many cycles as sizes"),
    ],
)  # fmt: skip
def test_what_a_record_lacks_is_told_in_words(fault: Fault, told: str) -> None:
    said = lacking(fault, _others(NOZZLE) if fault.causes != FAULT["static-packings"].causes
                   else _others(FAULT["static-packings"]))  # fmt: skip
    assert any(told in sentence for sentence in said), said


def test_a_number_left_out_is_named() -> None:
    skipping = replace(NOZZLE, causes=(_cause(number=20, id="rust"),))
    said = missing_numbers([*EVERY, skipping])
    assert said[0] == "causes leave out number 16: the next new one is 16"


def test_leaks_of_one_fault_are_lost_from_one_place() -> None:
    """What stands for a fault's share of the stroke is that of its first cause."""
    for fault in FAULTS:
        places = {GAPS[cause].place for cause in fault.causes if cause in GAPS}
        assert len(places) <= 1, fault.id
