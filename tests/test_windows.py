"""No call that Windows lacks: the source is read, since the tests run elsewhere.

Which names are missing there is what the documentation of Python's standard library marks
"Availability: Unix".
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCES = Path(__file__).parents[1] / "src" / "wetend"
MODULES = {
    "fcntl", "pwd", "grp", "termios", "tty", "pty", "resource", "syslog", "posix", "readline",
    "curses", "nis", "spwd", "crypt",
}  # fmt: skip
NAMES = {
    "os": {
        "fork", "forkpty", "getuid", "geteuid", "getgid",
        "getegid", "getgroups", "setuid", "setgid",
        "setsid", "getpgid", "getpgrp", "setpgid", "killpg", "uname", "nice", "getpriority",
        "setpriority", "PRIO_PROCESS", "chown", "fchown", "lchown", "fchmod", "chroot", "mkfifo",
        "statvfs", "pread", "pwrite", "fdatasync", "sync",
        "sysconf", "getloadavg", "register_at_fork",
        "sched_getaffinity", "sched_setaffinity", "sched_yield", "wait",
        "wait3", "wait4", "WNOHANG",
        "ttyname", "sendfile", "posix_spawn", "O_DIRECTORY", "O_NOFOLLOW", "O_CLOEXEC", "O_SYNC",
        "O_DSYNC", "O_NONBLOCK", "confstr", "ctermid", "openpty",
        "mknod", "getxattr", "memfd_create",
    },
    "signal": {
        "SIGKILL", "SIGHUP", "SIGALRM", "SIGCHLD", "SIGUSR1", "SIGUSR2", "SIGQUIT", "SIGPIPE",
        "alarm", "setitimer", "pause", "sigwait", "pthread_kill", "pthread_sigmask",
    },
    "time": {"tzset", "pthread_getcpuclockid"},
    "socket": {"AF_UNIX", "socketpair_unix", "SO_REUSEPORT", "SO_REUSEADDR"},
    "select": {"poll", "epoll", "kqueue"},
}  # fmt: skip
"""``SO_REUSEADDR`` is there, and takes a port that another program listens on."""
METHODS = {"owner", "group", "lchmod", "is_mount"}
GUARDS = ("sys.platform", "os.name", "hasattr(os")
READ_IF_THERE = {("jit/folder.py", "/proc/cpuinfo"), ("workflows/memory.py", "/proc/self/status")}
"""Places that only some systems have, looked at inside ``except OSError``."""


def _text_without_encoding(node: ast.Call) -> bool:
    """Whether text is read or written in whichever encoding the system has."""
    if any(k.arg == "encoding" for k in node.keywords) or not isinstance(node.func, ast.Attribute):
        return False
    texts = [a.value for a in node.args if isinstance(a, ast.Constant) and isinstance(a.value, str)]
    if node.func.attr == "read_text":
        return not node.args
    if node.func.attr == "write_text":
        return len(node.args) < 2
    on_path = isinstance(node.func.value, ast.Name) and node.func.value.id in ("path", "file")
    return node.func.attr == "open" and on_path and not any("b" in text for text in texts)


class Walk(ast.NodeVisitor):
    """Finds what Windows lacks outside places guarded by a question for the system."""

    def __init__(self) -> None:
        self.found: list[tuple[int, str]] = []
        self._guarded = 0

    def visit_If(self, node: ast.If) -> None:
        asked = any(guard in ast.unparse(node.test) for guard in GUARDS)
        self._guarded += asked
        for child in node.body:
            self.visit(child)
        self._guarded -= asked
        for child in (node.test, *node.orelse):
            self.visit(child)

    def visit_Import(self, node: ast.Import) -> None:
        self._note(node, *(f"import {a.name}" for a in node.names if a.name in MODULES))

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        if node.module in MODULES:
            self._note(node, f"from {node.module}")
        lacking = NAMES.get(node.module or "", set())
        self._note(node, *(a.name for a in node.names if a.name in lacking))

    def visit_Attribute(self, node: ast.Attribute) -> None:
        if isinstance(node.value, ast.Name) and node.attr in NAMES.get(node.value.id, set()):
            self._note(node, f"{node.value.id}.{node.attr}")
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        if isinstance(node.func, ast.Attribute) and node.func.attr in METHODS and not node.args:
            self._note(node, f".{node.func.attr}()")
        self._note(node, *(k.arg for k in node.keywords if k.arg in ("preexec_fn", "dir_fd")))
        if _text_without_encoding(node):
            self._note(node, "text without its encoding")
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, str):
            if node.value.startswith(("/dev/", "/proc/", "/tmp", "/etc/", "/usr/", "/var/")):
                self._note(node, node.value)
            if any(f"%-{letter}" in node.value for letter in "dmHIjSMyeU"):
                self._note(node, node.value)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        for part in ast.walk(node):
            if isinstance(part, ast.Constant):
                self.visit_Constant(part)
            elif part is not node and isinstance(part, ast.Attribute):
                self.visit_Attribute(part)

    def _note(self, node: ast.AST, *names: str) -> None:
        if not self._guarded:
            self.found += [(getattr(node, "lineno", 0), name) for name in names]


def lacking(text: str) -> list[str]:
    walk = Walk()
    walk.visit(ast.parse(text))
    return [name for _, name in walk.found]


def places() -> Iterator[tuple[str, str]]:
    for file in sorted(SOURCES.rglob("*.py")):
        for name in lacking(file.read_text("utf-8")):
            yield file.relative_to(SOURCES).as_posix(), name


def test_nothing_is_called_that_windows_lacks() -> None:
    assert set(places()) - READ_IF_THERE == set()


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("import fcntl", "import fcntl"), ("os.uname().nodename", "os.uname"),
        ("from os import fork", "fork"), ("open('/dev/null')", "/dev/null"),
        ("f'{day:%-d}'", "%-d"), ("signal.SIGKILL", "signal.SIGKILL"), ("path.owner()", ".owner()"),
        ("file.read_text()", "text without its encoding"),
        ("path.open()", "text without its encoding"),
        ("os.geteuid() if hasattr(x, 'y') else 0", "os.geteuid"),
    ],
)  # fmt: skip
def test_the_walk_finds_what_is_lacking(text: str, name: str) -> None:
    assert lacking(text) == [name]


@pytest.mark.parametrize(
    "text",
    [
        'if sys.platform != "win32":\n    import fcntl',
        'if hasattr(os, "setpriority"):\n    os.setpriority(os.PRIO_PROCESS, 1, 10)',
        'getattr(os, "O_NOFOLLOW", 0)',
        "os.replace(a, b)",
    ],
)
def test_what_asks_first_is_let_be(text: str) -> None:
    assert lacking(text) == []
