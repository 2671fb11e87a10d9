"""Practice: the same pump by the same code, minutes paid, truth told."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from wetend.advice.diagnosis.policy import Asked
from wetend.advice.faults.record import Cause
from wetend.advice.faults.tables import CARRIED_AWAY, CAUSE, CAUSES, FAULT
from wetend.advice.practice.exercise import (
    MOST_MOVES,
    SET_SIZES,
    _hidden,
    debrief,
    in_motion,
    make_ready,
    replay,
)
from wetend.advice.practice.share_code import ALPHABET, SEEDS, Exercise, Size, code_of, exercise_of
from wetend.errors import BadInput

FOOT = Exercise(0, 0, 77, (CAUSE["foot"],))
SOUND = Exercise(1, 1, 5, ())


@given(
    st.integers(0, 3), st.integers(0, 7), st.integers(0, SEEDS - 1),
    st.none() | st.sets(st.sampled_from(CAUSES), max_size=4), st.sampled_from([None, *SET_SIZES]),
)  # fmt: skip
def test_a_code_reads_back(
    pump: int, coating: int, seed: int, causes: set[Cause] | None, size: Size | None
) -> None:
    chosen = None if causes is None else tuple(sorted(causes))
    exercise = Exercise(pump, coating, seed, chosen, size)
    code = code_of(exercise)
    assert exercise_of(code) == exercise
    assert exercise_of(f" {code.lower().replace('-', ' ')} ") == exercise


def test_a_code_is_written_and_read_as_crockfords_base32_says() -> None:
    """The table of symbols in D. Crockford, Base 32 (2002): value, what decodes, what encodes."""
    letters = dict(enumerate("ABCDEFGH", 10)) | dict(enumerate("JK", 18))
    letters |= dict(enumerate("MN", 20)) | dict(enumerate("PQRST", 22))
    letters |= dict(enumerate("VWXYZ", 27))
    assert list(ALPHABET) == [str(n) for n in range(10)] + [letters[n] for n in range(10, 32)]
    exercises = [Exercise(n % 4, n % 8, 1000 * n) for n in range(40)]
    codes = [code_of(e) for e in exercises]
    assert any("1" in code for code in codes)
    assert any("0" in code for code in codes)
    for exercise, code in zip(exercises, codes, strict=True):
        for one in "IiLl":
            assert exercise_of(code.replace("1", one)) == exercise
        for zero in "Oo":
            assert exercise_of(code.replace("0", zero)) == exercise
        assert exercise_of("-".join(code.lower())) == exercise


@pytest.mark.parametrize(
    ("code", "exercise"),
    [
        ("8009N-XQ4E", Exercise(0, 0, 77, (CAUSE["foot"],))),
        ("AQZZZ-8N85", Exercise(1, 2, 65535, None)),
        ("8RGJB-H8Q0", Exercise(0, 3, 4242, ())),
        ("ABS30-HVX7", Exercise(1, 1, 31000, (CAUSE["piston"], CAUSE["nozzle"], CAUSE["air"]))),
    ],
)
def test_codes_from_before_sizes_were_set_mean_what_they_meant(
    code: str, exercise: Exercise
) -> None:
    """Written by the program as it was before; a code is on paper, so it stays as it is."""
    assert exercise_of(code) == exercise
    assert exercise.size is None
    assert code_of(exercise) == code


@pytest.mark.parametrize("cause", [CAUSE["foot"], CAUSE["piston"], CAUSE["static"]])
def test_a_bigger_fault_shows_more(cause: Cause) -> None:
    """Same pump, same seed; the rod creeps the faster the bigger the leak is."""
    sized = [_hidden(Exercise(0, 0, 77, (cause,), size)) for size in SET_SIZES]
    creeps = [pump.in_time["creep_up"] + pump.in_time["creep_down"] for pump in sized]
    assert creeps[0] < creeps[1] < creeps[2]
    assert [hidden.size(cause) for hidden in sized][1] == 1.0
    truths = [debrief(Exercise(0, 0, 77, (cause,), size), ["show"]).truth[0] for size in SET_SIZES]
    assert [truth.rsplit(", ", 1)[1] for truth in truths] == list(SET_SIZES)


def test_sizes_are_told_by_how_many_faults_are_smaller() -> None:
    """Second route: the share of the normal law below one spread under the middle, a sixth."""
    assert norm.cdf(SET_SIZES["slight"]) == pytest.approx(1 / 6, abs=0.01)
    assert norm.sf(SET_SIZES["severe"]) == pytest.approx(1 / 6, abs=0.01)
    assert norm.cdf(SET_SIZES["moderate"]) == 0.5


@given(st.integers(0, 8), st.sampled_from("0123456789ABCDEFGHJKMNPQRSTVWXYZ"))
def test_a_slip_is_mostly_caught_and_never_crashes(place: int, letter: str) -> None:
    told = code_of(FOOT).replace("-", "")
    slipped = told[:place] + letter + told[place + 1 :]
    with contextlib.suppress(BadInput):
        assert isinstance(exercise_of(slipped), Exercise)


@pytest.mark.parametrize("code", ["", "abc", "8809N-XQ4!", "8809N-XQ4VV", "<script>", "١٢٣٤٥٦٧٨٩"])
def test_what_is_no_code_is_told(code: str) -> None:
    with pytest.raises(BadInput):
        exercise_of(code)


def test_the_same_check_reads_the_same_in_any_order() -> None:
    one = replay(FOOT, ["strokes", "creep", "wet-cup"])
    other = replay(FOOT, ["wet-cup", "creep", "strokes", "creep"])
    assert one.readings == other.readings
    assert one.minutes == other.minutes == pytest.approx(5.5)


def test_opening_pays_and_ends_it_when_all_is_right() -> None:
    wrong = replay(FOOT, ["open-3"])
    assert not wrong.over
    assert wrong.moves[0].found is False
    right = replay(FOOT, ["open-3", "open-0", "strokes"])
    assert right.over
    assert right.right
    assert right.moves[1].found is True
    assert len(right.moves) == 2  # it was over before the strokes
    assert right.minutes > wrong.minutes


def test_a_sound_pump_is_right_to_leave_shut() -> None:
    told = debrief(SOUND, ["wet-cup", "strokes", "creep", "show"])
    assert told.faults == ()
    assert told.truth == ("nothing is wrong with this pump",)
    assert told.best.opening_minutes == 0.0
    assert told.mended


def test_the_debrief_knows_the_truth_and_where_it_went_astray() -> None:
    told = debrief(FOOT, ["filter", "open-6", "open-0"])
    assert told.faults == (FAULT["foot-valve"],)
    assert told.minutes > told.best.minutes
    assert [a.step for a in told.astray] == [1, 2]
    assert "min more on average" in told.astray[0].said


def test_a_debriefing_made_ready_move_by_move_weighs_nothing_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    exercise, moves = (
        Exercise(0, 2, 311, (CAUSE["static"],)),
        ["wet-cup", "creep", "open-6", "show"],
    )
    for made in range(len(moves)):
        make_ready(exercise, moves[:made])

    def weighed(*_: object, **__: object) -> None:
        raise AssertionError("weighed again")

    monkeypatch.setattr(Asked, "stand", weighed)
    assert debrief(exercise, moves).best.checks
    with pytest.raises(AssertionError, match="weighed again"):
        debrief(exercise, ["stroke", "strokes", "show"])


def _lump(cause: Cause) -> Exercise:
    """The first code whose fault comes loose."""
    exercises = (Exercise(0, 0, seed, (cause,)) for seed in range(1, 60))
    return next(e for e in exercises if not _hidden(e).after(tuple(CARRIED_AWAY)).causes)


def test_a_lump_washed_out_is_gone_and_nothing_is_left_to_open() -> None:
    exercise = _lump(CAUSE["foot"])
    before, after = replay(exercise, ["creep"]), replay(exercise, ["wash", "creep"])
    assert before.readings.creep_down is not None
    assert after.readings.creep_down is not None
    assert after.readings.creep_down < 0.2 * before.readings.creep_down
    assert not before.right
    assert after.right
    told = debrief(exercise, ["wash", "show"])
    assert told.mended
    assert "a lump that a wash" in told.truth[0]
    assert replay(exercise, ["wash", "open-0"]).moves[1].found is False


def test_a_worn_valve_is_not_washed_well() -> None:
    exercise = next(
        e for e in (Exercise(0, 0, seed, (CAUSE["foot"],)) for seed in range(1, 60))
        if _hidden(e).after(["wash"]).causes
    )  # fmt: skip
    assert not replay(exercise, ["wash"]).right
    assert replay(exercise, ["wash", "open-0"]).moves[1].found is True


def test_giving_up_leaves_it_unmended() -> None:
    assert not debrief(FOOT, ["creep", "show"]).mended
    assert debrief(FOOT, ["creep", "open-0"]).mended


def test_the_truth_is_shown_as_it_runs_at_its_own_size() -> None:
    """The film is the hidden pump's own: its stroke times are those that its checks read."""
    hidden = _hidden(FOOT)
    shown = hidden.in_time
    figures = in_motion(FOOT).this.summary
    assert figures.up_time == pytest.approx(shown["up_time"], rel=0.02)
    assert figures.creep_down == pytest.approx(shown["creep_down"], rel=0.02)
    assert in_motion(FOOT).sound.summary.creep_down < 0.1 * shown["creep_down"]
    assert hidden.size(CAUSE["foot"]) > 0


def test_following_the_advice_is_not_called_astray() -> None:
    best = debrief(FOOT, ["show"]).best
    moves = [*best.checks, *(f"open-{j}" for j in best.jobs)]
    told = debrief(FOOT, moves)
    assert told.minutes == pytest.approx(best.minutes)
    assert told.astray == ()


@given(st.lists(st.text(max_size=12), max_size=6))
def test_moves_that_make_no_sense_are_passed_over(moves: list[str]) -> None:
    assert replay(FOOT, [m for m in moves if m != "show"]).minutes >= 0


def test_too_many_moves() -> None:
    with pytest.raises(BadInput, match="at most"):
        replay(FOOT, ["strokes"] * (MOST_MOVES + 1))
