"""How a function says with which types it can be compiled.

Each stays the plain function it is, which answers at once on a machine that never compiled
anything; :mod:`.compiling` makes the compiled one of it, with this one signature. The notation here
needs no compiler, so that nothing waits for one to be loaded.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

Function = TypeVar("Function", bound=Callable[..., Any])


@dataclass(frozen=True)
class Kind:
    """Type of what a compiled function takes or returns.

    ``form`` is ``number`` or ``array`` (then ``name`` says of what, and ``size`` of how many
    dimensions), ``tuple`` or ``named`` (of ``parts``; the latter of class ``cls``), or ``function``
    (the first part is what it returns, the others what it takes).
    """

    form: str
    name: str = ""
    size: int = 0
    parts: tuple[Kind, ...] = ()
    cls: type | None = None

    def __call__(self, *takes: Kind) -> Kind:
        """Signature of a function that takes these and returns this."""
        return Kind("function", parts=(self, *takes))


Real = Kind("number", "float64")
Whole = Kind("number", "int64")
Flag = Kind("number", "boolean")
Nothing = Kind("number", "void")
Reals = Kind("array", "float64", 1)
Wholes = Kind("array", "int64", 1)
Table = Kind("array", "float64", 2)
WholeTable = Kind("array", "int64", 2)


def several(*parts: Kind) -> Kind:
    """Kind of a plain tuple."""
    return Kind("tuple", parts=parts)


def reals(count: int) -> Kind:
    """Kind of a plain tuple of real numbers."""
    return several(*(Real,) * count)


def pack_of(cls: type, *parts: Kind) -> Kind:
    """Kind of a named tuple."""
    return Kind("named", parts=parts, cls=cls)


def numbers(cls: type) -> Kind:
    """Kind of a named tuple of real numbers."""
    return pack_of(cls, *(Real,) * len(cls._fields))  # type: ignore[attr-defined]


@dataclass(frozen=True)
class JitSpec:
    """How a function is to be compiled."""

    signature: Kind
    inner: bool = False
    """Only compiled functions call it."""
    inlined: bool = False
    """Copied into each compiled function that calls it."""
    fused: bool = False
    """A product and a sum may be rounded once instead of twice."""
    one: Callable[..., Any] | None = None
    """What is compiled in its place: the same for one number, where it takes arrays too."""


SPECS: dict[Callable[..., Any], JitSpec] = {}
"""Every function that can be compiled."""


def compiled(signature: Kind, *, fused: bool = False) -> Callable[[Function], Function]:
    """Declare that a function can be compiled, for this one signature."""
    return _declare(JitSpec(signature, fused=fused))


def inner(
    signature: Kind, *, fused: bool = False, one: Callable[..., Any] | None = None
) -> Callable[[Function], Function]:
    """Declare so of one that only compiled functions call: quicker to compile.

    ``one`` is compiled in its place: the same for one number, where it takes arrays too.
    """
    return _declare(JitSpec(signature, inner=True, fused=fused, one=one))


def inlined(signature: Kind) -> Callable[[Function], Function]:
    """Declare so of one that is copied into each compiled one that calls it: quicker to run."""
    return _declare(JitSpec(signature, inner=True, inlined=True))


def _declare(spec: JitSpec) -> Callable[[Function], Function]:
    def declared(function: Function) -> Function:
        SPECS[function] = spec
        return function

    return declared
