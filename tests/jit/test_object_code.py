"""Compiled functions kept as object code: the compiler's own answers, read back without it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from wetend.jit.folder import CompiledCode
from wetend.jit.loading import CompiledFunctions
from wetend.jit.object_code import Function, can_not_be_made, loaded
from wetend.physics.stroke.kernel import COMPILED, NATIVE
from wetend.physics.stroke.rows import ALL, FIGURES, GIVEN, TOGETHER, HoseTable, Law

SIZE = 300


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A copy of what is kept, to be spoilt."""
    COMPILED.loaded()
    kept = COMPILED.code.object_file
    if kept is None or can_not_be_made(kept):
        pytest.skip("object code can't be kept here")
    copy = tmp_path / "native.object"
    copy.write_bytes(kept.read_bytes())
    return copy


def _asked() -> tuple[object, ...]:
    """Pumps at random, from far outside what is built, as the compiled sums take them."""
    rng = np.random.default_rng(4)
    given = tuple(np.exp(rng.standard_normal(SIZE)) for _ in range(GIVEN))
    hose = HoseTable(np.sort(rng.random(80)), np.array([0.0, 1.0]), 0.01)
    room = np.empty(ALL), np.empty((2 * FIGURES + TOGETHER, SIZE))
    return given, (1.0, 0.8, 0.3), Law(1.0, 1.4), hose, (0, SIZE), room


def test_what_is_kept_gives_the_compilers_own_answers_to_the_last_bit(file: Path) -> None:
    one, other = _asked(), _asked()
    found = loaded(file)
    assert found is not None
    assert isinstance(found["run"], Function)
    found["run"](*one)
    COMPILED.by_the_compiler()["run"](*other)
    np.testing.assert_array_equal(one[-1][1], other[-1][1])
    assert np.isfinite(one[-1][1]).all()


@pytest.mark.parametrize("spoil", [
    lambda data: b"",
    lambda data: data[:-1],
    lambda data: data[:200],
    lambda data: data[:5000] + bytes([data[5000] ^ 1]) + data[5001:],
    lambda data: b"\xff" + data[1:],
    lambda data: data.partition(b"\n")[2],
])  # fmt: skip
def test_a_spoilt_file_is_as_good_as_none(file: Path, spoil) -> None:
    file.write_bytes(spoil(file.read_bytes()))
    assert loaded(file) is None


def test_a_spoilt_file_is_made_anew(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = file.read_bytes()
    file.write_bytes(whole[:-1])
    functions = CompiledFunctions("wetend.physics.stroke.kernel", NATIVE, title="compiling")
    monkeypatch.setattr(CompiledFunctions, "code", CompiledCode(file.parent))
    monkeypatch.setattr(functions, "_compile_aside", lambda: file.write_bytes(whole))
    asked = _asked()
    run = functions.loaded()["run"]
    assert isinstance(run, Function)
    run(*asked)
    assert np.isfinite(asked[-1][1]).all()


@pytest.mark.parametrize("change", [
    lambda asked: (*asked[:1], (1.0, 0.8, 1), *asked[2:]),  # a whole number for a real one
    lambda asked: asked[:-1],
    lambda asked: (tuple(column[::2] for column in asked[0]), *asked[1:]),
    lambda asked: (tuple(column.astype(int) for column in asked[0]), *asked[1:]),
    lambda asked: ("text", *asked[1:]),
])  # fmt: skip
def test_what_it_was_not_compiled_for_is_refused_before_it_runs(file: Path, change) -> None:
    found = loaded(file)
    assert found is not None
    with pytest.raises(TypeError):
        found["run"](*change(_asked()))
