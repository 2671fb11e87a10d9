"""Where compiled functions are kept from one run of the program to the next.

In a folder named after a digest of all sources here, of what compiles them and of the processor,
since a compiled function holds copies of those it calls: after any change or upgrade a new folder
is begun. It lies beside the sources where those can be written, else in the person's cache folder,
else nowhere; ``WETEND_COMPILED`` names another place.
"""

from __future__ import annotations

import hashlib
import os
import platform
import time
from importlib.metadata import version
from pathlib import Path

from platformdirs import user_cache_path

_HERE = Path(__file__).parent
_DONE, _CLAIM = "whole", "begun"


def processor(told: Path = Path("/proc/cpuinfo")) -> str:
    """What compiled code depends on of the processor, as far as the system tells.

    A folder may come along with a disk or a container's image.
    """
    found = [platform.machine()]
    try:
        with told.open(encoding="utf-8", errors="replace") as lines:
            for line in lines:
                if not line.strip():
                    break
                if line.startswith(("model name", "flags", "Features", "CPU part")):
                    found.append(line)
    except OSError:
        found.append(platform.processor())
    return "".join(found)


def _digest() -> str:
    whole = hashlib.sha256()
    for path in sorted(_HERE.glob("*.py")):
        whole.update(path.read_bytes())
    for name in (version("numba"), version("llvmlite"), platform.python_version(), processor()):
        whole.update(name.encode())
    return whole.hexdigest()[:16]


def _kept_in() -> Path | None:
    """Folder for compiled code, or ``None`` where none can be written."""
    name = f"compiled-{_digest()}"
    chosen = os.environ.get("WETEND_COMPILED")
    places = (_HERE / "__pycache__", user_cache_path("wetend"))
    for parent in (Path(chosen),) if chosen else places:
        folder = parent / name
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    return None


KEPT_IN = _kept_in()


def is_whole() -> bool:
    """Whether everything an answer needs has been compiled and kept."""
    return KEPT_IN is not None and (KEPT_IN / _DONE).exists()


def mark_whole() -> None:
    """Say that everything an answer needs is kept now."""
    if KEPT_IN is not None:
        (KEPT_IN / _DONE).touch()
        let_go()


def claim(longest: float) -> bool:
    """Whether it falls to this process to compile; a claim older than so many seconds is dead."""
    if KEPT_IN is None:
        return True
    place = KEPT_IN / _CLAIM
    try:
        if place.exists() and time.time() - place.stat().st_mtime > longest:
            place.unlink()
        place.touch(exist_ok=False)
    except FileExistsError:
        return False
    except OSError:
        return True
    return True


def let_go() -> None:
    """Give the claim up."""
    if KEPT_IN is not None:
        (KEPT_IN / _CLAIM).unlink(missing_ok=True)


def wait_for_whole(longest: float, pause: float) -> None:
    """Wait until another process has compiled everything, or gives up."""
    end = time.monotonic() + longest
    while not is_whole() and time.monotonic() < end and KEPT_IN and (KEPT_IN / _CLAIM).exists():
        time.sleep(pause)
