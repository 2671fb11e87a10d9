"""Send a server malformed requests over all its routes; count crashes, silence and memory.

    python benchmarks/malformed.py [--times 100000] [--seed 1]

Each request goes over a connection of its own to a server of its own on a copy of the demo depot:
any method, any route with good, odd and broken names in it, headers left out, doubled, huge or of
no character set, forms with fields left out, of the wrong type, huge, in broken encodings, lengths
that lie, and most with a good token, so that they get past the guard. As it should be, each answer
is a page or a plain sentence and none is a 5xx; what ends without an answer is counted too. Then
the depot is looked through. Ends with 1 where anything is not as it should be.
"""

from __future__ import annotations

import argparse
import http.client
import os
import random
import re
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote, urlencode

import uvicorn
from starlette.routing import Route
from tries import Tries, progress

from wetend.records.health_check import examine
from wetend.records.store import Depot
from wetend.web.app import ROUTERS
from wetend.web.server import from_environment
from wetend.workflows import visits
from wetend.workflows.demo.build import build_demo
from wetend.workflows.desk import Desk

HOST = "127.0.0.1"
TOKEN = re.compile(r'name="_token" value="([^"]+)"')
NAMES = re.compile(r'name="([^"]+)"')
METHODS = ("GET",) * 8 + ("POST",) * 12 + (
    "HEAD", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "CONNECT", "get", "GE\tT", "", "X" * 300,
)  # fmt: skip
ODD = (
    "", " ", "0", "-1", "1e308", "1e999", "nan", "inf", "-inf", "1,5", "3/0", "3/8 in", "2x0.5",
    "999x1", "12 parsec", "200 bar", "1" * 60, "yes", "\x00", "\x1b[31m", "\u202e", "\ufeff",
    "\U0010ffff", "'; DROP TABLE entries; --", "../../etc/passwd", "{{ 7*7 }}", "{% for %}",
    "<script>alert(1)</script>", "as-kept", "quay-air", "none", "2e-9 mm", ", , ,", ";;", "1;2;3",
    "a = [", "[" * 2000, "{" * 2000, '{"a":' * 500, "0197" * 8, "last", "%00", "%ff", "a\r\nb: c",
    "9" * 5000, "١٢٣", "½", "1_000", "0x1f", "1e-400", "2031-13-45", "0000-00-00", "24:61",
)  # fmt: skip
BYTES = (
    b"\xff\xfe",
    b"\x00",
    b"\xc3\x28",
    b"%ZZ",
    b"%",
    b"=&=&&==",
    b";",
    b"\r\n",
    b"\xed\xa0\x80",
)
KINDS = (
    "application/x-www-form-urlencoded", "application/x-www-form-urlencoded; charset=utf-16",
    "multipart/form-data; boundary=between", "multipart/form-data",
    "multipart/form-data; boundary=",
    "multipart/form-data; boundary=" + "b" * 300, "application/json", "text/plain", "", "x",
    "application/x-www-form-urlencoded; charset=\xff", "multipart/mixed; boundary=between",
)  # fmt: skip
HEADERS = (
    ("Accept-Encoding", "gzip;q=nan, *;q=-1"), ("Accept", "\xff\xfe"), ("Range", "bytes=5-1"),
    ("Range", "bytes=-99999999999999"), ("Referer", "\x80://"), ("Referer", "http://" + "a" * 5000),
    ("Origin", "https://elsewhere.example"), ("Origin", "null"),
    ("Cookie", "wetend-who=%ff%fe; =; ;"),
    ("Cookie", "x" * 9000), ("If-Modified-Since", "yesterday"), ("If-None-Match", '"' * 99),
    ("X-Forwarded-For", "\x01"), ("X-Forwarded-Proto", "gopher"), ("Expect", "101-nothing"),
    ("Upgrade", "websocket"), ("Connection", "upgrade"), ("Transfer-Encoding", "chunked"),
    ("Transfer-Encoding", "gzip, chunked"), ("Content-Length", "-5"), ("Content-Length", "9" * 30),
    ("Content-Length", "five"), ("Content-Encoding", "br"), ("Host", "elsewhere.example"),
    ("Host", ""), ("Host", "[::1"), ("Accept-Language", "," * 3000),
    ("Sec-Fetch-Site", "cross-site"),
    ("Name with space", "x"), ("", "no name"), ("Date", "\x00"),
)  # fmt: skip
LARGE = 200_000


@dataclass(frozen=True)
class Aim:
    """What requests are made of: routes, what stands in them, names of fields, a good token."""

    routes: Sequence[str]
    known: Mapping[str, Sequence[str]]
    names: Sequence[str]
    cookie: str
    token: str


def serve(port: int) -> None:
    """The real server."""
    uvicorn.run(
        from_environment(), host=HOST, port=port, log_level="critical",
        http="wetend.web.request_timeout:HeadTimeoutProtocol",
    )  # fmt: skip


def page_at(port: int, path: str, cookie: str = "") -> tuple[str, str]:
    connection = http.client.HTTPConnection(HOST, port, timeout=60)
    connection.request("GET", path, headers={"Cookie": cookie} if cookie else {})
    answer = connection.getresponse()
    text = answer.read().decode()
    connection.close()
    return text, (answer.getheader("set-cookie") or "").split(";")[0]


def aim_at(port: int, visit: str, pump: str) -> Aim:
    """Look the pages over as someone who means ill would."""
    routes = sorted(
        {r.path for router in ROUTERS for r in router.routes if isinstance(r, Route)}
        | {"/health", "/static/{name}", "/nowhere"}
    )
    page, cookie = page_at(port, "/preferences")
    token = TOKEN.search(page)
    assert token is not None
    stages = ("complaint", "checks", "coating", "strip", "inspect", "rebuild", "prove", "handover")
    paths = [f"/visits/{visit}/{stage}" for stage in stages]
    parts = ("rod", "foot-ball", "foot-seat", "cylinder", "moving-packings")
    paths += [f"/visits/{visit}/inspect?part={part}" for part in parts]
    paths += ["/pumps/new", f"/pumps/{pump}", f"/pumps/{pump}/life", "/stores", "/fleet", "/import"]
    found = {name for path in paths for name in NAMES.findall(page_at(port, path, cookie)[0])}
    known = {
        "visit_id": (visit,) * 6 + ("0" * 32, "x", visit.upper()),
        "key": (pump,) * 6 + ("no-such",),
        "part": parts, "name": ("site.css", "site.js", "..", "x"),
    }  # fmt: skip
    names = (
        *sorted(found - {"_token"}),
        "_act",
        "_was",
        "_units",
        "_more",
        "_again",
        "no-such-field",
    )
    return Aim(routes, known, names, cookie, token[1])


def _path(aim: Aim, rng: random.Random) -> bytes:
    def named(match: re.Match[str]) -> str:
        good = aim.known.get(match[1], ("1", "x", "last"))
        return str(rng.choice(good) if rng.random() < 0.8 else quote(rng.choice(ODD), safe=""))

    path = re.sub(r"{(\w+)[^}]*}", named, rng.choice(aim.routes)).encode()
    if rng.random() < 0.3:
        asked = {rng.choice(aim.names): rng.choice(ODD) for _ in range(rng.randrange(1, 6))}
        path += b"?" + urlencode(asked).encode()
    if rng.random() < 0.08:
        path += rng.choice((b"/", b"//", b"/..", b"%2e%2e/", b"?", b"#", b"?" + rng.choice(BYTES)))
    if rng.random() < 0.02:
        path += b"?" + b"a" * rng.choice((9_000, 70_000))
    return path if rng.random() < 0.97 else path.replace(b"/", rng.choice((b"\\", b"", b"//")))


def _fields(aim: Aim, rng: random.Random) -> list[tuple[str, str]]:
    count = rng.choice((0, 1, 3, 8, 25, 25, 2500 if rng.random() < 0.02 else 5))
    fields = [(rng.choice(aim.names), rng.choice(ODD)) for _ in range(count)]
    if rng.random() < 0.03:
        fields.append((rng.choice(aim.names), "x" * LARGE))
    if rng.random() < 0.8:
        fields.append(("_token", aim.token))
    return fields


def _body(aim: Aim, rng: random.Random, kind: str) -> bytes:
    fields = _fields(aim, rng)
    if kind.startswith("multipart") and rng.random() < 0.9:
        between = b"between" if rng.random() < 0.9 else b"other"
        files = {"photo", "record", "table", "file", "toml"}
        body = b""
        for name, value in [*fields[:60], (rng.choice(sorted(files)), "file")]:
            more = f'; filename="{rng.choice(ODD)[:40]}"' if rng.random() < 0.2 else ""
            head = f'Content-Disposition: form-data; name="{name}"{more}'.encode()
            content = rng.randbytes(500) if value == "file" else value.encode()
            body += b"--" + between + b"\r\n" + head + b"\r\n\r\n" + content + b"\r\n"
        body += b"--" + between + (b"--\r\n" if rng.random() < 0.8 else b"")
    else:
        body = urlencode(fields, errors="replace").encode()
    if rng.random() < 0.2:
        at = rng.randrange(len(body) + 1)
        body = body[:at] + rng.choice(BYTES) + body[at:]
    return body if rng.random() < 0.9 else body[: rng.randrange(len(body) + 1)]


def request(aim: Aim, rng: random.Random) -> tuple[bytes, bool]:
    """One malformed request's bytes, and whether all it announces is there."""
    method = rng.choice(METHODS)
    kind = rng.choice(KINDS) if rng.random() < 0.5 else KINDS[rng.choice((0, 2))]
    body = _body(aim, rng, kind) if method in ("POST", "PUT", "PATCH") else b""
    head = [("Host", f"{HOST}:1")] if rng.random() < 0.97 else []
    if rng.random() < 0.9:
        head.append(("Cookie", aim.cookie))
    whole = True
    if body:
        length = len(body) if rng.random() < 0.95 else max(len(body) + rng.randrange(-9, 900), 0)
        head += [("Content-Type", kind), ("Content-Length", str(length))]
        whole = length <= len(body)
    if rng.random() < 0.25:
        head += [rng.choice(HEADERS) for _ in range(rng.randrange(1, 4))]
    if rng.random() < 0.003:
        head += [("X-Much", "y" * 900)] * 400
    lines = b"".join(f"{name}: {value}\r\n".encode("latin-1") for name, value in head)
    version = b"HTTP/1.1" if rng.random() < 0.98 else rng.choice((b"HTTP/1.0", b"HTTP/9", b""))
    start = method.encode() + b" " + _path(aim, rng) + b" " + version + b"\r\n"
    whole = whole and not re.search(rb"(?i)transfer-enc|expect|upgrade", lines)
    return start + lines + b"Connection: close\r\n\r\n" + body, whole


def answered(port: int, sent: bytes, *, whole: bool) -> tuple[int, bytes]:
    """Status and body of what came back; zero where nothing did.

    Of a request that announces more than it brings the connection is half closed, as by someone who
    went away: nobody needs to answer that.
    """
    with socket.create_connection((HOST, port), timeout=30) as connection:
        with suppress(OSError):
            connection.sendall(sent)
            if not whole:
                connection.shutdown(socket.SHUT_WR)
        got = b""
        with suppress(OSError):
            while more := connection.recv(65536):
                got += more
    found = re.match(rb"HTTP/1\.[01] (\d{3})", got)
    return (int(found[1]) if found else 0), got.partition(b"\r\n\r\n")[2]


def resident(process: int) -> int:
    """Resident memory, MB."""
    told = Path(f"/proc/{process}/status").read_text()
    return int(re.search(r"VmRSS:\s+(\d+)", told)[1]) // 1024  # type: ignore[index]


def bombard(given: argparse.Namespace, port: int, server: int, aim: Aim) -> tuple[Tries, list[int]]:
    """Send all; what came back, and the server's memory at each tenth, MB."""
    rng, tries, memory = random.Random(given.seed), Tries(), []
    for turn in progress(given.times, "requests"):
        sent, whole = request(aim, rng)
        try:
            status, body = answered(port, sent, whole=whole)
        except OSError as error:
            raise SystemExit(
                f"\nrequest {turn}: the server is gone ({error}): {sent[:300]!r}"
            ) from error
        what = sent.split(b" ")[0].decode()
        what = what if what in ("GET", "POST") else "other methods"
        wrong = status >= 500 or b"Traceback" in body
        outcome = ("no answer" if whole else "left") if not status else ""
        outcome = outcome or ("refused" if status >= 400 else "answered")
        tries.add(what, outcome, f"request {turn}: {status} to {sent[:300]!r}" if wrong else "")
        if (turn + 1) % max(given.times // 10, 1) == 0:
            memory.append(resident(server))
    return tries, memory


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return int(probe.getsockname()[1])


def await_answer(port: int) -> None:
    for _ in range(600):
        with suppress(OSError), socket.create_connection((HOST, port), timeout=1):
            return
        time.sleep(0.1)
    raise SystemExit("The server did not come up.")


def main() -> None:
    """Build the depot, start the server, send, look the depot through."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--times", type=int, default=100_000)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--serve", type=int, default=0, help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.serve:
        serve(given.serve)
        return
    with tempfile.TemporaryDirectory(prefix="wetend-malformed-") as folder:
        place, port = Path(folder) / "depot.sqlite3", free_port()
        with Depot.open(place) as depot:
            build_demo(depot)
            visit = visits.open_visits(Desk(depot))[0]
            entries = set(depot.each_entry())
        with subprocess.Popen(
            [sys.executable, __file__, "--serve", str(port)],
            env={**os.environ, "WETEND_DEPOT": str(place)},
        ) as server:
            await_answer(port)
            aim = aim_at(port, visit.id, visit.pump)
            tries, memory = bombard(given, port, server.pid, aim)
            server.send_signal(signal.SIGTERM)
        print(f"{given.times} requests, seed {given.seed}")
        wrong = tries.show("answered", "refused", "no answer", "left")
        print("memory of the server at each tenth, MB: " + ", ".join(map(str, memory)))
        with Depot.open(place, create=False) as depot:
            whole, after = examine(depot).whole, set(depot.each_entry())
        print(f"depot {'whole' if whole else 'DAMAGED'}, {len(after - entries)} entries added, "
              f"{len(entries - after)} lost")  # fmt: skip
        raise SystemExit(1 if wrong or not whole or entries - after else 0)


if __name__ == "__main__":
    main()
