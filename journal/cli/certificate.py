"""HTTPS on the shop's network with a certificate the journal makes itself.

It makes an authority of its own, once, and with it a certificate for the names and addresses this computer has now. A
phone is told once to trust the authority; when the computer's address changes, only the certificate is made anew. The
authority can vouch for nothing but names and addresses of a local network (RFC 5280, name constraints), so that a stolen key
does not open the rest of the internet.
"""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from journal.records.keeping.files import whole_file

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

FOLDER = "certificate"
_AUTHORITY_YEARS = 10
_DAYS = 397  # what browsers accept at most of a server certificate (CA/Browser Forum baseline, 398)
_RENEW_BEFORE = timedelta(days=30)
_PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "fc00::/7", "fe80::/10")
_LOCAL_NAMES = ("local", "localhost", "lan", "home.arpa", "internal")


@dataclass(frozen=True, slots=True)
class Certificate:
    """Where the server's certificate and key are, and the authority's certificate that a phone must trust."""

    certificate: Path
    key: Path
    authority: Path


def ready(data: Path, names: Sequence[str], *, now: datetime | None = None) -> Certificate:
    """A certificate for these names and addresses; made anew when there is none, it lacks one, or it soon ends."""
    moment = now or datetime.now(UTC)
    folder = data / FOLDER
    found = Certificate(folder / "server.pem", folder / "server.key", folder / "authority.pem")
    authority = _authority(folder, names, moment)
    if not _serves(found, authority[0], names, moment):
        _make_server(found, authority, names, moment)
    return found


def _authority(
    folder: Path, names: Sequence[str], now: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    certificate, key = folder / "authority.pem", folder / "authority.key"
    if certificate.exists() and key.exists():
        held = x509.load_pem_x509_certificate(certificate.read_bytes())
        if now < held.not_valid_after_utc - _RENEW_BEFORE:
            private = serialization.load_pem_private_key(key.read_bytes(), password=None)
            assert isinstance(private, ec.EllipticCurvePrivateKey)  # noqa: S101 - it is the one written below
            return held, private
    made = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Shop Build Journal on {_first_name(names)}")])
    built = (
        _builder(name, name, made.public_key(), now, timedelta(days=365 * _AUTHORITY_YEARS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(_constraints(names), critical=True)
        .sign(made, hashes.SHA256())
    )
    _write(key, _private_bytes(made))
    _write(certificate, built.public_bytes(serialization.Encoding.PEM))
    return built, made


def _make_server(
    to: Certificate,
    authority: tuple[x509.Certificate, ec.EllipticCurvePrivateKey],
    names: Sequence[str],
    now: datetime,
) -> None:
    issuer, signer = authority
    made = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, _first_name(names))])
    built = (
        _builder(name, issuer.subject, made.public_key(), now, timedelta(days=_DAYS))
        .add_extension(x509.SubjectAlternativeName([_general(one) for one in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(signer, hashes.SHA256())
    )
    _write(to.key, _private_bytes(made))
    _write(to.certificate, built.public_bytes(serialization.Encoding.PEM))


def _serves(found: Certificate, authority: x509.Certificate, names: Sequence[str], now: datetime) -> bool:
    if not (found.certificate.exists() and found.key.exists()):
        return False
    held = x509.load_pem_x509_certificate(found.certificate.read_bytes())
    try:
        held.verify_directly_issued_by(authority)
    except (InvalidSignature, ValueError):
        return False
    listed = held.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return set(map(_general, names)) <= set(listed) and now < held.not_valid_after_utc - _RENEW_BEFORE


def _builder(
    subject: x509.Name, issuer: x509.Name, public: ec.EllipticCurvePublicKey, now: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))  # a phone's clock may be behind
        .not_valid_after(now + lasts)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _constraints(names: Sequence[str]) -> x509.NameConstraints:
    own = [general for name in names if isinstance(general := _general(name), x509.DNSName)]
    local = [x509.DNSName(name) for name in _LOCAL_NAMES]
    addresses = [x509.IPAddress(ipaddress.ip_network(network)) for network in _PRIVATE]
    return x509.NameConstraints(permitted_subtrees=[*dict.fromkeys([*own, *local]), *addresses], excluded_subtrees=None)


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name.strip("[]")))
    except ValueError:
        return x509.DNSName(name)


def _first_name(names: Sequence[str]) -> str:
    return next(
        (name for name in names if isinstance(_general(name), x509.DNSName) and name != "localhost"), "this computer"
    )[:50]


def _private_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(path: Path, content: bytes) -> None:
    with whole_file(path) as unfinished:
        unfinished.write_bytes(content)
