"""Save the C library from giving each thread memory of its own, which it never gives back.

The GNU C library opens up to eight arenas a processor, one for each thread that allocates while
another does, and what is freed in one serves no other. A server that answers forty pages at once
then takes half as much memory again, and goes on growing for many minutes. Python's threads seldom
allocate at the same moment, so two arenas serve them as well.

Source: mallopt(3), ``M_ARENA_MAX``; the number of the parameter is of ``malloc.h``.
"""

from __future__ import annotations

import ctypes
import os
import sys

_M_ARENA_MAX = -8
_ARENAS = 2


def few_arenas() -> bool:
    """Ask for two arenas, before threads are started; whether the C library knows of it.

    ``MALLOC_ARENA_MAX``, where set, is left as it is.
    """
    if sys.platform != "linux" or "MALLOC_ARENA_MAX" in os.environ:
        return False
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None)  # another C library has none
    return mallopt is not None and bool(mallopt(_M_ARENA_MAX, _ARENAS))
