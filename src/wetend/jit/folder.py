"""Where compiled functions are kept from one run of the program to the next.

In a folder named after a digest of all sources beside them and of this package, of what compiles
them and of the processor, since a compiled function holds copies of those it calls: after any
change or upgrade a new folder is begun. It lies beside the sources where those can be written, else
in the person's cache folder, else nowhere; ``WETEND_COMPILED`` names another place.
"""

from __future__ import annotations

import hashlib
import os
import platform
import sys
import time
from importlib.metadata import version
from pathlib import Path

from platformdirs import user_cache_path

from wetend.keeping import constant

_WHOLE, _CLAIM = "whole", "begun"


def processor(description: Path = Path("/proc/cpuinfo")) -> str:
    """What compiled code depends on of the processor, as far as the system says.

    A folder may come along with a disk or a container's image.
    """
    found = [platform.machine()]
    try:
        with description.open(encoding="utf-8", errors="replace") as lines:
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
    for folder in (sources, Path(__file__).parent):
        for path in sorted(folder.glob("*.py")):
            whole.update(path.read_bytes())
    for name in (version("numba"), version("llvmlite"), platform.python_version(), processor()):
        whole.update(name.encode())
    return whole.hexdigest()[:16]


def folder_for(sources: Path) -> Path | None:
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


class CompiledCode:
    """What has been compiled of a package already, and whose turn it is to compile the rest."""

    def __init__(self, folder: Path | None) -> None:
        """Nothing is written yet.

        Args:
            folder: where compiled functions are kept; ``None`` where they can't be.
        """
        self.folder = folder

    @property
    def object_file(self) -> Path | None:
        """The same as object code, which is read without the compiler: :mod:`.object_code`."""
        return None if self.folder is None else self.folder / "native.object"

    def is_whole(self) -> bool:
        """Whether everything the package's answers need has been compiled and kept."""
        return self.folder is not None and (self.folder / _WHOLE).exists()

    def mark_whole(self) -> None:
        """Record that everything the package's answers need is kept now."""
        if self.folder is not None:
            (self.folder / _WHOLE).touch()
            self.let_go()

    def claim(self, longest: float) -> bool:
        """Whether it falls to this process to compile; a claim older than ``longest`` s is dead."""
        if self.folder is None:
            return True
        place = self.folder / _CLAIM
        try:
            if place.exists() and time.time() - place.stat().st_mtime > longest:
                place.unlink()
            place.touch(exist_ok=False)
        except FileExistsError:
            return False
        except OSError:
            return True
        return True

    def let_go(self) -> None:
        """Give the claim up."""
        if self.folder is not None:
            (self.folder / _CLAIM).unlink(missing_ok=True)

    def wait_for_whole(self, longest: float, pause: float) -> None:
        """Wait until another process has compiled everything, or gives up."""
        if self.folder is None:
            return
        end, claim = time.monotonic() + longest, self.folder / _CLAIM
        while not self.is_whole() and time.monotonic() < end and claim.exists():
            time.sleep(pause)


@constant("folders of compiled code")
def code_of(package: str) -> CompiledCode:
    """Compiled code of one of this program's packages; of any other nothing is kept."""
    file = getattr(sys.modules.get(package), "__file__", None)
    ours = package.startswith(__name__.partition(".")[0] + ".")
    return CompiledCode(folder_for(Path(file).parent) if ours and file else None)
