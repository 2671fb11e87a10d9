"""The collector is held off while modules are read in, and never left off."""

from __future__ import annotations

import gc
import sys
from pathlib import Path

import pytest

from wetend.workflows.gc_freeze import read_in, settle


def test_a_module_is_read_in_without_collecting_and_what_is_there_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "slow_to_read.py").write_text("import gc\nON = gc.isenabled()\nHELD = [[]]\n")
    monkeypatch.syspath_prepend(str(tmp_path))
    module = read_in("slow_to_read")
    assert module is sys.modules.pop("slow_to_read")
    assert not module.ON
    assert gc.isenabled()
    assert not any(each is module.HELD for each in gc.get_objects())  # not gone through any more


def test_what_is_made_afterwards_is_still_collected() -> None:
    class Ring:
        def __init__(self) -> None:
            self.itself = self

    settle()
    Ring()
    assert gc.collect() >= 1
    assert not any(isinstance(each, Ring) for each in gc.get_objects())


def test_a_module_that_cannot_be_read_leaves_the_collector_on() -> None:
    with pytest.raises(ImportError):
        read_in("no_such_module_of_ours")
    assert gc.isenabled()
