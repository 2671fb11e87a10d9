"""The depot's own certificates: what OpenSSL makes of them, when they are renewed, who reads them.

The reference is OpenSSL's verification (Python's ssl), which is not ours, after RFC 5280.
"""

from __future__ import annotations

import ipaddress
import socket
import ssl
import threading
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec

from wetend.errors import StorageFailed
from wetend.web.lan.authority import (
    AUTHORITY_LIFE,
    CERTIFICATE_LIFE,
    RENEWED_BEFORE,
    Authority,
    Served,
    _key_pem,
    _signed,
    authority_in,
    certificate_in,
)

PHONE = ipaddress.ip_address("192.168.7.20")
NOW = datetime.now(UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "lan"


@pytest.fixture
def authority(folder: Path) -> Authority:
    return authority_in(folder, name="van")


def served(folder: Path, authority: Authority, now: datetime = NOW) -> Served:
    return certificate_in(
        folder, authority, names=("van", "van.local"), addresses=(PHONE,), now=now
    )


def handshake(authority: Authority, files: Sequence[Path], name: str) -> str:
    """What OpenSSL says when it meets these files under a name; blank where it trusts them."""
    offer = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    offer.load_cert_chain(*files)
    trust = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    trust.verify_flags |= ssl.VerifyFlags.VERIFY_X509_STRICT
    trust.load_verify_locations(cadata=authority.pem.decode())
    here, there = socket.socketpair()

    def answer() -> None:
        try:
            offer.wrap_socket(there, server_side=True).close()
        except (ssl.SSLError, OSError):
            there.close()

    thread = threading.Thread(target=answer)
    thread.start()
    try:
        trust.wrap_socket(here, server_hostname=name).close()
    except ssl.SSLCertVerificationError as error:
        return error.verify_message
    finally:
        here.close()
        thread.join()
    return ""


@pytest.mark.parametrize(
    "name", ["van", "van.local", "localhost", "192.168.7.20", "127.0.0.1", "::1"]
)
def test_who_trusts_the_authority_trusts_this_machine(
    name: str, folder: Path, authority: Authority
) -> None:
    made = served(folder, authority)
    assert handshake(authority, (made.certificate, made.key), name) == ""


@pytest.mark.parametrize("name", ["example.org", "192.168.7.21", "van.example.org"])
def test_it_vouches_for_no_other_name(name: str, folder: Path, authority: Authority) -> None:
    made = served(folder, authority)
    assert "mismatch" in handshake(authority, (made.certificate, made.key), name)


@pytest.mark.parametrize("name", ["bank.example.org", "203.0.113.7", "2001:db8::7"])
def test_a_stolen_authority_vouches_for_nobody_on_the_internet(
    name: str, folder: Path, authority: Authority, tmp_path: Path
) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    try:
        wanted: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        wanted = x509.DNSName(name)
    forged = _signed(authority, key, [wanted], NOW)
    (tmp_path / "f.pem").write_bytes(forged.public_bytes(serialization.Encoding.PEM))
    (tmp_path / "f.key").write_bytes(_key_pem(key))
    why = handshake(authority, (tmp_path / "f.pem", tmp_path / "f.key"), name)
    assert why == "permitted subtree violation"


def test_another_depots_authority_is_not_trusted(folder: Path, authority: Authority) -> None:
    other = authority_in(folder.with_name("other"), name="van")
    made = served(folder, authority)
    assert handshake(other, (made.certificate, made.key), "van") != ""


def test_a_public_name_or_address_is_left_out(folder: Path, authority: Authority) -> None:
    made = certificate_in(
        folder, authority, names=("van", "depot.example.org"),
        addresses=(PHONE, ipaddress.ip_address("203.0.113.7")),
    )  # fmt: skip
    assert handshake(authority, (made.certificate, made.key), "van") == ""
    text = x509.load_pem_x509_certificate(made.certificate.read_bytes())
    named = text.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert "depot.example.org" not in named.get_values_for_type(x509.DNSName)
    assert PHONE in named.get_values_for_type(x509.IPAddress)
    assert ipaddress.ip_address("203.0.113.7") not in named.get_values_for_type(x509.IPAddress)


def test_all_files_are_their_owners_alone(folder: Path, authority: Authority) -> None:
    served(folder, authority)
    assert folder.stat().st_mode & 0o777 == 0o700
    files = sorted(folder.iterdir())
    assert [f.name for f in files] == ["authority.key", "authority.pem", "server.key", "server.pem"]
    assert all(f.stat().st_mode & 0o777 == 0o600 for f in files)


def test_the_certificate_is_kept_until_shortly_before_its_end(
    folder: Path, authority: Authority
) -> None:
    first = served(folder, authority)
    assert first.ends - NOW == pytest.approx(CERTIFICATE_LIFE, abs=timedelta(seconds=2))
    late = NOW + CERTIFICATE_LIFE - RENEWED_BEFORE
    assert served(folder, authority, late - timedelta(hours=1)) == first
    again = served(folder, authority, late + timedelta(hours=1))
    assert again.ends > first.ends
    assert served(folder, authority, NOW - timedelta(days=400)).ends < NOW  # a clock set back


def test_a_new_address_brings_a_new_certificate(folder: Path, authority: Authority) -> None:
    made = served(folder, authority)
    moved = ipaddress.ip_address("10.1.2.3")
    assert handshake(authority, (made.certificate, made.key), "10.1.2.3") != ""
    made = certificate_in(folder, authority, names=("van",), addresses=(moved,))
    assert handshake(authority, (made.certificate, made.key), "10.1.2.3") == ""


def test_the_authority_stays_the_same_and_ends_once(folder: Path, authority: Authority) -> None:
    assert authority_in(folder, name="van").fingerprint == authority.fingerprint
    end = NOW + AUTHORITY_LIFE
    assert authority_in(folder, name="van", now=end).fingerprint != authority.fingerprint


@pytest.mark.parametrize("gone", ["authority.key", "authority.pem", "server.key", "server.pem"])
@pytest.mark.parametrize("left", [None, b"", b"torn"])
def test_a_file_gone_or_torn_is_made_anew_with_its_fellow(
    gone: str, left: bytes | None, folder: Path, authority: Authority
) -> None:
    served(folder, authority)
    if left is None:
        (folder / gone).unlink()
    else:
        (folder / gone).write_bytes(left)
    now = authority_in(folder, name="van")
    assert (now.fingerprint == authority.fingerprint) is gone.startswith("server")
    made = served(folder, now)
    assert handshake(now, (made.certificate, made.key), "van") == ""


def test_a_folder_that_cannot_be_written_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "lan").write_text("a file in its place")
    with pytest.raises(StorageFailed, match=r"[.]$"):
        authority_in(tmp_path / "lan", name="van")
