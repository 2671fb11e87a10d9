"""Small mutations of the sources: where each may be made, and the source with one made.

A site is an operator, a number or a statement that a slip of the pen could turn into another. Not
drawn: texts, annotations, decorators, ``__repr__``, the ends of declared ranges (``ge``, ``le`` and
lengths of a ``Field``: chosen so wide that nothing hangs on a fifth), indices other than first and
last, and 0.0 (a fifth more of it is the same).
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.Gt), ast.LtE: (ast.Lt, ast.GtE), ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.LtE), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
}  # fmt: skip
COMPUTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
}  # fmt: skip
NAMES = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum",
         "sin": "cos", "cos": "sin"}  # fmt: skip
MORE = 1.2
SHORT = 30
RANGES = frozenset({"ge", "le", "min_length", "max_length"})


@dataclass(frozen=True)
class Mutation:
    """One change of one place of one file."""

    path: Path
    line: int
    span: tuple[int, int]
    """Bytes of the source that are replaced."""
    kind: str
    before: str
    after: str
    beside: str = ""
    """The line it stands in."""

    @property
    def change(self) -> str:
        """The change, on one line."""
        return f"{_short(self.before)} -> {_short(self.after)}"

    @property
    def what(self) -> str:
        """The same; of a short one with what stands beside it."""
        return self.change if len(self.change) > SHORT else f"{self.change} in: {self.beside}"

    def source(self) -> str:
        """The file with the change made."""
        whole = self.path.read_bytes()
        made = whole[: self.span[0]] + self.after.encode() + whole[self.span[1] :]
        return made.decode()


def _short(text: str) -> str:
    return " ".join(text.split())


class _Sites(ast.NodeVisitor):
    """Gathers what may be changed of one file."""

    def __init__(self, path: Path) -> None:
        self.path, self.source = path, path.read_bytes()
        self.starts = [0]
        for line in self.source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))
        self.found: list[Mutation] = []

    def _span(self, node: ast.expr | ast.stmt) -> tuple[int, int]:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return (self.starts[node.lineno - 1] + node.col_offset,
                self.starts[node.end_lineno - 1] + node.end_col_offset)  # fmt: skip

    def _text(self, span: tuple[int, int]) -> str:
        return self.source[span[0] : span[1]].decode()

    def _add(self, node: ast.expr | ast.stmt, kind: str, after: str) -> None:
        self._found(self._span(node), node.lineno, kind, after)

    def _found(self, span: tuple[int, int], line: int, kind: str, after: str) -> None:
        beside = self._text((self.starts[line - 1], self.starts[line])).strip()
        self.found.append(
            Mutation(self.path, line, span, kind, self._text(span), after, beside)
        )  # fmt: skip

    def _between(self, left: ast.expr, right: ast.expr, was: str, then: str) -> str | None:
        """What stands between two operands, brackets and all, with its operator exchanged."""
        gap = self._text((self._span(left)[1], self._span(right)[0]))
        return gap.replace(was, then, 1) if was in gap and "#" not in gap else None

    def _operator(
        self, node: ast.expr, sides: tuple[ast.expr, ast.expr], kind: str, signs: tuple[str, str]
    ) -> None:
        left, right = sides
        gap = self._between(left, right, *signs)
        if gap is None:
            return
        span, first, last = self._span(node), self._span(left)[1], self._span(right)[0]
        after = self._text((span[0], first)) + gap + self._text((last, span[1]))
        self._found(span, left.end_lineno or left.lineno, kind, after)

    def visit_Compare(self, node: ast.Compare) -> None:
        """Each of its operators."""
        operands = (node.left, *node.comparators)
        for number, op in enumerate(node.ops):
            for other in COMPARED[type(op)]:
                sides = operands[number], operands[number + 1]
                self._operator(node, sides, "compare", (_SIGNS[type(op)], _SIGNS[other]))
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        """Its operator, unless it joins texts."""
        other = COMPUTED.get(type(node.op))
        if other is not None and not any(map(_textual, (node.left, node.right))):
            signs = _SIGNS[type(node.op)], _SIGNS[other]
            self._operator(node, (node.left, node.right), "arithmetic", signs)
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        """All its operators at once; operands in brackets, so that none binds otherwise."""
        word = " or " if isinstance(node.op, ast.And) else " and "
        joined = word.join(f"({self._text(self._span(v))})" for v in node.values)
        self._add(node, "and/or", f"({joined})")
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        """A negation left out."""
        if isinstance(node.op, ast.Not):
            self._add(node, "not left out", f"({self._text(self._span(node.operand))})")
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        """A number or a truth."""
        value = node.value
        if isinstance(value, bool):
            self._add(node, "true/false", str(not value))
        elif isinstance(value, int):
            self._add(node, "number", str(value + 1))
        elif isinstance(value, float) and value:
            self._add(node, "number", repr(value * MORE))

    def visit_Name(self, node: ast.Name) -> None:
        """The least for the greatest, sine for cosine."""
        if isinstance(node.ctx, ast.Load) and node.id in NAMES:
            self._add(node, "function", NAMES[node.id])

    def visit_Attribute(self, node: ast.Attribute) -> None:
        """The same where it is a module's."""
        root = node.value
        if node.attr in NAMES and isinstance(root, ast.Name) and root.id in ("math", "np"):
            self._add(node, "function", f"{root.id}.{NAMES[node.attr]}")
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        """All of it but the ends of a declared range."""
        declares = isinstance(node.func, ast.Name) and node.func.id == "Field"
        for part in (node.func, *node.args):
            self.visit(part)
        for named in node.keywords:
            if not (declares and named.arg in RANGES):
                self.visit(named.value)

    def visit_Subscript(self, node: ast.Subscript) -> None:
        """The first for the last."""
        self.visit(node.value)
        inside = _text_of(node.slice)
        if inside in ("0", "-1"):
            self._add(node.slice, "first/last", "-1" if inside == "0" else "0")
        elif inside is None:
            self.visit(node.slice)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        """The statement left out."""
        self._add(node, "statement left out", "pass")
        self.generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        """Its value; not its annotation."""
        if node.value is not None:
            self.visit(node.value)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Texts are not drawn."""

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        """Its body; not its decorators."""
        for statement in node.body:
            self.visit(statement)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        """Its defaults and its body; not its annotations and decorators."""
        if node.name == "__repr__":
            return
        for default in (*node.args.defaults, *node.args.kw_defaults):
            if default is not None:
                self.visit(default)
        for statement in node.body:
            self.visit(statement)

    def visit_If(self, node: ast.If) -> None:
        """Not what only the type checker reads."""
        if not (isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"):
            self.generic_visit(node)


_SIGNS: dict[type[ast.AST], str] = {
    ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!=",
    ast.Is: "is", ast.IsNot: "is not", ast.In: "in", ast.NotIn: "not in",
    ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/",
}  # fmt: skip


def _textual(node: ast.expr) -> bool:
    """Whether an operand is surely a text, a list or a tuple."""
    kinds = (ast.JoinedStr, ast.List, ast.Tuple, ast.ListComp)
    return isinstance(node, kinds) or (
        isinstance(node, ast.Constant) and isinstance(node.value, (str, bytes))
    )


def _text_of(index: ast.expr) -> str | None:
    """A whole number that an index is, as text."""
    text = ast.unparse(index)
    return text if text.lstrip("-").isdigit() else None


def mutations_of(path: Path) -> list[Mutation]:
    """Every mutation that may be made of a file, in its order; all of them still Python."""
    sites = _Sites(path)
    sites.visit(ast.parse(sites.source))
    return sorted(sites.found, key=lambda m: (m.span, m.kind, m.after))


def modules_of(package: Path, rooms: tuple[str, ...], left_out: tuple[str, ...]) -> list[Path]:
    """Modules of these rooms of a package, less those whose place begins with one left out."""
    return [path for path in _modules(package, rooms)
            if not path.relative_to(package).as_posix().startswith(left_out)]  # fmt: skip


def _modules(package: Path, rooms: tuple[str, ...]) -> Iterator[Path]:
    for room in rooms:
        yield from sorted(p for p in (package / room).rglob("*.py") if p.name != "__init__.py")
