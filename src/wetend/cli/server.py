"""Starts the web server and opens a browser."""

from __future__ import annotations

import errno
import os
import socket
import time
import webbrowser
from threading import Event

import typer
import uvicorn

from wetend.background import BACKGROUND
from wetend.errors import BadInput, Refused
from wetend.units.message import Message
from wetend.workflows.gc_freeze import hold_off, settle

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


def serve(where: str, *, host: str, port: int, passcode: str, show_page: bool) -> None:
    """Serve a depot until stopped."""
    check_reach(host, passcode)
    port = free_port(host, port)
    address = f"http://{'[' + host + ']' if ':' in host else host}:{port}/"
    os.environ["WETEND_DEPOT"] = where
    os.environ["WETEND_PASSCODE"] = passcode
    typer.echo(Message("wetend is at {address}  (stop with Ctrl-C)", address=address))
    if show_page:
        BACKGROUND.submit(
            "browser", lambda halt: _open_when_up(host, port, address, halt),
            title=Message("opening the browser"),
        )  # fmt: skip
    hold_off()  # until the pages are there: then the application settles it
    try:
        uvicorn.run(
            "wetend.web.server:from_environment", factory=True, host=host, port=port,
            log_level="warning", server_header=False, date_header=True,
            http="wetend.web.request_timeout:HeadTimeoutProtocol",
        )  # fmt: skip
    finally:
        settle()
