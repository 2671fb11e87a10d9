"""Lazy imports of large libraries.

SciPy's parts and Pillow take from a tenth of a second to half a second each, and most commands and
pages use none or one of them. A name here stands for one; its functions are looked up at the first
call.
"""

from __future__ import annotations

import importlib
from typing import Any


class Late:
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


numpy: Any = Late("numpy")
special: Any = Late("scipy.special")
optimize: Any = Late("scipy.optimize")
integrate: Any = Late("scipy.integrate")
distributions: Any = Late("scipy.stats")
sparse: Any = Late("scipy.sparse")
sparse_linalg: Any = Late("scipy.sparse.linalg")
image: Any = Late("scipy.ndimage")
picture: Any = Late("PIL.Image")
postgresql: Any = Late("sqlalchemy.dialects.postgresql")
sqlite_dialect: Any = Late("sqlalchemy.dialects.sqlite")
llvm: Any = Late("llvmlite.binding")
