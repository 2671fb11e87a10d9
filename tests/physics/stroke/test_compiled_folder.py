"""Where compiled functions are kept."""

from __future__ import annotations

from pathlib import Path

from wetend.physics.stroke.compiled_folder import kept_in, processor


def test_a_change_of_a_source_begins_another_folder(tmp_path: Path, monkeypatch) -> None:
    sources = tmp_path / "sums"
    sources.mkdir()
    (sources / "one.py").write_text("a = 1\n")
    monkeypatch.setenv("WETEND_COMPILED", str(tmp_path / "kept"))
    first = kept_in(sources)
    assert first == kept_in(sources)
    assert first.is_dir()
    (sources / "one.py").write_text("a = 2\n")
    assert kept_in(sources) != first


def test_where_nothing_can_be_written_there_is_none(tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("WETEND_COMPILED", str(tmp_path / "file"))
    assert kept_in(tmp_path) is None


def test_another_processor_begins_another_folder(tmp_path: Path) -> None:
    """The first processor's block alone, and of it only what compiled code depends on."""
    one, same, other = (tmp_path / name for name in ("one", "same", "other"))
    one.write_text("model name : A\nflags : avx2\ncpu MHz : 1\n\nmodel name : A\n")
    same.write_text("model name : A\nflags : avx2\ncpu MHz : 2\n\nmodel name : B\n")
    other.write_text("model name : A\nflags : avx2 avx512f\ncpu MHz : 1\n\n")
    assert processor(one) == processor(same) != processor(other)
    assert processor(tmp_path / "none")
