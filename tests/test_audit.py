"""The audit of dependencies says what is known against them, and never calls silence a pass."""

from __future__ import annotations

import json
import stat
import urllib.error
from pathlib import Path
from types import ModuleType

import pytest
from loaded import loaded

ROOT = Path(__file__).parents[1]
FAULTY = {"name": "left", "version": "1.0", "vulns": [{"id": "PYSEC-1", "fix_versions": ["1.1"]}]}
SOUND = {"name": "right", "version": "2.0", "vulns": []}
SKIPPED = {"name": "unknown", "skip_reason": "Dependency not found on PyPI"}


@pytest.fixture
def audit() -> ModuleType:
    return loaded(ROOT / "requirements" / "audit.py")


def tool(folder: Path, *found: dict[str, object]) -> str:
    """A stand-in that reports these dependencies as pip-audit 2.10.1 does."""
    path = folder / "pip-audit"
    told = json.dumps({"dependencies": found, "fixes": []})
    path.write_text(f"#!/bin/sh\ncat <<'END'\n{told}\nEND\n")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return str(path)


@pytest.mark.parametrize(
    ("found", "code", "told"),
    [
        ((SOUND,), 0, "1 locked dependencies, no known fault"),
        ((SOUND, FAULTY), 1, "left 1.0: PYSEC-1, mended in 1.1"),
        ((FAULTY, SKIPPED), 1, "left 1.0: PYSEC-1"),
        ((SKIPPED, SOUND), 2, "Not audited: unknown"),
    ],
)
@pytest.mark.parametrize("quiet", [False, True])
def test_what_is_found_decides_how_it_ends(
    audit: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str], found: tuple[dict, ...], code: int, told: str, quiet: bool,
) -> None:  # fmt: skip
    monkeypatch.setattr(audit, "reachable", lambda: True)
    ended = audit.main([tool(tmp_path, *found), *(["--if-reachable"] if quiet else [])])
    assert ended == (0 if quiet and code == 2 else code)
    assert told in capsys.readouterr().out


@pytest.mark.parametrize(
    "answer", ['{"info": {}}', '{"vulnerabilities": []}', "[]", "no page", None]
)
def test_a_mirror_that_knows_no_faults_is_no_index(
    audit: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    tmp_path: Path, answer: str | None,
) -> None:  # fmt: skip
    """A registry of packages alone answers each name, and pip-audit then reports nothing known."""

    def opened(address: str, timeout: float) -> object:
        if answer is None:
            raise urllib.error.URLError("no way there")
        page = tmp_path / "page.json"
        page.write_text(answer)
        return page.open()

    monkeypatch.setattr(audit.urllib.request, "urlopen", opened)
    assert audit.main(["no-tool", "--if-reachable"]) == 0
    assert audit.main(["no-tool"]) == 2
    said = capsys.readouterr().out.splitlines()
    assert said == [said[0]] * 2
    assert "were not audited" in said[0]


def test_an_index_with_faults_is_one(audit: ModuleType, monkeypatch: pytest.MonkeyPatch,
                                     tmp_path: Path) -> None:  # fmt: skip
    page = tmp_path / "page.json"
    page.write_text('{"vulnerabilities": [{"id": "PYSEC-2019-217"}]}')
    monkeypatch.setattr(audit.urllib.request, "urlopen", lambda *_, **__: page.open())
    assert audit.reachable()
