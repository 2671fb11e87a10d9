"""Starts the web server and opens a browser."""

from __future__ import annotations

import errno
import os
import socket
import ssl
import time
import webbrowser
from pathlib import Path
from threading import Event

import typer
import uvicorn

from wetend.background import BACKGROUND
from wetend.errors import BadInput, Refused
from wetend.units.message import Message
from wetend.workflows.gc_freeze import hold_off, read_in, settle

_LOOPBACK = {"127.0.0.1", "localhost", "::1"}


def free_port(host: str, wanted: int) -> int:
    """The port wanted, or the next free one within twenty of it.

    Raises:
        BadInput: none of them is free, or the host is not an address of this machine.
    """
    try:
        socket.getaddrinfo(host, wanted)
    except (OSError, UnicodeError) as error:
        raise BadInput(Message("--host: unknown address “{host}”.", host=host[:60])) from error
    for port in range(wanted, wanted + 20):
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            if os.name != "nt":  # there it would take a port that another program listens on
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError as error:
                if error.errno == errno.EADDRNOTAVAIL:
                    sentence = Message(
                        "--host: “{host}” is not an address of this machine.", host=host[:60]
                    )
                    raise BadInput(sentence) from error
                continue
            return port
    raise BadInput(
        Message(
            "No port from {wanted} to {wanted_2} is free; choose one with --port.",
            wanted=wanted,
            wanted_2=wanted + 19,
        )
    )


def check_reach(host: str, passcode: str) -> None:
    """Refuse to be reached from other machines without a passcode.

    Raises:
        Refused: the host is not this machine alone and no passcode is set.
    """
    if host not in _LOOPBACK and len(passcode) < 6:
        raise Refused(
            Message(
                "Without a passcode only this machine has access. Set WETEND_PASSCODE to six "
                "or more characters to serve other machines."
            )
        )


def _open_when_up(host: str, port: int, address: str, halt: Event) -> None:
    for _ in range(100):
        if halt.is_set():
            return
        try:
            with socket.create_connection((host, port), timeout=0.2):
                webbrowser.open(address)
                return
        except OSError:
            time.sleep(0.1)


def serve(
    where: str, *, host: str, port: int, passcode: str, show_page: bool,
    files: tuple[Path, Path] | None = None,
) -> None:  # fmt: skip
    """Serve a depot until stopped; over HTTPS with a certificate's and its key's ``files``."""
    check_reach(host, passcode)
    port = free_port(host, port)
    scheme = "https" if files else "http"
    address = f"{scheme}://{'[' + host + ']' if ':' in host else host}:{port}/"
    os.environ["WETEND_DEPOT"] = where
    os.environ["WETEND_PASSCODE"] = passcode
    typer.echo(Message("wetend is at {address}  (stop with Ctrl-C)", address=address))
    if show_page:
        BACKGROUND.submit(
            "browser", lambda halt: _open_when_up(host, port, address, halt),
            title=Message("opening the browser"),
        )  # fmt: skip
    _run(config_of(host, port, files))


def config_of(host: str, port: int, files: tuple[Path, Path] | None = None) -> uvicorn.Config:
    """How the pages are served.

    Raises:
        BadInput: the files hold no certificate with its key.
    """
    made = uvicorn.Config(
        "wetend.web.server:from_environment", factory=True, host=host, port=port,
        log_level="warning", server_header=False, date_header=True,
        http="wetend.web.request_timeout:HeadTimeoutProtocol",
        ssl_certfile=files[0] if files else None, ssl_keyfile=files[1] if files else None,
    )  # fmt: skip
    if files:
        check_files(*files)
    return made


def check_files(certificate: Path, key: Path) -> None:
    """Make sure that a server can present these.

    Raises:
        BadInput: they hold no certificate with its key.
    """
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key)
    except (OSError, ssl.SSLError) as error:
        raise BadInput(
            Message(
                "{certificate} and {key} hold no certificate with its key.",
                certificate=certificate.name,
                key=key.name,
            )
        ) from error


def _run(config: uvicorn.Config, sockets: list[socket.socket] | None = None) -> None:
    hold_off()  # until the pages are there: then the application settles it
    try:
        uvicorn.Server(config).run(sockets)
    finally:
        settle()


def serve_lan(where: str, *, port: int, passcode: str, folder: Path) -> None:
    """Serve a depot over HTTPS to the local network, with a certificate of the depot's own.

    Beside it, over plain HTTP, a page hands out the certificate of the depot's authority.

    Args:
        where: the depot.
        port: the first to try for HTTPS; the page beside it takes a later one.
        passcode: asked of everyone.
        folder: where the authority lies.
    """
    check_reach("0.0.0.0", passcode)  # noqa: S104 - the local network is what is asked for
    lan, reached = read_in("wetend.web.lan.serving"), read_in("wetend.web.lan.addresses")
    with reached.listening(port) as pages, reached.listening(port + 1) as beside:
        port = pages.getsockname()[1]
        os.environ["WETEND_DEPOT"] = where
        os.environ["WETEND_PASSCODE"] = passcode
        certified = lan.Certified(folder)
        config = config_of("", port, certified.files)
        for line in lan.lines(certified, port=port, beside=beside.getsockname()[1]):
            typer.echo(line)
        with lan.beside(certified, port=port, at=beside), lan.renewing(certified, config):
            _run(config, [pages])
