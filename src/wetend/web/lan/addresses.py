"""Names and addresses by which this machine is reached on its networks."""

from __future__ import annotations

import ipaddress
import socket
from contextlib import suppress

from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.web.lan.authority import Address, is_local

_NOBODY = (("192.0.2.1", socket.AF_INET), ("2001:db8::1", socket.AF_INET6))
"""Addresses for documentation (RFC 5737, 3849): nothing is sent, the system only picks a way."""


def own_names() -> tuple[str, ...]:
    """This machine's name, alone and on the local link (RFC 6762)."""
    name = socket.gethostname().split(".")[0].lower()
    return (name, f"{name}.local")


def own_addresses() -> tuple[Address, ...]:
    """This machine's addresses on local networks, the one it goes out by first."""
    found: dict[Address, None] = {}
    for nobody, family in _NOBODY:
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as way:
            way.connect((nobody, 9))
            found[ipaddress.ip_address(way.getsockname()[0].partition("%")[0])] = None
    with suppress(OSError):
        for *_, place in socket.getaddrinfo(socket.gethostname(), None):
            found[ipaddress.ip_address(str(place[0]).partition("%")[0])] = None
    return tuple(a for a in found if is_local(a) and not a.is_loopback and not _scoped(a))


def _scoped(address: Address) -> bool:
    """Whether it means nothing without the name of a network card: IPv6 link-local (RFC 4007)."""
    return address.version == 6 and address.is_link_local


def listening(wanted: int) -> socket.socket:
    """A socket that listens at every address, IPv4 and IPv6, on the first free port.

    Raises:
        BadInput: none of twenty is free.
    """
    both = socket.has_dualstack_ipv6()
    family = socket.AF_INET6 if both else socket.AF_INET
    for port in range(wanted, min(wanted + 20, 65536)):
        with suppress(OSError):
            return socket.create_server(("", port), family=family, dualstack_ipv6=both)
    raise BadInput(
        Message("No port from {wanted} on is free; choose one with --port.", wanted=wanted)
    )
