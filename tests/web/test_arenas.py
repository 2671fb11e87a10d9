"""The C library's arenas: few, so that memory freed by one thread serves the others."""

from __future__ import annotations

import os
import platform
import subprocess
import sys

_RUN = """
import ctypes, threading
from wetend.web.arenas import few_arenas
asked = few_arenas()
gate = threading.Barrier(12)
def work():
    gate.wait()
    held = [bytearray(5000) for _ in range(2000)]
    gate.wait()
threads = [threading.Thread(target=work) for _ in range(12)]
for thread in threads: thread.start()
for thread in threads: thread.join()
import sys; sys.stdout.flush()
ctypes.CDLL(None).malloc_stats()
print(asked)
"""


def _arenas(**more: str) -> tuple[int, str]:
    """Arenas that a program of many threads opened, and whether few were asked for."""
    done = subprocess.run(
        [sys.executable, "-c", _RUN], capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), **more},
    )  # fmt: skip
    return done.stderr.count("Arena "), done.stdout.strip()


def test_a_server_of_many_threads_takes_two_arenas() -> None:
    opened, asked = _arenas()
    assert asked == str(sys.platform == "linux" and platform.libc_ver()[0] == "glibc")
    if asked == "True":
        assert opened <= 2
        assert _arenas(MALLOC_ARENA_MAX="8")[0] > 2  # what it would be without


def test_what_the_person_set_is_left_as_it_is() -> None:
    assert _arenas(MALLOC_ARENA_MAX="4")[1] == "False"
