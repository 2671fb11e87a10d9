"""Lazy imports of large libraries.

SciPy's parts and Pillow take from a tenth of a second to half a second each, and most commands and
pages use none or one of them. A name here stands for one; its functions are looked up at the first
call.
"""

from __future__ import annotations

import importlib
from typing import Any


class LazyModule:
    """A module imported at its first attribute access."""

    def __init__(self, name: str) -> None:
        """Only the name is kept.

        Args:
            name: as in an import.
        """
        self._name = name

    def __getattr__(self, wanted: str) -> Any:
        """Something of the module, kept from then on.

        Raises:
            AttributeError: the module has none of that name.
            ImportError: there is no such module.
        """
        if wanted.startswith("__"):
            raise AttributeError(wanted)
        found = getattr(importlib.import_module(self._name), wanted)
        setattr(self, wanted, found)
        return found


numpy: Any = LazyModule("numpy")
special: Any = LazyModule("scipy.special")
optimize: Any = LazyModule("scipy.optimize")
integrate: Any = LazyModule("scipy.integrate")
distributions: Any = LazyModule("scipy.stats")
sparse: Any = LazyModule("scipy.sparse")
sparse_linalg: Any = LazyModule("scipy.sparse.linalg")
image: Any = LazyModule("scipy.ndimage")
picture: Any = LazyModule("PIL.Image")
postgresql: Any = LazyModule("sqlalchemy.dialects.postgresql")
sqlite_dialect: Any = LazyModule("sqlalchemy.dialects.sqlite")
llvm: Any = LazyModule("llvmlite.binding")
