"""What a piece of Python source uses: names, attributes and texts, read from its syntax tree."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass, field

COMPREHENSIONS = (ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)
Body = list[ast.stmt] | list[ast.expr]


@dataclass
class Uses:
    """What a piece of source uses: global names, dotted names, attributes, texts."""

    names: set[str] = field(default_factory=set)
    dotted: set[tuple[str, ...]] = field(default_factory=set)
    attributes: set[str] = field(default_factory=set)
    texts: set[str] = field(default_factory=set)

    def add(self, other: Uses) -> None:
        for name in ("names", "dotted", "attributes", "texts"):
            getattr(self, name).update(getattr(other, name))


class Reader(ast.NodeVisitor):
    """Collects what a node uses, leaving out names that are local where they stand."""

    def __init__(self) -> None:
        self.uses = Uses()
        self.local: list[set[str]] = []

    def visit_Name(self, node: ast.Name) -> None:
        if isinstance(node.ctx, ast.Load) and not any(node.id in names for names in self.local):
            self.uses.names.add(node.id)

    def visit_Attribute(self, node: ast.Attribute) -> None:
        parts: list[str] = []
        inner: ast.expr = node
        while isinstance(inner, ast.Attribute):
            parts.append(inner.attr)
            inner = inner.value
        if isinstance(inner, ast.Name) and not any(inner.id in names for names in self.local):
            self.uses.dotted.add((inner.id, *reversed(parts)))
        else:
            self.uses.attributes.update(parts)
            self.visit(inner)

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, str):
            self.uses.texts.add(node.value)

    def visit_Expr(self, node: ast.Expr) -> None:
        if not isinstance(node.value, ast.Constant):  # a docstring uses nothing
            self.visit(node.value)

    def visit_FunctionDef(self, node: ast.FunctionDef | ast.AsyncFunctionDef) -> None:
        for each in node.decorator_list:
            self.visit(each)
        self._function(node.args, [*node.body, *([node.returns] if node.returns else [])])

    visit_AsyncFunctionDef = visit_FunctionDef  # noqa: N815 - as the library names it

    def visit_Lambda(self, node: ast.Lambda) -> None:
        self._function(node.args, [node.body])

    def _function(self, args: ast.arguments, body: Body) -> None:
        every = [*args.posonlyargs, *args.args, *args.kwonlyargs]
        every += [each for each in (args.vararg, args.kwarg) if each]
        for default in [*args.defaults, *(d for d in args.kw_defaults if d)]:
            self.visit(default)
        for arg in every:
            if arg.annotation:
                self.visit(arg.annotation)
        self._within({arg.arg for arg in every} | set(_stored(body)), body)

    def _within(self, names: set[str], nodes: Body) -> None:
        self.local.append(names)
        for each in nodes:
            self.visit(each)
        self.local.pop()

    def _comprehension(
        self, node: ast.ListComp | ast.SetComp | ast.DictComp | ast.GeneratorExp
    ) -> None:
        self.visit(node.generators[0].iter)
        names = {
            n.id for g in node.generators for n in ast.walk(g.target) if isinstance(n, ast.Name)
        }
        rest = [g.iter for g in node.generators[1:]] + [c for g in node.generators for c in g.ifs]
        rest += [node.key, node.value] if isinstance(node, ast.DictComp) else [node.elt]
        self._within(names, rest)

    visit_ListComp = visit_SetComp = visit_DictComp = visit_GeneratorExp = _comprehension  # noqa: N815


def _stored(body: Body) -> Iterator[str]:
    """Names that a function's own statements bind, not those of functions inside it."""
    waiting: list[ast.AST] = list(body)
    shared: set[str] = set()
    found: set[str] = set()
    while waiting:
        node = waiting.pop()
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)):
            found.add(node.name)
            continue
        if isinstance(
            node, (ast.Lambda, ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)
        ):
            continue
        if isinstance(node, (ast.Global, ast.Nonlocal)):
            shared.update(node.names)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            found.add(node.id)
        elif (isinstance(node, ast.ExceptHandler) and node.name) or (
            isinstance(node, (ast.MatchAs, ast.MatchStar)) and node.name
        ):
            found.add(node.name)
        waiting += ast.iter_child_nodes(node)
    yield from found - shared


def uses_of(*nodes: ast.AST | None) -> Uses:
    """What these pieces of source use."""
    reader = Reader()
    for node in filter(None, nodes):
        reader.visit(node)
    return reader.uses
