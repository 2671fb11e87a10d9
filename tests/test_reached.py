"""Nothing in the package that no page, command, calculator or document reaches."""

from __future__ import annotations

from pathlib import Path

from reach import Walk, read_package
from user_reach import CALLED_FROM_OUTSIDE, ROOT, documented, reached_by_users, sources


def test_every_function_method_and_class_is_reached_by_a_user() -> None:
    """What fails here is wired to a page, a command or a calculator, or deleted with its tests."""
    walked = reached_by_users()
    lost = [
        f"{walked.modules[item.module].path.relative_to(ROOT)}:{item.line} {item.kind} {item.name}"
        for item in walked.unreached()
    ]
    assert not lost, "nobody reaches\n" + "\n".join(lost)


def test_the_walk_sees_the_whole_package() -> None:
    assert len(sources()) > 300
    kinds = [item.kind for item in reached_by_users().items()]
    assert kinds.count("function") > 2000
    assert kinds.count("class") > 500


def test_what_a_framework_calls_says_why() -> None:
    assert all(why.strip() for why in CALLED_FROM_OUTSIDE.values())


def test_documents_name_only_what_there_is() -> None:
    walked = reached_by_users()
    gone = [
        n for n in documented() if not walked.exists(n) and not n.endswith((".fish", ".mo", ".pot"))
    ]
    assert not gone


SOURCES = {
    "__init__.py": "",
    "app.py": """
import pkg.late
from pkg.shapes import Square, area as sized, Unused
from pkg import tools
from html.parser import HTMLParser

commands = []

class Table:
    def add(self, function):
        return function

table = Table()
other = Table()

@table.add
def listed():
    return _helper("pkg.texts")

@other.add
def of_nobody():
    return 1

def _helper(name):
    shape = Square()
    shape.turned
    lonely = 3  # a local name of a function that nobody calls
    return lonely, sized(shape), tools.used(), getattr(__import__(name), "said")

def main():
    return table

def lonely():
    return tools.forgotten()

class Window(HTMLParser):
    def handle_data(self, data):
        return None
    def mine(self):
        return None

def show():
    return Window()
""",
    "late.py": "def hidden():\n    pass\n",
    "texts.py": "",
    "shapes.py": """
class Base:
    def __len__(self):
        return 0
    @property
    def turned(self):
        return self
    def never(self):
        return self

class Square(Base):
    pass

class Unused:
    pass

def area(shape):
    return len(shape)
""",
    "tools.py": "def used():\n    pass\n\ndef forgotten():\n    pass\n",
}


def test_the_walk_finds_what_is_lost_and_nothing_else(tmp_path: Path) -> None:
    for name, text in SOURCES.items():
        path = tmp_path / "pkg" / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    walked = Walk(read_package(tmp_path, "pkg"))
    walked.reach("pkg.app.main")
    walked.reach("pkg.app.show")
    lost = {f"{item.module}.{item.name}" for item in walked.unreached()}
    assert lost == {
        "pkg.app.of_nobody", "pkg.app.lonely", "pkg.app.Window.mine", "pkg.late.hidden",
        "pkg.shapes.Base.never", "pkg.shapes.Unused", "pkg.tools.forgotten",
    }  # fmt: skip
    assert walked.is_reached("pkg.app.sized")
    assert not walked.is_reached("pkg.tools.forgotten")
