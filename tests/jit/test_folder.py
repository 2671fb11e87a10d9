"""Where compiled functions are kept."""

from __future__ import annotations

import threading
import time
from pathlib import Path

from wetend.jit.folder import CompiledCode, code_of, folder_for, processor


def test_a_change_of_a_source_begins_another_folder(tmp_path: Path, monkeypatch) -> None:
    sources = tmp_path / "sums"
    sources.mkdir()
    (sources / "one.py").write_text("a = 1\n")
    monkeypatch.setenv("WETEND_COMPILED", str(tmp_path / "kept"))
    first = folder_for(sources)
    assert first == folder_for(sources)
    assert first.is_dir()
    (sources / "one.py").write_text("a = 2\n")
    assert folder_for(sources) != first


def test_where_nothing_can_be_written_there_is_none(tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("WETEND_COMPILED", str(tmp_path / "file"))
    assert folder_for(tmp_path) is None


def test_another_processor_begins_another_folder(tmp_path: Path) -> None:
    """The first processor's block alone, and of it only what compiled code depends on."""
    one, same, other = (tmp_path / name for name in ("one", "same", "other"))
    one.write_text("model name : A\nflags : avx2\ncpu MHz : 1\n\nmodel name : A\n")
    same.write_text("model name : A\nflags : avx2\ncpu MHz : 2\n\nmodel name : B\n")
    other.write_text("model name : A\nflags : avx2 avx512f\ncpu MHz : 1\n\n")
    assert processor(one) == processor(same) != processor(other)
    assert processor(tmp_path / "none")


def test_one_process_compiles_and_a_dead_one_is_not_waited_for(tmp_path: Path) -> None:
    code = CompiledCode(tmp_path)
    assert code.claim(300.0)
    assert not code.claim(300.0)
    threading.Timer(0.1, code.mark_whole).start()
    code.wait_for_whole(20.0, 0.01)
    assert code.is_whole()
    assert code.claim(300.0)  # whoever made it whole gave the claim up
    time.sleep(0.01)
    assert code.claim(0.0)


def test_nothing_is_kept_of_a_package_of_others() -> None:
    """A test's functions, or a caller's own, would else be written among this program's."""
    code = code_of("hypothesis")
    assert code.folder is None
    assert code.claim(300.0)
    code.mark_whole()
    assert not code.is_whole()
