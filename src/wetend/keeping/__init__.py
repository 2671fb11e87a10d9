"""The only memory of computed things: bounded in bytes, named, one computation for equal calls.

:func:`kept` puts a bounded memory before a function, :func:`constant` one for what is read once
from tables the program ships; :class:`Keep` is the memory itself, for what belongs to a depot or is
put in by hand. :func:`figures` says of each how much it holds and of what use it was;
:func:`forget`, :func:`forget_owner` and :func:`forget_all` empty them. Not in here: what an object
computes once for itself (``functools.cached_property``), which lives and ends with it.
"""

from wetend.keeping.functions import Constant, KeptFunction, constant, kept
from wetend.keeping.memory import MB, Keep
from wetend.keeping.registry import Figures, figures, forget, forget_all, forget_owner
from wetend.keeping.weight import estimated_bytes

__all__ = [
    "MB", "Constant", "Figures", "Keep", "KeptFunction", "constant", "estimated_bytes", "figures",
    "forget", "forget_all", "forget_owner", "kept",
]  # fmt: skip
