"""Who may reach the pages, and what may be sent to them.

Without a passcode only this machine is let in. Every form carries a signed token tied to a session
that the server itself made (the signed double-submit pattern, OWASP Cross-Site Request Forgery
Prevention Cheat Sheet), and what comes from another site is refused by its own headers (W3C Fetch
Metadata Request Headers).
Signatures are HMAC-SHA-256 (RFC 2104, FIPS 180-4), made by itsdangerous with a key for each use.
"""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import secrets
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from itsdangerous import BadSignature, TimestampSigner

from wetend.errors import Refused
from wetend.units.message import Message
from wetend.web.form_data import Typed

FORM_COOKIE = "wetend-form"
ENDED = "pass-ended."
"""Before the id of a pass in the depot's list of what was done once."""
PASS_COOKIE = "wetend-pass"  # noqa: S105
TOKEN_FIELD = "_token"  # noqa: S105
_TOKEN_LIFE = 12 * 3600.0
PASS_LIFE = 7 * 24 * 3600.0
"""Seconds a pass holds without being used."""
_LONGEST_WAIT = 600.0
_FORGOTTEN = 900.0
_MOST_ADDRESSES = 4096


def is_loopback(host: str) -> bool:
    """Whether a host name or address reaches this machine only.

    >>> is_loopback("127.0.0.1"), is_loopback("::1"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def host_name(header: str) -> str:
    """The host in a Host header, without its port.

    >>> host_name("[::1]:8000"), host_name("localhost:8000"), host_name("localhost")
    ('::1', 'localhost', 'localhost')
    """
    header = header.strip().lower()
    if header.startswith("["):
        return header[1:].partition("]")[0]
    return header.partition(":")[0].rstrip(".")


def known_hosts(passcode: str | None, extra: tuple[str, ...] = ()) -> frozenset[str]:
    """Names this server answers to."""
    own = socket.gethostname().lower()
    reached = {own, f"{own}.local"} if passcode else set()
    return frozenset({"localhost", *reached, *(name.lower() for name in extra)})


def host_allowed(header: str, hosts: frozenset[str], *, any_address: bool) -> bool:
    """Whether a request's Host header names this server.

    A page elsewhere can point a name of its own at this machine; it can't forge a bare address, so
    addresses are let through where ``any_address`` says so, and loopback ones always.
    """
    name = host_name(header)
    if name in hosts or is_loopback(name):
        return True
    if not any_address:
        return False
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


class _Timed(TimestampSigner):
    """Signs with the time by a clock of ours."""

    def __init__(self, secret: bytes, use: str, clock: Callable[[], float]) -> None:
        super().__init__(secret, salt=use.encode(), digest_method=hashlib.sha256)
        self._clock = clock

    def get_timestamp(self) -> int:
        """Seconds since the epoch."""
        return int(self._clock())

    def opened(self, text: str) -> tuple[str, float] | None:
        """What was signed, and how many seconds ago; ``None`` where it was not signed here."""
        try:
            value, then = self.unsign(text.encode("utf-8", "replace"), return_timestamp=True)
        except BadSignature:
            return None
        return value.decode("ascii", "replace"), self._clock() - then.timestamp()


@dataclass(frozen=True)
class TokenSigner:
    """Signs and checks tokens and cookies with one secret (itsdangerous).

    ``clock`` gives seconds since the epoch; tests put in their own. ``ended`` holds the ids of
    passes that were given back; they let nobody in any more.
    """

    secret: bytes
    passcode: str | None = None
    clock: Callable[[], float] = time.time
    ended: set[str] = field(default_factory=set)

    def _signer(self, use: str) -> _Timed:
        return _Timed(self.secret, use, self.clock)

    def new_session(self) -> str:
        """A cookie value that form tokens are tied to; only this server can make one."""
        return self._signer("session").sign(secrets.token_hex(16)).decode()

    def session_of(self, cookie: str) -> str:
        """The session a cookie names, blank where this server did not make it."""
        opened = self._signer("session").opened(cookie)
        return opened[0] if opened else ""

    def form_token(self, session: str) -> str:
        """A fresh token for a form, tied to the visitor's session."""
        return (
            self._signer(Message("form {session}", session=session))
            .sign(secrets.token_hex(8))
            .decode()
        )

    def token_fault(self, session: str, token: str) -> str:
        """What is wrong with a form's token, as a sentence; empty when it is good."""
        if not token or not session:
            return Message(
                "The form came without its token, so it may not have come from this page."
            )
        opened = self._signer(Message("form {session}", session=session)).opened(token)
        if opened is None:
            return Message("The form's token does not fit this browser or this run of the server.")
        return (
            Message("The form was opened more than twelve hours ago.")
            if opened[1] > _TOKEN_LIFE
            else ""
        )

    def passcode_fits(self, typed: str) -> bool:
        """Whether the typed passcode is right, taking the same time either way."""
        right = hashlib.sha256((self.passcode or "").encode()).digest()
        given = hashlib.sha256(typed.encode("utf-8", "replace")).digest()
        return hmac.compare_digest(right, given) and bool(self.passcode)

    def _pass_signer(self) -> _Timed:
        return self._signer(
            Message("pass {value}", value=self.passcode or "")
        )  # another passcode ends every pass

    def pass_cookie(self) -> str:
        """A cookie value that lets its bearer in for a week."""
        return self._pass_signer().sign(secrets.token_hex(8)).decode()

    def _pass_held(self, cookie: str) -> tuple[str, float] | None:
        """The id of a pass that holds, and how many seconds ago it was made or renewed."""
        opened = self._pass_signer().opened(cookie)
        return opened if opened and opened[0] not in self.ended and opened[1] < PASS_LIFE else None

    def pass_of(self, cookie: str) -> str:
        """The id of a pass that holds, blank where it does not."""
        held = self._pass_held(cookie)
        return held[0] if held else ""

    def admitted(self, cookie: str) -> bool:
        """Whether a cookie lets its bearer in; with no passcode set, all are in."""
        return not self.passcode or bool(self.pass_of(cookie))

    def renewed(self, cookie: str) -> str:
        """The same pass for another week, where half of this one is over; else blank."""
        held = self._pass_held(cookie) if self.passcode else None
        if held is None or held[1] < PASS_LIFE / 2:
            return ""
        return self._pass_signer().sign(held[0]).decode()


class Tries:
    """Slows down wrong passcodes, address by address: nobody's slips lock anyone else out.

    The first few cost nothing; after each further one the address waits twice as long, up to ten
    minutes. A quarter of an hour without a try, or the right passcode, and all is forgotten.
    """

    def __init__(self, *, free: int = 5, clock: Callable[[], float] = time.monotonic) -> None:
        """Start with no tries counted; ``free`` cost nothing."""
        self._free, self._clock = free, clock
        self._wrong: dict[str, tuple[int, float]] = {}  # the latest last
        self._lock = threading.Lock()

    def wait(self, address: str) -> float:
        """Seconds this address must still wait, 0 if it may try now."""
        with self._lock:
            count, last = self._wrong.get(address, (0, 0.0))
            over = count - self._free
            if over < 0:
                return 0.0
            return max(0.0, last + min(_LONGEST_WAIT, 2.0 ** (over + 2)) - self._clock())

    def wrong(self, address: str) -> int:
        """Count a wrong try; how many there were."""
        now = self._clock()
        with self._lock:
            while self._wrong and (
                len(self._wrong) > _MOST_ADDRESSES
                or now - next(iter(self._wrong.values()))[1] > _FORGOTTEN
            ):
                del self._wrong[next(iter(self._wrong))]
            count = self._wrong.pop(address, (0, 0.0))[0] + 1
            self._wrong[address] = (count, now)
            return count

    def right(self, address: str) -> None:
        """Forget what an address got wrong."""
        with self._lock:
            self._wrong.pop(address, None)


class PasscodeNeeded(Refused):
    """No passcode given yet; the page asks for it and keeps what was sent."""

    status = 401

    def __init__(self, sentence: str, typed: Typed | None = None) -> None:
        super().__init__(sentence)
        self.typed = typed


class TooSlow(Refused):
    """A request of which nothing more came for too long."""

    status = 408
