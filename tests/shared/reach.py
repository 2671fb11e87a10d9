"""Which functions, methods and classes of the package a user can reach, read from the sources.

Nothing is imported of the package and nothing is run. From roots (the console script, the commands,
the application of the pages, the names that the documents name) the walk follows what each reached
definition uses: names, attributes of imported modules, modules named in texts. It errs towards
reached: an attribute of anything whose kind is not known reaches every method of that name in every
reached class, and so do the names in the templates.
"""

from __future__ import annotations

import ast
import builtins
import importlib
import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from source_uses import Uses, uses_of

Label = tuple[str, str]
"""A module's dotted name and a name in it, empty for the module's own statements."""
Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef
INERT = frozenset({
    "abstractmethod", "asynccontextmanager", "cache", "cached_property", "classmethod", "compiled",
    "constant", "contextmanager", "dataclass", "inlined", "inner", "kept", "lru_cache", "overload",
    "pass_context", "property", "staticmethod",
})  # fmt: skip
"""Decorators that hand a definition to nobody."""
CALLED_BY_FRAMEWORK = {
    "field_serializer": "pydantic calls it when it writes the object",
    "field_validator": "pydantic calls it when it reads the field",
    "model_serializer": "pydantic calls it when it writes the object",
    "model_validator": "pydantic calls it when it reads the object",
}
"""Decorators of methods that a framework calls once their class is used, each with its why."""


@dataclass
class Item:
    """A definition at a module's top level, a method, a constant or a module's own statements."""

    module: str
    name: str
    line: int
    kind: str
    uses: Uses
    on_class: bool = False
    """Reached as soon as its class is, since Python or a framework calls it."""

    @property
    def label(self) -> Label:
        return self.module, self.name


@dataclass
class Module:
    """One source file."""

    name: str
    path: Path
    imports: dict[str, tuple[str, str]] = field(default_factory=dict)
    """Local name to the module it comes from and its name there (empty: the module itself)."""
    items: dict[str, Item] = field(default_factory=dict)
    bases: dict[str, list[ast.expr]] = field(default_factory=dict)


def _decorator(node: ast.expr) -> tuple[str, ...]:
    target = node.func if isinstance(node, ast.Call) else node
    parts: list[str] = []
    while isinstance(target, ast.Attribute):
        parts.append(target.attr)
        target = target.value
    return (target.id, *reversed(parts)) if isinstance(target, ast.Name) else tuple(parts)


def read_module(name: str, path: Path) -> Module:
    """A source file taken apart."""
    module = Module(name, path)
    body = Item(name, "", 1, "module", Uses())
    module.items[""] = body
    package = name if path.name == "__init__.py" else name.rpartition(".")[0]
    tree = ast.parse(path.read_text("utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                target = alias.name if alias.asname else alias.name.split(".")[0]
                module.imports[alias.asname or target] = (target, "")
        elif isinstance(node, ast.ImportFrom):
            start = ".".join(package.split(".")[: len(package.split(".")) - node.level + 1])
            source = node.module or "" if not node.level else ".".join(
                part for part in (start, node.module) if part)  # fmt: skip
            for alias in node.names:
                module.imports[alias.asname or alias.name] = (source, alias.name)
    for statement in tree.body:
        _take(module, body, statement)
    return module


def _put(module: Module, item: Item) -> None:
    if item.name in module.items:
        module.items[item.name].uses.add(item.uses)
    else:
        module.items[item.name] = item


def _take(module: Module, body: Item, node: ast.stmt) -> None:
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
        _put(module, Item(module.name, node.name, node.lineno, "function", uses_of(node)))
        _registered(module, body, node)
    elif isinstance(node, ast.ClassDef):
        _take_class(module, body, node)
    elif isinstance(node, (ast.Assign, ast.AnnAssign)) and node.value is not None:
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        names = [n.id for t in targets for n in ast.walk(t) if isinstance(n, ast.Name)
                 and isinstance(n.ctx, ast.Store)]  # fmt: skip
        annotation = node.annotation if isinstance(node, ast.AnnAssign) else None
        for name in names:
            uses = uses_of(node.value, annotation)
            _put(module, Item(module.name, name, node.lineno, "constant", uses))
        if not names:
            body.uses.add(uses_of(node))
    elif isinstance(node, (ast.If, ast.Try, ast.With, ast.For, ast.While)):
        inside = [n for n in ast.iter_child_nodes(node) if isinstance(n, ast.stmt)]
        inside += [s for h in getattr(node, "handlers", []) for s in h.body]
        body.uses.add(uses_of(*(n for n in ast.iter_child_nodes(node) if isinstance(n, ast.expr))))
        for each in inside:
            _take(module, body, each)
    elif not isinstance(node, (ast.Import, ast.ImportFrom)):
        body.uses.add(uses_of(node))


def _registered(
    module: Module, body: Item, node: ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef
) -> None:
    """A decorator that keeps what it decorates: whoever uses its object reaches the definition."""
    for each in node.decorator_list:
        said = _decorator(each)
        if said and said[-1] in INERT:
            continue
        holder = module.items.get(said[0]) if len(said) > 1 else None
        (holder or body).uses.names.add(node.name)


def _take_class(module: Module, body: Item, node: ast.ClassDef) -> None:
    own = [n for n in node.body if not isinstance(n, (ast.FunctionDef, ast.AsyncFunctionDef))]
    uses = uses_of(*node.decorator_list, *node.bases, *node.keywords, *own)
    _put(module, Item(module.name, node.name, node.lineno, "class", uses))
    module.bases[node.name] = list(node.bases)
    _registered(module, body, node)
    for each in node.body:
        if isinstance(each, (ast.FunctionDef, ast.AsyncFunctionDef)):
            said = {_decorator(d)[-1:] for d in each.decorator_list}
            by_framework = any(name and name[0] in CALLED_BY_FRAMEWORK for name in said)
            dunder = each.name.startswith("__") and each.name.endswith("__")
            _put(module, Item(module.name, f"{node.name}.{each.name}", each.lineno, "method",
                              uses_of(each), by_framework or dunder))  # fmt: skip


def read_package(source: Path, package: str) -> dict[str, Module]:
    """All sources of a package under a folder, by dotted name."""
    found = {}
    for path in sorted((source / package).rglob("*.py")):
        parts = path.relative_to(source).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = read_module(name, path)
    return found


class Walk:
    """The package's sources and what has been reached in them so far."""

    def __init__(self, modules: dict[str, Module]) -> None:
        self.modules = modules
        self.reached: set[Label] = set()
        self.attributes: set[str] = set()
        self.dynamic: set[str] = set()
        """Modules handed about as objects: an attribute of anything may be theirs."""
        self._waiting: list[Label] = []
        self._methods: dict[Label, list[Item]] = defaultdict(list)
        for module in self.modules.values():
            for item in module.items.values():
                if item.kind == "method":
                    self._methods[module.name, item.name.split(".")[0]].append(item)

    def items(self) -> Iterator[Item]:
        for module in self.modules.values():
            yield from module.items.values()

    def resolve(self, module: str, name: str, seen: frozenset[Label] = frozenset()) -> Label | None:
        """Where a module's global name is defined; a module's own name is its module and ''."""
        if (module, name) in seen or module not in self.modules:
            return None
        here = self.modules[module]
        if name in here.items:
            return module, name
        if name in here.imports:
            source, original = here.imports[name]
            whole = f"{source}.{original}" if original else source
            if whole in self.modules:
                return whole, ""
            return self.resolve(source, original, seen | {(module, name)})
        if f"{module}.{name}" in self.modules:
            return f"{module}.{name}", ""
        return None

    def reach(self, dotted: str) -> None:
        """Begin from a definition or module, named in full.

        Raises:
            KeyError: there is none of that name.
        """
        target = self._label(dotted)
        if target is None:
            raise KeyError(dotted)
        if "." in target[1]:
            self._found((target[0], target[1].split(".")[0]))
        self._found(target)
        self._settle()

    def exists(self, dotted: str) -> bool:
        """Whether a module, function, class or method goes by this full name."""
        return self._label(dotted) is not None

    def is_reached(self, dotted: str) -> bool:
        """Whether a function, class or method, named in full, is reached."""
        return self._label(dotted) in self.reached

    def _label(self, dotted: str) -> Label | None:
        if dotted in self.modules:
            return dotted, ""
        module, _, name = dotted.rpartition(".")
        target = self.resolve(module, name)
        if target is None and module.rpartition(".")[0] in self.modules:
            owner = self.resolve(*module.rpartition(".")[::2])
            if owner and f"{owner[1]}.{name}" in self.modules[owner[0]].items:
                target = owner[0], f"{owner[1]}.{name}"
        return target

    def _found(self, label: Label) -> None:
        if label not in self.reached:
            self.reached.add(label)
            self._waiting.append(label)
            if label[1]:
                self._found((label[0], ""))

    def _settle(self) -> None:
        before = -1
        while self._waiting or before != len(self.reached):
            before = len(self.reached)
            while self._waiting:
                self._follow(self._waiting.pop())
            for module, name in list(self.reached):
                for method in self._methods.get((module, name), ()):
                    if self._is_called(method):
                        self._found(method.label)
            for module in self.dynamic:
                for name in self.attributes & self.modules[module].items.keys():
                    self._found((module, name))

    def _is_called(self, method: Item) -> bool:
        name = method.name.split(".")[1]
        return method.on_class or name in self.attributes or self._overrides(method)

    def _overrides(self, method: Item) -> bool:
        """Whether a class of a library that the class derives from has, and so calls, that name."""
        owner, name = method.name.split(".")
        return any(hasattr(base, name) for base in self._foreign(method.module, owner))

    def _foreign(self, module: str, owner: str) -> Iterator[type]:
        for base in self.modules[module].bases.get(owner, ()):
            said = _decorator(base.value if isinstance(base, ast.Subscript) else base)
            target = self.resolve(module, said[0]) if said else None
            for part in said[1:]:
                target = self.resolve(target[0], part) if target and not target[1] else None
            if target and target[1]:
                yield from self._foreign(*target)
            elif said and hasattr(builtins, said[0]):
                yield getattr(builtins, said[0])
            elif said and said[0] in self.modules[module].imports:
                source, original = self.modules[module].imports[said[0]]
                found = importlib.import_module(source)
                for part in (*([original] if original else []), *said[1:]):
                    found = getattr(found, part)
                yield found

    def _follow(self, label: Label) -> None:
        module = self.modules[label[0]]
        item = module.items[label[1]]
        if not label[1]:
            self._follow_imports(module)
        for name in item.uses.names:
            self._use(module.name, (name,))
        for dotted in item.uses.dotted:
            self._use(module.name, dotted)
        self.attributes |= item.uses.attributes
        for text in item.uses.texts:
            name, _, inside = text.partition(":")
            if "." in name and name in self.modules:
                self._found((name, ""))
                self.dynamic.add(name)
                if inside in self.modules[name].items:
                    self._found((name, inside))

    def _follow_imports(self, module: Module) -> None:
        parts = module.name.split(".")
        above = (".".join(parts[:count]) for count in range(1, len(parts)))
        for name in filter(self.modules.__contains__, above):
            self._found((name, ""))
        for source, original in module.imports.values():
            for whole in (source, f"{source}.{original}"):
                if whole in self.modules:
                    self._found((whole, ""))

    def _use(self, module: str, dotted: tuple[str, ...]) -> None:
        target = self.resolve(module, dotted[0])
        rest = dotted[1:]
        while target and not target[1] and rest:
            target, rest = self.resolve(target[0], rest[0]), rest[1:]
        if target:
            self._found(target)
            if not target[1]:
                self.dynamic.add(target[0])
        self.attributes.update(rest)

    def unreached(self) -> list[Item]:
        """Functions, classes and methods of reached classes that nobody reaches."""
        found = []
        for item in self.items():
            if item.kind not in {"function", "class", "method"} or item.label in self.reached:
                continue
            owner = item.name.split(".")[0]
            if item.kind != "method" or (item.module, owner) in self.reached:
                found.append(item)
        return found


_TEMPLATE = re.compile(r"\{[{%](.*?)[%}]\}", re.DOTALL)


def template_names(folder: Path) -> set[str]:
    """Names that templates ask of what they are given."""
    texts = (path.read_text("utf-8") for path in sorted(folder.rglob("*.html")))
    pieces = (piece for text in texts for piece in _TEMPLATE.findall(text))
    return {name for piece in pieces for name in re.findall(r"\.\s*(\w+)", piece)}
