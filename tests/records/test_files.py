"""Files are whole or absent."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from wetend.errors import BadInput, StorageFailed
from wetend.records.files import make_folder, path_given, taken, whole_file, write_whole


def test_a_file_takes_its_name_only_when_whole(tmp_path: Path) -> None:
    path = tmp_path / "photo"
    with whole_file(path) as file:
        file.write(b"half")
        file.flush()
        assert not path.exists()
    assert path.read_bytes() == b"half"
    assert list(tmp_path.iterdir()) == [path]


def test_a_broken_off_write_leaves_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "photo"
    write_whole(path, b"old")
    with suppress(KeyboardInterrupt), whole_file(path) as file:
        file.write(b"new")
        raise KeyboardInterrupt
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(StorageFailed, match="can't be written: No such file"):
        write_whole(tmp_path / "none" / "x", b"x")


def test_a_disk_that_takes_no_more_leaves_nothing(tmp_path: Path, largest_file: Any) -> None:
    with largest_file(1000), pytest.raises(StorageFailed, match="can't be written"):
        write_whole(tmp_path / "x", bytes(2000))
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_way_of_a_folder(tmp_path: Path) -> None:
    (tmp_path / "x").write_text("")
    with pytest.raises(StorageFailed, match="can't be made"):
        make_folder(tmp_path / "x" / "y" / "z")


@pytest.mark.parametrize("bad", ["", "  ", "a\0b", "~nobody-of-this-name/x"])
def test_what_can_be_no_path_is_refused(bad: str) -> None:
    with pytest.raises(BadInput):
        path_given(bad)


def test_a_name_too_long_says_so(tmp_path: Path) -> None:
    with pytest.raises(StorageFailed, match="can't be looked at"):
        taken(tmp_path / ("x" * 5000))
