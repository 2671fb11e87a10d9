"""Where compiled functions are kept from one run of the program to the next.

In a folder named after a digest of all sources beside them, of what compiles them and of the
processor, since a compiled function holds copies of those it calls: after any change or upgrade a
new folder is begun. It lies beside the sources where those can be written, else in the person's
cache folder, else nowhere; ``WETEND_COMPILED`` names another place.
"""

from __future__ import annotations

import hashlib
import os
import platform
from importlib.metadata import version
from pathlib import Path

from platformdirs import user_cache_path


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


def _digest(sources: Path) -> str:
    whole = hashlib.sha256()
    for path in sorted(sources.glob("*.py")):
        whole.update(path.read_bytes())
    for name in (version("numba"), version("llvmlite"), platform.python_version(), processor()):
        whole.update(name.encode())
    return whole.hexdigest()[:16]


def kept_in(sources: Path) -> Path | None:
    """Folder for what is compiled of a folder of sources, or ``None`` where none can be written."""
    name = f"compiled-{sources.name}-{_digest(sources)}"
    chosen = os.environ.get("WETEND_COMPILED")
    places = (sources / "__pycache__", user_cache_path("wetend"))
    for parent in (Path(chosen),) if chosen else places:
        folder = parent / name
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    return None
