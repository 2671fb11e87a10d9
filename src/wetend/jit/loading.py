"""Compiled functions of a module, loaded in the background or waited for.

Kept as object code they are read in a twentieth of a second; the first time ever on a machine they
are compiled, which takes ten seconds or many more. Nobody waits for that: it is done in a process
of its own, at low priority, and what is asked meanwhile is answered by plain functions.
"""

from __future__ import annotations

import importlib
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from wetend.background import BACKGROUND, Job
from wetend.jit.folder import CompiledCode, code_of
from wetend.jit.object_code import can_not_be_made, loaded

Functions = Mapping[str, Callable[..., Any]]
"""Compiled functions by name; each can be called, or handed to another."""
_PATIENCE = 2.0
"""Seconds waited for what is only to be read in."""
_LONGEST = 300.0
_LOOK_AGAIN = 0.5


class CompiledFunctions:
    """What a module lists as ``NATIVE``, compiled together."""

    def __init__(self, module: str, native: Sequence[Callable[..., Any]], *, title: str) -> None:
        """Nothing is loaded yet.

        Args:
            module: its name; its package must have been imported.
            native: its ``NATIVE``.
            title: what is done while they are made, for people.
        """
        self._name, self._native, self._title = module, tuple(native), title
        self._lock = threading.Lock()
        self._loading: Job | None = None
        self._found: Functions | None = None

    @property
    def code(self) -> CompiledCode:
        """What has been compiled of its package already."""
        return code_of(self._name.rpartition(".")[0])

    def at_hand(self) -> Functions | None:
        """The functions if they have only to be read in, else ``None`` while they are made."""
        if self._found is None:
            loading = self._loading
            if loading is None or not loading.going:
                self._loading = loading = BACKGROUND.submit(
                    self, lambda _: self.loaded(), title=self._title
                )
            if self.code.is_whole():
                loading.ended.wait(_PATIENCE)
        return self._found

    def loaded(self) -> Functions:
        """The functions, waited for."""
        with self._lock:
            if self._found is None:
                self._found = self._from_object_code() or self.by_the_compiler()
        return self._found

    def by_the_compiler(self) -> Functions:
        """Compiled by this process, where nothing can be kept or what is kept can't be read."""
        compiling = importlib.import_module("wetend.jit.compiling")
        found: Functions = compiling.functions_of(self._native)
        return found

    def _from_object_code(self) -> Functions | None:
        """As kept, which a process of its own sees to where they are not."""
        file = self.code.object_file
        if file is None:
            return None
        found = loaded(file)
        if found is None and not (self.code.is_whole() and can_not_be_made(file)):
            self._compile_aside()
            found = loaded(file)
        return found

    def _compile_aside(self) -> None:
        """Have all compiled by a process that goes on when this one ends; one at a time.

        Where none can be started, or it fails, this process compiles for itself.
        """
        if not self.code.claim(_LONGEST):
            self.code.wait_for_whole(_LONGEST, _LOOK_AGAIN)
            return
        try:
            # nothing typed by people gets into the command
            process = subprocess.Popen(  # noqa: S603
                [sys.executable, "-P", "-m", "wetend.jit", self._name],
                stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                start_new_session=True,
            )  # fmt: skip
            if hasattr(os, "setpriority"):
                os.setpriority(os.PRIO_PROCESS, process.pid, 10)
            process.wait(_LONGEST)
        except (OSError, subprocess.TimeoutExpired):
            return
        finally:
            self.code.let_go()
