"""Loading behind the pages: once, told when it is not there yet, and a fault told too."""

from __future__ import annotations

import time

import pytest

from wetend.web.ready import BackgroundLoader


def test_what_is_waited_for_comes_even_where_it_was_to_be_loaded_later() -> None:
    ready = BackgroundLoader("json")
    ready.start(after=60.0)
    begun = time.monotonic()
    module = ready.wait(20.0)
    assert module is not None
    assert module.__name__ == "json"
    assert time.monotonic() - begun < 20.0


def test_it_is_loaded_once_however_often_it_is_asked_for() -> None:
    ready = BackgroundLoader("json")
    ready.start()
    ready.start(after=60.0)
    assert ready.wait(20.0) is ready.wait(0.0)


def test_what_cannot_be_loaded_says_so() -> None:
    with pytest.raises(ImportError, match="no_such_module"):
        BackgroundLoader("no_such_module_of_ours").wait(20.0)
