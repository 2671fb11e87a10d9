"""A formula as typed, such as ``a*b/(c-d)``, computed safely: arithmetic and a few functions."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping

from wetend.errors import BadInput, NoAnswer
from wetend.units.message import Message, joined

_TWO: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul,
    ast.Div: operator.truediv, ast.Pow: math.pow,
}  # fmt: skip
_ONE: dict[type[ast.unaryop], Callable[[float], float]] = {
    ast.UAdd: operator.pos, ast.USub: operator.neg,
}  # fmt: skip
_NAMED: dict[str, Callable[[float], float]] = {
    "sqrt": math.sqrt, "exp": math.exp, "log": math.log, "sin": math.sin, "cos": math.cos,
    "tan": math.tan, "atan": math.atan, "abs": math.fabs,
}  # fmt: skip
FUNCTIONS = tuple(_NAMED)
"""Functions a formula may use; ``log`` is the natural logarithm, angles are in radians."""
_LONGEST = 300


def parsed(formula: str) -> ast.expr:
    """A formula ready to be computed.

    Raises:
        BadInput: not a formula, or one that holds more than numbers, names and ``+-*/^()``.
    """
    text = formula.replace("^", "**")
    if len(text) > _LONGEST:
        raise BadInput(
            Message("The formula is longer than {longest} characters.", longest=_LONGEST)
        )
    try:
        tree = ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError) as error:
        raise BadInput(Message("The formula can't be read; write it like a*b/(c-d).")) from error
    _checked(tree)
    return tree


def _checked(node: ast.expr) -> None:
    """See that a formula holds nothing but arithmetic."""
    match node:
        case ast.Constant(value=int() | float()) if not isinstance(node.value, bool):
            return
        case ast.Name():
            return
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _TWO:
            _checked(left)
            _checked(right)
        case ast.UnaryOp(op=op, operand=inner) if type(op) in _ONE:
            _checked(inner)
        case ast.Call(func=ast.Name(id=name), args=[inner], keywords=[]) if name in _NAMED:
            _checked(inner)
        case _:
            raise BadInput(
                Message(
                    "A formula holds numbers, names, + - * / ^, brackets and one of {functions}.",
                    functions=joined(", ", FUNCTIONS),
                )
            )


def names_in(tree: ast.expr) -> tuple[str, ...]:
    """Names a formula uses, in the order written, functions left out."""
    called = {id(n.func) for n in ast.walk(tree) if isinstance(n, ast.Call)}
    found = [n for n in ast.walk(tree) if isinstance(n, ast.Name) and id(n) not in called]
    found.sort(key=lambda n: (n.lineno, n.col_offset))
    return tuple(dict.fromkeys(n.id for n in found))


def worked_out(tree: ast.expr, values: Mapping[str, float]) -> float:
    """A formula's value.

    Raises:
        NoAnswer: a division by zero, a root of less than zero, or a number too large.

    >>> worked_out(parsed("a*b - sqrt(c)/2"), {"a": 2.0, "b": 3.0, "c": 16.0})
    4.0
    """
    try:
        value = _value(tree, values)
    except (ZeroDivisionError, ValueError, OverflowError) as error:
        raise NoAnswer(
            Message("The formula has no value there: a division by zero or the like.")
        ) from (error)
    if not math.isfinite(value):
        raise NoAnswer(Message("The formula's value is too large there."))
    return value


def _value(node: ast.expr, values: Mapping[str, float]) -> float:
    match node:
        case ast.Constant():
            return float(str(node.value))
        case ast.Name(id=name):
            return values[name]
        case ast.BinOp(left=left, op=op, right=right):
            return _TWO[type(op)](_value(left, values), _value(right, values))
        case ast.UnaryOp(op=sign, operand=inner):
            return _ONE[type(sign)](_value(inner, values))
        case ast.Call(func=ast.Name(id=name), args=[inner]):
            return _NAMED[name](_value(inner, values))
    raise BadInput(Message("The formula can't be read."))
