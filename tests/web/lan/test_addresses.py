"""Where this machine is reached on its networks, and a socket that hears all of it."""

from __future__ import annotations

import ipaddress
import socket
from typing import Any

import pytest

from wetend.errors import BadInput
from wetend.web.lan.addresses import listening, own_addresses, own_names


def test_only_addresses_that_a_phone_beside_it_can_use(monkeypatch: pytest.MonkeyPatch) -> None:
    every = ["127.0.0.1", "192.168.4.2", "203.0.113.9", "fe80::1%eth0", "fd00::2", "2001:db8::5"]
    found = [(0, 0, 0, "", (each, 0)) for each in every]
    monkeypatch.setattr("wetend.web.lan.addresses.socket.getaddrinfo", lambda *_: found)
    monkeypatch.setattr("wetend.web.lan.addresses._NOBODY", ())
    assert list(map(str, own_addresses())) == ["192.168.4.2", "fd00::2"]


def test_a_machine_with_no_network_has_no_address(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: Any) -> Any:
        raise OSError("Network is unreachable")

    monkeypatch.setattr("wetend.web.lan.addresses.socket.getaddrinfo", fails)
    monkeypatch.setattr("wetend.web.lan.addresses._NOBODY", ())
    assert own_addresses() == ()
    monkeypatch.setattr("wetend.web.lan.addresses.socket.gethostname", lambda: "Van-2.example.org")
    assert own_names() == ("van-2", "van-2.local")


def test_the_socket_hears_both_kinds_and_takes_the_next_free_port() -> None:
    with listening(0) as first:
        port = first.getsockname()[1]
        socket.create_connection(("127.0.0.1", port)).close()
        if socket.has_dualstack_ipv6():
            socket.create_connection(("::1", port)).close()
        with listening(port) as second:
            assert second.getsockname()[1] > port


def test_no_free_port_is_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: Any, **__: Any) -> Any:
        raise OSError

    monkeypatch.setattr("wetend.web.lan.addresses.socket.create_server", fails)
    with pytest.raises(BadInput, match="--port"):
        listening(8642)


def test_addresses_of_this_very_machine_are_local() -> None:
    assert all(a.is_private or a in ipaddress.ip_network("100.64.0.0/10") for a in own_addresses())
