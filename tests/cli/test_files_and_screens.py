"""Files from any editor are read or refused in a sentence; answers go to any screen."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.readable import readable
from wetend.pump.toml import demo_pump

TEXT = readable(demo_pump("quay-air")).replace('name = "Quay"', 'name = "Kölner Pumpe ½″"')


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-crlf", "crlf"])
def test_a_description_from_any_editor_is_read(
    say: Callable, tmp_path: Path, encoding: str
) -> None:
    text = TEXT.replace("\n", "\r\n") if encoding.endswith("crlf") else TEXT
    coding = encoding.removesuffix("-crlf").replace("crlf", "utf-8")
    described = tmp_path / "Meine große Pumpe №1.toml"
    described.write_bytes(text.encode(coding))
    said = say("pump", "describe", str(described))
    assert (said.code, said.err) == (0, "")
    assert "Kölner Pumpe ½″" in said.out


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (TEXT.encode("latin-1", "replace"), "is not text in UTF-8 (line "),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "is not text in UTF-8 (line 1)"),
        (b"key = 1\x00", "is not text"),
        (b"bore = 38 mm\n", "line 1, “bore = 38 mm”"),
        (b'key = "a"\nkey = "b"\n', "line 2, “key = \"b\"”, repeats"),
        (b'key = "a\n', "line 1"),
        (b"key = [1,\n", "ends too early"),
        (b"x = " + b"[" * 5000, "nested too deeply"),
        (b"a." * 5000 + b"a = 1", "nested too deeply"),
        (b'"a" . ' * 5000 + b"a = 1", "nested too deeply"),
        (b"x = " + b"9" * 5000, "thousands of digits"),
        (b"", "key is required"),
    ],
)  # fmt: skip
def test_what_is_no_description_is_refused_in_our_own_words(
    say: Callable, tmp_path: Path, data: bytes, told: str
) -> None:
    described = tmp_path / "pump.toml"
    described.write_bytes(data)
    said = say("pump", "describe", str(described))
    assert said.code == 2
    assert said.err.count("\n") == 1
    assert told in said.err
    for words in ("(at ", "codec", "Expected", "Invalid", "Cannot"):
        assert words not in said.err


def test_a_folder_or_a_missing_file_is_named(say: Callable, tmp_path: Path) -> None:
    for words in (
        ("pump", "describe"), ("import",), ("listen",), ("visit", "photo", "last"),
        ("stores", "items-in"),
    ):  # fmt: skip
        assert "is a folder" in say(*words, str(tmp_path)).err, words
        missing = str(tmp_path / "not there.toml")
        assert f"There is no file “{missing}”." in say(*words, missing).err, words


def test_where_nothing_can_be_written_is_said_before_the_work(
    say: Callable, tmp_path: Path
) -> None:
    nowhere = str(tmp_path / "no folder" / "out.csv")
    for words in (
        ("simulate", "--csv"), ("simulate", "--svg"), ("report", "last", "--to"), ("export",),
        ("stores", "order", "--to"), ("listen", "not-there.wav", "--draw"),
    ):  # fmt: skip
        said = say(*words, nowhere)
        assert said.code == 2
        assert "There is no folder" in said.err, words


def _run(depot: Path, *words: str, **around: str) -> subprocess.CompletedProcess[bytes]:
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONIOENCODING"}
    return subprocess.run(
        [sys.executable, "-m", "wetend", "--depot", str(depot), *words], capture_output=True,
        env={**kept, "PYTHONPATH": os.pathsep.join(sys.path), **around}, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_answers_go_to_any_screen(
    say: Callable, tmp_path: Path, encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(TEXT, encoding="utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air")
    depot = tmp_path / "depot.sqlite3"
    done = _run(depot, "make-safe", "last", PYTHONIOENCODING=encoding, COLUMNS="40")
    assert (done.returncode, done.stderr) == (0, b"")
    text = done.stdout.decode(encoding)
    assert ("o Air motor moved" if encoding != "utf-8" else "○ Air motor moved") in text
    assert "\x1b" not in text
    named = _run(depot, "pump", "show", "quay-air", PYTHONIOENCODING=encoding).stdout
    shown = {"ascii": 'Kolner Pumpe 1/2"', "cp1252": 'Kölner Pumpe ½"', "utf-8": "Kölner Pumpe ½″"}
    assert shown[encoding] in named.decode(encoding)
    refused = _run(depot, "pump", "show", "ä", PYTHONIOENCODING=encoding)
    assert refused.returncode == 2
    refused.stderr.decode(encoding)


def test_a_narrow_screen_cuts_no_figure_in_two(
    say: Callable,
    copy_demo: Callable[[Path], Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """``7,400 L`` folded within a column would read ``7,40`` and ``0 L``."""
    depot = str(copy_demo(tmp_path / "demo.sqlite3"))
    wide = say("--depot", depot, "pump", "list").out
    assert "open visit" in wide.splitlines()[0]
    monkeypatch.setenv("COLUMNS", "34")
    narrow = say("--depot", depot, "pump", "list").out
    keys = [p["key"] for p in say("--depot", depot, "pump", "list", "--json").json]
    assert [line for line in narrow.splitlines() if line in keys] == keys
    assert "  visits: " in narrow
    whole = say("--depot", depot, "life", "show", keys[0]).out
    figures = re.findall(r"^  pumped so far: (.*)$", whole, re.MULTILINE)
    assert figures
    assert all(re.fullmatch(r"(at least )?[\d,.]+ L", figure) for figure in figures)
