"""Freezes long-lived objects so that garbage collection stays fast.

A third of a million things are read in before the first page. The collector would go through all
of them several times on the way, a tenth of the time it takes to start, and again every few hundred
pages, a sixth of a second in which none is answered; and would find nothing.
"""

from __future__ import annotations

import gc
import importlib
import sys
from types import ModuleType


def read_in(name: str) -> ModuleType:
    """Import a module that the program then keeps.

    Raises:
        ImportError: it can't be imported.
    """
    if name in sys.modules:
        return sys.modules[name]
    hold_off()
    try:
        return importlib.import_module(name)
    finally:
        settle()


def hold_off() -> None:
    """No collecting until all is read in: see :func:`settle`."""
    gc.disable()


def settle() -> None:
    """What is there now stays: collect only what is made from here on."""
    gc.freeze()
    gc.enable()
