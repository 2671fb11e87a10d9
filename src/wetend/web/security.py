"""Who may reach the pages, and what may be sent to them.

Without a passcode only this machine is let in. Every form carries a signed token tied to a cookie
(the signed double-submit pattern, OWASP Cross-Site Request Forgery Prevention Cheat Sheet).
Signatures are HMAC-SHA-256 (RFC 2104, FIPS 180-4).
"""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import secrets
import socket
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from wetend.errors import Refused

FORM_COOKIE = "wetend-form"
PASS_COOKIE = "wetend-pass"  # noqa: S105
TOKEN_FIELD = "_token"  # noqa: S105
_TOKEN_LIFE = 12 * 3600.0
_PASS_LIFE = 7 * 24 * 3600.0


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


@dataclass(frozen=True)
class Keeper:
    """Signs and checks tokens and cookies with one secret.

    ``clock`` gives seconds since the epoch; tests put in their own.
    """

    secret: bytes
    passcode: str | None = None
    clock: Callable[[], float] = time.time

    def _sign(self, *parts: str) -> str:
        text = "\n".join(parts).encode("utf-8", "surrogatepass")
        return hmac.new(self.secret, text, hashlib.sha256).hexdigest()

    def form_token(self, nonce: str) -> str:
        """A fresh token for a form, tied to the visitor's cookie."""
        salt, now = secrets.token_hex(8), f"{self.clock():.0f}"
        return f"{now}.{salt}.{self._sign('form', nonce, now, salt)}"

    def token_fault(self, nonce: str, token: str) -> str:
        """What is wrong with a form's token, as a sentence; empty when it is good."""
        if not token or not nonce:
            return "The form came without its token, so it may not have come from this page."
        issued, _, rest = token.partition(".")
        salt, _, mark = rest.partition(".")
        right = self._sign("form", nonce, issued, salt)
        if not hmac.compare_digest(right.encode(), mark.encode("utf-8", "replace")):
            return "The form's token does not fit this browser or this run of the server."
        if self.clock() - float(issued) > _TOKEN_LIFE:
            return "The form was opened more than twelve hours ago."
        return ""

    def passcode_fits(self, typed: str) -> bool:
        """Whether the typed passcode is right, taking the same time either way."""
        right = hashlib.sha256((self.passcode or "").encode()).digest()
        given = hashlib.sha256(typed.encode("utf-8", "replace")).digest()
        return hmac.compare_digest(right, given) and bool(self.passcode)

    def pass_cookie(self) -> str:
        """A cookie value that lets its bearer in for a week."""
        until = f"{self.clock() + _PASS_LIFE:.0f}"
        return f"{until}.{self._sign('pass', self.passcode or '', until)}"

    def admitted(self, cookie: str) -> bool:
        """Whether a cookie lets its bearer in; with no passcode set, all are in."""
        if not self.passcode:
            return True
        until, _, mark = cookie.partition(".")
        right = self._sign("pass", self.passcode, until)
        if not hmac.compare_digest(right.encode(), mark.encode("utf-8", "replace")):
            return False
        return self.clock() < float(until)


class Tries:
    """Counts passcode tries: so many a minute from one address, so many from all together."""

    def __init__(
        self, *, each: int = 5, everyone: int = 40, clock: Callable[[], float] = time.monotonic
    ) -> None:
        """Start with no tries counted."""
        self._each, self._everyone, self._clock = each, everyone, clock
        self._seen: deque[tuple[float, str]] = deque()
        self._lock = threading.Lock()

    def allow(self, address: str) -> bool:
        """Count a try; false when there were too many in the last minute."""
        now = self._clock()
        with self._lock:
            while self._seen and now - self._seen[0][0] > 60.0:
                self._seen.popleft()
            own = sum(1 for _, who in self._seen if who == address)
            if own >= self._each or len(self._seen) >= self._everyone:
                return False
            self._seen.append((now, address))
            return True


class PasscodeNeeded(Refused):
    """No passcode given yet; the page asks for it."""

    status = 401
