"""Serves the local network: the certificate kept up to date, and the page that hands it out."""

from __future__ import annotations

import io
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import segno
import uvicorn

from wetend.background import BACKGROUND
from wetend.units.message import Message
from wetend.web.lan.addresses import own_addresses, own_names
from wetend.web.lan.authority import authority_in, certificate_in
from wetend.web.lan.handout import handout

_AGAIN = 3600.0
"""Seconds after which the certificate is looked at again: it may end, or addresses change."""


class Certified:
    """The depot's authority and this machine's certificate, as files."""

    def __init__(self, folder: Path) -> None:
        """Make what is not there yet.

        Raises:
            StorageFailed: the files can't be written or read.
        """
        self.folder = folder
        self.authority = authority_in(folder, name=own_names()[0])
        self.addresses = own_addresses()
        self._served = certificate_in(
            folder, self.authority, names=own_names(), addresses=self.addresses
        )

    @property
    def files(self) -> tuple[Path, Path]:
        """The certificate with its chain, and its key."""
        return self._served.certificate, self._served.key

    def renew(self) -> bool:
        """Renew the certificate where it soon ends or addresses changed; whether it was."""
        before = self._served.ends, self._served.certificate.stat().st_mtime_ns
        self.addresses = own_addresses()
        self._served = certificate_in(
            self.folder, self.authority, names=own_names(), addresses=self.addresses
        )
        return before != (self._served.ends, self._served.certificate.stat().st_mtime_ns)


def _shown(address: object) -> str:
    return f"[{address}]" if ":" in str(address) else str(address)


def lines(certified: Certified, *, port: int, beside: int) -> Iterator[str]:
    """What the terminal shows: addresses, the QR code to open first, the fingerprint."""
    first = next(map(_shown, certified.addresses), own_names()[1])
    start = f"http://{first}:{beside}/"
    yield Message(
        "wetend is at https://{first}:{port}/  (stop with Ctrl-C)", first=first, port=port
    )
    for other in certified.addresses[1:]:
        yield Message("  also at https://{other}:{port}/", other=_shown(other), port=port)
    yield Message("A new phone or laptop opens this first, once: {start}", start=start)
    drawn = io.StringIO()
    segno.make_qr(start, error="l").terminal(drawn, compact=True)
    yield drawn.getvalue().rstrip("\n")
    yield Message(
        "Fingerprint of the certificate it installs (compare every pair):\n{fingerprint}",
        fingerprint=certified.authority.fingerprint,
    )


@contextmanager
def beside(certified: Certified, *, port: int, at: socket.socket) -> Iterator[None]:
    """Serve the page that hands out the certificate, over plain HTTP.

    Args:
        certified: whose certificate.
        port: where the pages are over HTTPS.
        at: where this page is asked for.
    """
    app = handout(certified.authority, port=port)
    server = uvicorn.Server(
        uvicorn.Config(
            app, log_level="warning", server_header=False, timeout_graceful_shutdown=1,
            http="wetend.web.request_timeout:HeadTimeoutProtocol",
        )
    )  # fmt: skip
    thread = threading.Thread(target=server.run, args=([at],), daemon=True, name="lan-handout")
    thread.start()
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(5.0)


def renewed(certified: Certified, config: uvicorn.Config) -> bool:
    """Renew the certificate where it is due; new connections get it. Whether it was."""
    due = certified.renew()
    if due and config.ssl is not None:
        config.ssl.load_cert_chain(*certified.files)
    return due


@contextmanager
def renewing(certified: Certified, config: uvicorn.Config) -> Iterator[None]:
    """Renew the certificate while the pages are served, in the background."""
    BACKGROUND.submit(
        "certificate", lambda _: renewed(certified, config), after=_AGAIN, again=lambda: _AGAIN,
        title=Message("renewing the certificate"),
    )  # fmt: skip
    yield
