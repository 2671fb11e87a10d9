"""What was learned of lives, kept from one start to the next: the same answers, or none kept."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from wetend.advice.life.learned import learn
from wetend.advice.life.prior import prior_of
from wetend.advice.life.remaining import remaining
from wetend.records.store import Depot
from wetend.stats.life import belief as calculation
from wetend.stats.life.belief import LifeBelief
from wetend.stats.lifetimes import Lifetimes
from wetend.workflows import learned_shelf, life_facts
from wetend.workflows.desk import Desk
from wetend.workflows.learned_shelf import LearnedShelf

PRIOR = prior_of("moving-packings", ())
COLUMNS = len(PRIOR.means)


def lives(count: int = 3, *, last: float = 2.0) -> Lifetimes:
    """So many failures, one life still going, one that ended between two looks."""
    rows = np.zeros((count, COLUMNS))
    rows[:, 0] = 1.0
    ages = np.linspace(1.0, last, count) * 1e12
    return Lifetimes(ages, np.array([3e12]), np.array([[1e12, 2e12]]), rows, rows[:1], rows[:1])


def same(one: LifeBelief, other: LifeBelief) -> bool:
    """Alike to the last bit, laid out alike in memory."""
    return all(
        np.array_equal(vars(one)[name], vars(other)[name]) for name in vars(one)
    ) and one.coefficients.strides == other.coefficients.strides  # fmt: skip


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """One number for each belief learned anew."""
    learned: list[int] = []
    before = calculation.believe

    def believe(*given, **named):
        learned.append(len(learned))
        return before(*given, **named)

    monkeypatch.setattr(calculation, "believe", believe)
    return learned


def test_what_was_learned_is_not_learned_again_and_is_the_same(
    tmp_path: Path, counted: list[int]
) -> None:
    anew = calculation.believe(lives(), PRIOR, draws=60, seed=3)
    first = LearnedShelf(tmp_path / "a" / "b").believe(lives(), PRIOR, draws=60, seed=3)
    again = LearnedShelf(tmp_path / "a" / "b").believe(lives(), PRIOR, draws=60, seed=3)
    assert same(anew, first)
    assert same(anew, again)
    assert len(counted) == 2


@pytest.mark.parametrize("change", [
    {"lives": lives(4)},
    {"lives": lives(last=2.0000001)},
    {"prior": prior_of("rod", ())},
    {"prior": replace(PRIOR, log_scale_deviation=0.36)},
    {"draws": 61},
    {"seed": 4},
])  # fmt: skip
def test_whatever_it_hangs_on_makes_another(
    tmp_path: Path, counted: list[int], change: dict[str, object]
) -> None:
    shelf = LearnedShelf(tmp_path)
    for given in ({}, change, {}):
        asked = {"lives": lives(), "prior": PRIOR, "draws": 60, "seed": 3} | given
        found = shelf.believe(**asked)
        assert same(found, calculation.believe(**asked))
    assert len(counted) == 3 + 2


def test_another_calculation_makes_another(
    tmp_path: Path, counted: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    shelf = LearnedShelf(tmp_path)
    shelf.believe(lives(), PRIOR, draws=60)
    monkeypatch.setattr(learned_shelf, "_sources", lambda: b"another")
    shelf.believe(lives(), PRIOR, draws=60)
    assert len(counted) == 2


@pytest.mark.parametrize("spoil", [
    lambda data: b"",
    lambda data: data[:-1],
    lambda data: data[:40],
    lambda data: data[:3000] + bytes([data[3000] ^ 1]) + data[3001:],
    lambda data: b"\xff" * len(data),
])  # fmt: skip
def test_a_spoilt_file_is_learned_anew_and_mended(
    tmp_path: Path, counted: list[int], spoil: Callable[[bytes], bytes]
) -> None:
    shelf = LearnedShelf(tmp_path)
    first = shelf.believe(lives(), PRIOR, draws=60)
    (file,) = tmp_path.iterdir()
    whole = file.read_bytes()
    file.write_bytes(spoil(whole))
    assert same(shelf.believe(lives(), PRIOR, draws=60), first)
    assert file.read_bytes() == whole
    assert len(counted) == 2


def test_the_oldest_go_and_what_is_asked_for_stays(
    tmp_path: Path, counted: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(learned_shelf, "MOST", 3)
    shelf = LearnedShelf(tmp_path)
    for seed in range(12):
        shelf.believe(lives(), PRIOR, draws=20, seed=seed)
        shelf.believe(lives(), PRIOR, draws=20, seed=0)
        assert len(list(tmp_path.iterdir())) <= 3
    assert len(counted) == 12


def test_a_folder_that_can_not_be_made_stops_nothing(tmp_path: Path, counted: list[int]) -> None:
    (tmp_path / "file").write_text("")
    for folder in (tmp_path / "file", tmp_path / "file" / "below", None):
        assert len(LearnedShelf(folder).believe(lives(), PRIOR, draws=20).scales) == 20
    assert len(counted) == 3


def test_many_at_once_agree(tmp_path: Path) -> None:
    shelf, found = LearnedShelf(tmp_path), []
    threads = [
        threading.Thread(target=lambda: found.append(shelf.believe(lives(), PRIOR, draws=40)))
        for _ in range(6)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 6
    assert all(same(each, found[0]) for each in found)
    assert len(list(tmp_path.iterdir())) == 1


@pytest.fixture
def desk(copy_demo: Callable[[Path], Path], tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(copy_demo(tmp_path / "demo.sqlite3")) as depot:
        yield Desk(depot)


def test_a_second_start_learns_nothing_and_tells_the_same(
    desk: Desk, tmp_path: Path, counted: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two starts on the demo depot: what is left of every part, to the last bit."""
    told, learned = [], []
    for _ in range(2):
        monkeypatch.setattr(life_facts, "SHELF", LearnedShelf(tmp_path / "kept"))
        known = life_facts.gather(desk.depot, date(2031, 5, 4), (0, ""))[0]
        fleet = learn(known.fleet.lives)
        assert all(same(known.fleet.beliefs[p], b) for p, b in fleet.beliefs.items())
        own = next(own for own in known.pumps.values() if own.lives)
        told.append(remaining(own.pump.site, own.day, known.fleet, own.parts))
        learned.append(len(counted))
    assert len(known.fleet.beliefs) == 10
    assert learned[0] == learned[1] >= 10
    for one, other in zip(*told, strict=True):
        np.testing.assert_array_equal(one.draws, other.draws)
        assert (one.volume, one.verdict, one.because) == (
            other.volume, other.verdict, other.because,
        )  # fmt: skip
