"""What stands in ``one_more`` is for a process that knows one more fault, and for no other."""

from __future__ import annotations

from pathlib import Path

import pytest


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leave it to ``test_one_more.py``, which runs it with the plugin ``exhaust``."""
    knows_it = config.pluginmanager.hasplugin("exhaust")
    return True if collection_path.name == "one_more" and not knows_it else None
