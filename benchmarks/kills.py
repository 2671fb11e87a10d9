"""Kill a server while people send forms; count what was acknowledged and is not there.

    python benchmarks/kills.py [--times 1000] [--clients 4] [--seed 1] [--depot postgresql://...]

Each turn starts the server on the depot the last one left and kills it (SIGKILL) at a random moment
of starting or working. Clients send remarks and photos by form all the while; what was not
answered they send again to the next server, as a person would, and once more when it was. At the
end each acknowledged entry must be there once, and the depot whole. Without --depot an SQLite
file in a temporary folder. A kill is not a power cut: what the system holds in memory survives it.
Ends with 1 where anything is lost, twice or damaged.
"""

from __future__ import annotations

import argparse
import hashlib
import http.client
import io
import os
import random
import re
import secrets
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import uvicorn
from fastapi.testclient import TestClient
from PIL import Image
from tries import progress

from wetend.pump.readings import Note, Photo, VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.entries import said_by
from wetend.records.health_check import examine
from wetend.records.integrity import put_aside
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.web.server import from_environment
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

TOKEN = re.compile(rb'name="_token" value="([^"]+)"')
HOST = "127.0.0.1"
VISITS = 40
"""So many visits, that none grows long."""
LONGEST = 1.0
"""Seconds that a server works at most."""
ONE_IN = 10
"""One form in so many carries a photo."""


def serve_when_told() -> None:
    """A server for each line of standard input, in a child; all is loaded once, before them."""
    warm_up()
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            uvicorn.run(
                from_environment(), host=HOST, port=int(line), log_level="critical",
                http="wetend.web.request_timeout:HeadTimeoutProtocol",
            )  # fmt: skip
            os._exit(0)
        os.write(1, f"pid {child}\n".encode())
        os.waitpid(child, 0)
        with suppress(BrokenPipeError):  # the last one
            os.write(1, b"gone\n")


def warm_up() -> None:
    """Show a page and keep a form once, on another depot: templates are then ready."""
    with tempfile.TemporaryDirectory() as folder, Depot.open(Path(folder) / "d.sqlite3") as depot:
        visit = _start_visits(depot, 1)[0]
        with TestClient(create_app(depot), base_url="http://localhost") as client:
            token = TOKEN.search(client.get("/preferences").content)
            assert token is not None
            fields = {"_token": token[1].decode(), "text": "x", "caption": "x", "stage": "checks"}
            client.post(f"/visits/{visit}/notes", data=fields)
            photo = {"photo": ("x.png", _photo(random.Random(1)))}
            client.post(f"/visits/{visit}/photos", data=fields, files=photo)


def _start_visits(depot: Depot, count: int) -> list[str]:
    """A pump and its open visits; their ids."""
    pumps.describe(Desk(depot), demo_pump("quay-air"))
    return [visits.start(Desk(depot), VisitStart(pump="quay-air")) for _ in range(count)]


@contextmanager
def servers(where: str, photos: Path) -> Iterator[subprocess.Popen[str]]:
    """The program that starts servers."""
    with subprocess.Popen(
        [sys.executable, __file__, "--serve"], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        text=True, env={**os.environ, "WETEND_DEPOT": where, "WETEND_PHOTOS": str(photos)},
    ) as program:  # fmt: skip
        try:
            yield program
        finally:
            program.kill()


@dataclass
class Form:
    """A remark, or a photo, that a person sends until it is acknowledged."""

    visit: str
    mark: str
    photo: bytes = b""
    act: str = field(default_factory=lambda: secrets.token_hex(16))


@dataclass
class Client(threading.Thread):
    """A person at a browser who goes on sending."""

    port: int
    open_visits: list[str]
    chance: random.Random
    acknowledged: list[Form] = field(default_factory=list)
    again: int = 0
    """Forms sent again, for no answer came."""
    refused: Counter[int] = field(default_factory=Counter)
    stopped: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        super().__init__(daemon=True)
        self.cookie, self.token = "", ""

    __hash__ = threading.Thread.__hash__

    def run(self) -> None:
        """Send one form after another; each until it is acknowledged, one in five once more."""
        while not self.stopped.is_set():
            form = self._next()
            while not self.stopped.is_set() and not self._sent(form):
                time.sleep(0.01)
            if self.chance.random() < 0.2:
                self._sent(form, twice=True)

    def _next(self) -> Form:
        photo = _photo(self.chance) if self.chance.randrange(ONE_IN) == 0 else b""
        return Form(self.chance.choice(self.open_visits), f"{self.chance.random()}", photo)

    def _sent(self, form: Form, *, twice: bool = False) -> bool:
        try:
            if not self.token:
                self._look_in()
            status = self._post(form)
        except (OSError, http.client.HTTPException):
            self.again += not twice
            return False
        if status != http.client.SEE_OTHER:
            self.refused[status] += 1
            self.token = ""
            return False
        if not twice:
            self.acknowledged.append(form)
        return True

    def _look_in(self) -> None:
        connection = http.client.HTTPConnection(HOST, self.port, timeout=20)
        connection.request("GET", "/preferences")
        answer = connection.getresponse()
        found = TOKEN.search(answer.read())
        self.cookie = (answer.getheader("set-cookie") or self.cookie).split(";")[0]
        self.token = found[1].decode() if found else ""
        connection.close()

    def _post(self, form: Form) -> int:
        fields = {"_token": self.token, "_act": form.act, "stage": "checks"}
        head = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded"}
        where, body = f"/visits/{form.visit}/notes", urlencode({**fields, "text": form.mark})
        sent = body.encode()
        if form.photo:
            where = f"/visits/{form.visit}/photos"
            head["Content-Type"] = "multipart/form-data; boundary=between"
            sent = _multipart({**fields, "caption": form.mark}, form.photo)
        connection = http.client.HTTPConnection(HOST, self.port, timeout=20)
        try:
            connection.request("POST", where, body=sent, headers=head)
            answer = connection.getresponse()
            answer.read()
            return answer.status
        finally:
            connection.close()


def _multipart(fields: dict[str, str], photo: bytes) -> bytes:
    parts = [
        f'--between\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'.encode()
        for name, value in fields.items()
    ]
    head = b'--between\r\nContent-Disposition: form-data; name="photo"; filename="x.png"\r\n\r\n'
    return b"".join([*parts, head, photo, b"\r\n--between--\r\n"])


def _photo(chance: random.Random) -> bytes:
    file = io.BytesIO()
    Image.frombytes("RGB", (8, 8), chance.randbytes(192)).save(file, "PNG")
    return file.getvalue()


def kill_again_and_again(given: argparse.Namespace, where: str, photos: Path) -> list[Client]:
    """Start and kill servers; the clients, with what was acknowledged to them."""
    chance = random.Random(given.seed)
    with Depot.open(where, photos=photos) as depot:
        own = _start_visits(depot, VISITS)
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    clients = [Client(port, own, random.Random(f"{given.seed} {n}")) for n in range(given.clients)]
    with servers(where, photos) as program:
        for turn in progress(given.times, "kills"):
            child = _start(program, port)
            if turn == 0:
                for client in clients:
                    client.start()
            try:
                if turn % 5:  # else killed while still starting, most times
                    _await_answer(port)
                time.sleep(chance.uniform(0, LONGEST))
            finally:
                os.kill(child, signal.SIGKILL)
            assert program.stdout is not None
            assert program.stdout.readline() == "gone\n"
        child = _start(program, port)  # what is still to be sent is sent
        _await_answer(port)
        for client in clients:
            client.stopped.set()
        for client in clients:
            client.join(60)
        os.kill(child, signal.SIGKILL)
    return clients


def _start(program: subprocess.Popen[str], port: int) -> int:
    assert program.stdin is not None
    assert program.stdout is not None
    program.stdin.write(f"{port}\n")
    program.stdin.flush()
    return int(program.stdout.readline().split()[1])


def _await_answer(port: int) -> None:
    give_up = time.monotonic() + 60
    while time.monotonic() < give_up:
        with suppress(OSError), socket.create_connection((HOST, port), timeout=1):
            return
        time.sleep(0.01)
    raise SystemExit("The server did not come up again.")


def judge(clients: list[Client], where: str, photos: Path) -> int:
    """Write what came of it; how much went wrong."""
    with Depot.open(where, photos=photos, create=False) as depot:
        found = examine(depot)
        nouns = [said_by(entry) for entry in depot.each_entry()]
        kept = Counter(
            n.text if isinstance(n, Note) else n.caption
            for n in nouns
            if isinstance(n, Note | Photo)
        )
        forms = [form for client in clients for form in client.acknowledged]
        lost = [form for form in forms if not kept[form.mark]]
        held = {form.mark: depot.photos.holds(_sha(form)) for form in forms if form.photo}
        aside = put_aside(depot.file) if depot.file else []
    figures = {
        "acknowledged": len(forms),
        "of them photos": len(held),
        "tries without an answer": sum(client.again for client in clients),
        "refused": sum(sum(client.refused.values()) for client in clients),
        "ACKNOWLEDGED AND LOST": len(lost) + sum(not there for there in held.values()),
        "KEPT TWICE": sum(times > 1 for times in kept.values()),
        "DAMAGED OR MISSING": 0 if found.whole else 1,
        "LOGS TAKEN FOR DAMAGED": len(aside),
    }
    for what, count in figures.items():
        print(f"  {count:8d}  {what}")
    return sum(count for what, count in figures.items() if what.isupper())


def _sha(form: Form) -> str:
    return hashlib.sha256(form.photo).hexdigest()


def main() -> None:
    """Kill, and count."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--times", type=int, default=1000)
    asked.add_argument("--clients", type=int, default=4)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--depot", default="")
    asked.add_argument("--serve", action="store_true", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.serve:
        serve_when_told()
        return
    with tempfile.TemporaryDirectory(prefix="wetend-kills-") as folder:
        where = given.depot or str(Path(folder) / "depot.sqlite3")
        photos = Path(folder) / "depot.photos"
        clients = kill_again_and_again(given, where, photos)
        print(f"{given.times} kills, {given.clients} clients, seed {given.seed}")
        raise SystemExit(1 if judge(clients, where, photos) else 0)


if __name__ == "__main__":
    main()
