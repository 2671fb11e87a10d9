"""Compiled functions: loaded once, in the background, and waited for when asked."""

from __future__ import annotations

import threading

import pytest

from wetend.jit import loading
from wetend.jit.folder import CompiledCode
from wetend.jit.loading import CompiledFunctions

FOUND = {"run": lambda: 1}


@pytest.fixture
def cold(monkeypatch: pytest.MonkeyPatch, tmp_path):
    """Functions that were never compiled, and what lets their compiling end."""
    code, done, asked = CompiledCode(tmp_path), threading.Event(), []
    monkeypatch.setattr(CompiledFunctions, "code", code)
    monkeypatch.setattr(loading, "loaded", lambda file: FOUND if file.exists() else None)
    functions = CompiledFunctions("wetend.nowhere", (), title="compiling nothing")

    def compile_aside() -> None:
        asked.append(1)
        assert done.wait(60.0)
        code.object_file.write_bytes(b"code")
        code.mark_whole()

    monkeypatch.setattr(functions, "_compile_aside", compile_aside)
    yield functions, done, asked
    done.set()


def test_who_asks_while_they_are_made_is_not_held_up_and_nothing_is_begun_twice(cold) -> None:
    functions, done, asked = cold
    assert [functions.at_hand() for _ in range(5)] == [None] * 5  # the lock is held meanwhile
    done.set()
    assert functions.loaded() is FOUND
    assert functions.at_hand() is FOUND
    assert asked == [1]


def test_where_all_is_kept_they_are_read_in_at_once(cold) -> None:
    functions, _, asked = cold
    functions.code.object_file.write_bytes(b"code")
    functions.code.mark_whole()
    assert functions.at_hand() is FOUND
    assert asked == []


def test_many_who_wait_get_the_one_answer(cold) -> None:
    functions, done, asked = cold
    found = []
    waiting = [threading.Thread(target=lambda: found.append(functions.loaded())) for _ in range(4)]
    for thread in waiting:
        thread.start()
    done.set()
    for thread in waiting:
        thread.join(60.0)
    assert [one is FOUND for one in found] == [True] * 4
    assert asked == [1]


def test_where_no_process_can_be_started_this_one_compiles_and_gives_the_claim_up(
    tmp_path, monkeypatch
) -> None:
    """Else nobody would compile for five minutes."""
    code = CompiledCode(tmp_path)
    monkeypatch.setattr(CompiledFunctions, "code", code)

    def refuse(*_: object, **__: object) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr(loading.subprocess, "Popen", refuse)
    functions = CompiledFunctions("wetend.nowhere", (), title="compiling nothing")
    monkeypatch.setattr(functions, "by_the_compiler", lambda: FOUND)
    assert functions.loaded() is FOUND
    assert code.claim(300.0)
