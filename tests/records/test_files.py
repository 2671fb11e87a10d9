"""Files are whole or absent."""

from __future__ import annotations

import errno
import os
import stat
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from wetend.errors import BadInput, StorageFailed
from wetend.records.files import atomic_file, make_folder, path_given, taken, write_atomic


def test_a_file_takes_its_name_only_when_whole(tmp_path: Path) -> None:
    path = tmp_path / "photo"
    with atomic_file(path) as file:
        file.write(b"half")
        file.flush()
        assert not path.exists()
    assert path.read_bytes() == b"half"
    assert list(tmp_path.iterdir()) == [path]


def test_a_broken_off_write_leaves_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "photo"
    write_atomic(path, b"old")
    with suppress(KeyboardInterrupt), atomic_file(path) as file:
        file.write(b"new")
        raise KeyboardInterrupt
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(StorageFailed, match="can't be written: its folder does not exist"):
        write_atomic(tmp_path / "none" / "x", b"x")


def test_a_disk_that_takes_no_more_leaves_nothing(tmp_path: Path, largest_file: Any) -> None:
    with largest_file(1000), pytest.raises(StorageFailed, match="can't be written"):
        write_atomic(tmp_path / "x", bytes(2000))
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_way_of_a_folder(tmp_path: Path) -> None:
    (tmp_path / "x").write_text("")
    with pytest.raises(StorageFailed, match="can't be made"):
        make_folder(tmp_path / "x" / "y" / "z")


def test_a_file_may_be_kept_from_replacing_another(tmp_path: Path) -> None:
    """Also where the other appears while the first is written."""
    path = tmp_path / "photo"
    with pytest.raises(BadInput, match="already"), atomic_file(path, replace=False):
        path.write_bytes(b"other")
    with pytest.raises(BadInput, match="already"):
        write_atomic(path, b"new", replace=False)
    assert path.read_bytes() == b"other"
    assert list(tmp_path.iterdir()) == [path]


def test_a_disk_without_links_takes_files_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As memory sticks often have it (FAT): a hard link is refused there."""

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    path = tmp_path / "saved.zip"
    write_atomic(path, b"x", replace=False)
    with pytest.raises(BadInput, match="already"), atomic_file(path, replace=False) as file:
        file.write(b"new")
    assert path.read_bytes() == b"x"
    assert list(tmp_path.iterdir()) == [path]


def test_private_files_are_their_owner_s_alone(tmp_path: Path) -> None:
    """Others keep the mode of the file they replace."""
    modes = []
    for private in (True, False):
        path = tmp_path / f"{private}"
        path.write_bytes(b"")
        path.chmod(0o640)
        write_atomic(path, b"x", private=private)
        modes.append(stat.S_IMODE(path.stat().st_mode))
    assert modes == [0o600, 0o640]


def test_a_link_goes_on_leading_to_its_file(tmp_path: Path) -> None:
    (tmp_path / "real").write_bytes(b"old")
    (tmp_path / "link").symlink_to("real")
    write_atomic(tmp_path / "link", b"new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_bytes() == b"new"


def test_what_is_no_file_is_left_alone(tmp_path: Path) -> None:
    """A folder, and a pipe: a device such as /dev/null would be lost to the whole machine."""
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    for name in ("pipe", "folder"):
        with pytest.raises(BadInput, match="can't be written; name another file"):
            write_atomic(tmp_path / name, b"x")
    assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)


@pytest.mark.parametrize("bad", ["", "  ", "a\0b", "~nobody-of-this-name/x"])
def test_what_can_be_no_path_is_refused(bad: str) -> None:
    with pytest.raises(BadInput):
        path_given(bad)


def test_a_name_too_long_says_so(tmp_path: Path) -> None:
    with pytest.raises(StorageFailed, match="can't be looked at"):
        taken(tmp_path / ("x" * 5000))
