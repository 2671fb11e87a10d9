"""A certificate authority of the depot's own, and this machine's certificate from it.

X.509 by RFC 5280: the authority may sign only for names and addresses of local networks (section
4.2.1.10), so that its key, if stolen, vouches for nobody on the internet. The machine's certificate
is short-lived and renewed by itself.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from wetend.errors import StorageFailed, why_not
from wetend.records.files import make_folder, write_atomic
from wetend.units.message import Message

AUTHORITY_LIFE = timedelta(days=3650)
CERTIFICATE_LIFE = timedelta(days=30)
RENEWED_BEFORE = timedelta(days=10)
"""Before its end the certificate is renewed."""
_BEHIND = timedelta(hours=24)
"""Valid since so long ago, for phones whose clock is behind."""
LOCAL_NETWORKS = tuple(
    ipaddress.ip_network(net)
    for net in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8",
                "100.64.0.0/10", "fc00::/7", "fe80::/10", "::1/128")
)  # fmt: skip
"""Private and link-local ones: RFC 1918, 3927, 6598, 4193, 4291."""
_LOCAL_NAMES = ("localhost", "local", "lan", "home.arpa", "internal")
Address = ipaddress.IPv4Address | ipaddress.IPv6Address


@dataclass(frozen=True)
class Authority:
    """The depot's own authority."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def pem(self) -> bytes:
        """The certificate to hand out."""
        return self.certificate.public_bytes(serialization.Encoding.PEM)

    @property
    def der(self) -> bytes:
        """The certificate to hand out, as phones like it."""
        return self.certificate.public_bytes(serialization.Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, in pairs of hex digits, as systems show it."""
        return ":".join(f"{byte:02X}" for byte in self.certificate.fingerprint(hashes.SHA256()))


@dataclass(frozen=True)
class Served:
    """Files that a server presents."""

    certificate: Path
    key: Path
    ends: datetime


def authority_in(folder: Path, *, name: str, now: datetime | None = None) -> Authority:
    """The depot's authority, made at the first call; one that has ended is made anew.

    Args:
        folder: where its files lie, readable for its owner alone.
        name: this machine's name, for whoever looks at the certificate.
        now: UTC.

    Raises:
        StorageFailed: the files can't be written or read.
    """
    now = now or datetime.now(UTC)
    place, key_place = folder / "authority.pem", folder / "authority.key"
    kept = _read(place, key_place)
    if kept is not None and kept.certificate.not_valid_after_utc - now > CERTIFICATE_LIFE:
        return kept
    made = _new_authority(name, now)
    _write(folder, key_place, _key_pem(made.key), place, made.pem)
    return made


def certificate_in(
    folder: Path, authority: Authority, *, names: Sequence[str], addresses: Sequence[Address],
    now: datetime | None = None,
) -> Served:  # fmt: skip
    """This machine's certificate: the one kept while it fits and lasts, else a new one.

    Args:
        folder: where its files lie.
        authority: signs it.
        names: names it is reached by; those that are not local are left out.
        addresses: addresses it is reached by; those that are not local are left out.
        now: UTC.

    Raises:
        StorageFailed: the files can't be written or read.
    """
    now = now or datetime.now(UTC)
    place, key_place = folder / "server.pem", folder / "server.key"
    wanted = _alternatives(names, addresses)
    kept = _chain(place)
    if (
        kept is not None
        and _fits(kept, key_place)
        and kept.issuer == authority.certificate.subject
        and kept.not_valid_after_utc - now > RENEWED_BEFORE
        and kept.not_valid_before_utc <= now
        and set(wanted) <= set(_named(kept))
    ):
        return Served(place, key_place, kept.not_valid_after_utc)
    key = ec.generate_private_key(ec.SECP256R1())
    made = _signed(authority, key, wanted, now)
    chain = made.public_bytes(serialization.Encoding.PEM) + authority.pem
    _write(folder, key_place, _key_pem(key), place, chain)
    return Served(place, key_place, made.not_valid_after_utc)


def is_local(address: Address) -> bool:
    """Whether an address lies in a local network."""
    return any(address in net for net in LOCAL_NETWORKS if net.version == address.version)


def _local_name(name: str) -> bool:
    plain = name.lower()
    return "." not in plain or plain.rpartition(".")[2] in _LOCAL_NAMES or plain.endswith(
        ".home.arpa"
    )  # fmt: skip


def _alternatives(names: Sequence[str], addresses: Sequence[Address]) -> list[x509.GeneralName]:
    plain = dict.fromkeys(n.lower() for n in (*names, "localhost") if n and _local_name(n))
    loopback: Sequence[Address] = (ipaddress.ip_address("127.0.0.1"), ipaddress.ip_address("::1"))
    local = dict.fromkeys(a for a in (*addresses, *loopback) if is_local(a))
    return [*map(x509.DNSName, plain), *map(x509.IPAddress, local)]


def _named(certificate: x509.Certificate) -> list[x509.GeneralName]:
    try:
        found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName)
    except x509.ExtensionNotFound:
        return []
    return list(found.value)


def _new_authority(name: str, now: datetime) -> Authority:
    key = ec.generate_private_key(ec.SECP256R1())
    serial = x509.random_serial_number()
    called = x509.Name([
        x509.NameAttribute(NameOID.COMMON_NAME, f"wetend on {name} {serial % 0xFFFF:04x}"[:64])
    ])  # fmt: skip
    usage = x509.KeyUsage(
        digital_signature=False, content_commitment=False, key_encipherment=False,
        data_encipherment=False, key_agreement=False, key_cert_sign=True, crl_sign=True,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip
    # a name without a dot is its own whole tree: RFC 5280, 4.2.1.10
    trees = [x509.DNSName(tree) for tree in dict.fromkeys((*_LOCAL_NAMES, name.lower()))]
    permitted = [*trees, *map(x509.IPAddress, LOCAL_NETWORKS)]
    made = (
        x509.CertificateBuilder()
        .subject_name(called)
        .issuer_name(called)
        .public_key(key.public_key())
        .serial_number(serial)
        .not_valid_before(now - _BEHIND)
        .not_valid_after(now + AUTHORITY_LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    return Authority(made, key)


def _signed(
    authority: Authority, key: ec.EllipticCurvePrivateKey, wanted: Sequence[x509.GeneralName],
    now: datetime,
) -> x509.Certificate:  # fmt: skip
    usage = x509.KeyUsage(
        digital_signature=True, content_commitment=False, key_encipherment=False,
        data_encipherment=False, key_agreement=False, key_cert_sign=False, crl_sign=False,
        encipher_only=False, decipher_only=False,
    )  # fmt: skip
    signer = authority.certificate.extensions.get_extension_for_class(x509.SubjectKeyIdentifier)
    ends = min(now + CERTIFICATE_LIFE, authority.certificate.not_valid_after_utc)
    return (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "wetend")]))
        .issuer_name(authority.certificate.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _BEHIND)
        .not_valid_after(ends)
        .add_extension(x509.SubjectAlternativeName(wanted), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(signer.value),
            critical=False,
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(authority.key, hashes.SHA256())
    )


def _key_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(folder: Path, key_place: Path, key: bytes, place: Path, certificate: bytes) -> None:
    """The key first: a certificate whose key is another's is found and made anew."""
    make_folder(folder, private=True)
    write_atomic(key_place, key, private=True)
    write_atomic(place, certificate, private=True)


def _read(place: Path, key_place: Path) -> Authority | None:
    certificate, key = _chain(place), _key(key_place)
    if certificate is None or key is None or key.public_key() != certificate.public_key():
        return None
    return Authority(certificate, key)


def _fits(certificate: x509.Certificate, key_place: Path) -> bool:
    key = _key(key_place)
    return key is not None and key.public_key() == certificate.public_key()


def _key(place: Path) -> ec.EllipticCurvePrivateKey | None:
    """A file's key; ``None`` where there is none that can be read."""
    try:
        key = serialization.load_pem_private_key(place.read_bytes(), None)
    except (FileNotFoundError, ValueError, TypeError):
        return None
    except OSError as error:
        raise StorageFailed(
            Message("{name} can't be read: {why}.", name=place.name, why=why_not(error))
        ) from error
    return key if isinstance(key, ec.EllipticCurvePrivateKey) else None


def _chain(place: Path) -> x509.Certificate | None:
    """The first certificate of a file; ``None`` where there is none that can be read."""
    try:
        return x509.load_pem_x509_certificate(place.read_bytes())
    except (FileNotFoundError, ValueError):
        return None
    except OSError as error:
        raise StorageFailed(
            Message("{name} can't be read: {why}.", name=place.name, why=why_not(error))
        ) from error
