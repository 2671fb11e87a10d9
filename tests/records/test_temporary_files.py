"""What killed writes left is cleared away, and nothing else ever is."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.records.files import write_atomic
from wetend.records.photos import PhotoShelf
from wetend.records.temporary_files import begin_file, staging_folder, sweep

_KILLED = """
import os, signal, sys
from pathlib import Path
from wetend.records.files import atomic_file
from wetend.records.temporary_files import staging_folder
with atomic_file(Path(sys.argv[1]) / "report.pdf") as file, staging_folder(Path(sys.argv[1])) as s:
    file.write(b"half")
    file.flush()
    (s / "aa").mkdir()
    (s / "aa" / "photo").write_bytes(b"half")
    os.kill(os.getpid(), signal.SIGKILL)
"""


def killed_at_work(folder: Path) -> list[str]:
    """What a program killed in the middle of writing leaves in a folder."""
    done = subprocess.run(
        [sys.executable, "-c", _KILLED, str(folder)],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}, check=False,
    )  # fmt: skip
    assert done.returncode == -signal.SIGKILL
    return sorted(p.name.rpartition(".")[2] for p in folder.iterdir())


def test_the_next_write_clears_away_what_a_killed_one_left(tmp_path: Path) -> None:
    assert killed_at_work(tmp_path) == ["part", "staged"]
    write_atomic(tmp_path / "other.pdf", b"whole")
    assert [p.name for p in tmp_path.iterdir()] == ["other.pdf"]


def test_the_next_restore_clears_away_what_a_killed_one_left(
    tmp_path: Path, picture: Callable[[str], bytes]
) -> None:
    assert killed_at_work(tmp_path) == ["part", "staged"]
    with PhotoShelf(tmp_path).staged() as stage:
        stage.put(picture("red"))
        assert len(list(tmp_path.iterdir())) == 1


def test_work_under_way_is_left_alone(tmp_path: Path) -> None:
    with staging_folder(tmp_path) as stage:
        (stage / "photo").write_bytes(b"x")
        write_atomic(tmp_path / "other", b"x")
        assert (stage / "photo").read_bytes() == b"x"
        assert sweep(tmp_path) == 0
    assert [p.name for p in tmp_path.iterdir()] == ["other"]


@pytest.mark.parametrize(
    ("name", "days", "goes"),
    [
        (".wetend-0123456789abcdef.part", 0, True),
        (".wetend-0123456789abcdef.staged", 0, False),  # its lock may be still to come
        (".wetend-0123456789abcdef.staged", 2, True),
        (".0123456789abcdef.part", 0, False),
        (".0123456789abcdef.part", 2, True),
        (".staged-0123456789abcdef", 2, True),
        ("wetend-0123456789abcdef.part", 2, False),
        (".wetend-0123456789abcdeg.part", 2, False),
        ("report.pdf.part", 2, False),
        (".part", 2, False),
    ],
)
def test_only_our_own_names_go(tmp_path: Path, name: str, days: float, goes: bool) -> None:
    left = tmp_path / name
    if "staged" in name:
        left.mkdir()
        (left / "aa").mkdir()
    else:
        left.write_bytes(b"x")
    then = time.time() - days * 86_400
    os.utime(left, (then, then))
    assert sweep(tmp_path) == goes
    assert left.exists() != goes


def test_a_link_of_such_a_name_leads_nowhere_else(tmp_path: Path) -> None:
    (tmp_path / "kept").write_bytes(b"x")
    (tmp_path / ".wetend-0123456789abcdef.part").symlink_to("kept")
    sweep(tmp_path)
    assert (tmp_path / "kept").read_bytes() == b"x"


def test_what_a_killed_database_left_beside_goes_with_it_and_not_before(tmp_path: Path) -> None:
    part, handle = begin_file(tmp_path, 0o600)
    log = tmp_path / f"{part.name}-wal"
    log.write_bytes(b"x")
    assert sweep(tmp_path) == 0
    os.close(handle)
    assert sweep(tmp_path) == 2
    assert list(tmp_path.iterdir()) == []
