"""A certificate authority for this laptop alone, limited to private addresses, and a certificate for its addresses.

A phone that trusts this authority trusts it for the local network only (name constraints, RFC 5280, section 4.2.1.10).
"""

import datetime
import ipaddress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

PRIVATE: Final = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "100.64.0.0/10",
    "192.0.2.0/24",
    "127.0.0.0/8",
)
"""Networks that are not routed on the internet (RFC 1918, 3927, 6598; 5737 for closed test networks)."""
CA_DAYS: Final = 3650
LEAF_DAYS: Final = 397
RENEW_BEFORE: Final = datetime.timedelta(days=30)
CA_RENEW_BEFORE: Final = datetime.timedelta(days=LEAF_DAYS)
"""An authority outlives every certificate that it signs. After a new one, phones must trust it anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificates:
    """Where the files lie: the authority's certificate for the phones, the server's own with its key."""

    authority: Path
    chain: Path
    key: Path


def certificates(folder: Path, names: list[str], addresses: list[str]) -> Certificates:
    """The certificates for these names and private addresses, made where they are missing, too old or for other
    addresses."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    files = Certificates(
        authority=folder / "threequarter-ca.crt", chain=folder / "server.pem", key=folder / "server.key"
    )
    ca_key_file = folder / "ca.key"
    if not (files.authority.exists() and ca_key_file.exists()) or _ends_soon(files.authority, CA_RENEW_BEFORE):
        _make_authority(files.authority, ca_key_file)
    wanted = {*names, *addresses}
    if not _fits(files, wanted):
        _make_server(files, ca_key_file, names, addresses)
    return files


def _make_authority(file: Path, key_file: Path) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "threequarter on this laptop")])
    limits = x509.NameConstraints(
        permitted_subtrees=[
            x509.DNSName("local"),
            x509.DNSName("localhost"),
            *(x509.IPAddress(ipaddress.ip_network(net)) for net in PRIVATE),
        ],
        excluded_subtrees=None,
    )
    made = (
        _builder(name, name, key.public_key(), CA_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(
            x509.KeyUsage(
                key_cert_sign=True,
                crl_sign=True,
                digital_signature=False,
                content_commitment=False,
                key_encipherment=False,
                data_encipherment=False,
                key_agreement=False,
                encipher_only=False,
                decipher_only=False,
            ),
            critical=True,
        )
        .add_extension(limits, critical=True)
        .sign(key, hashes.SHA256())
    )
    _write(key_file, _pem(key), secret=True)
    _write(file, made.public_bytes(serialization.Encoding.PEM))


def _make_server(files: Certificates, ca_key_file: Path, names: list[str], addresses: list[str]) -> None:
    ca_key = serialization.load_pem_private_key(ca_key_file.read_bytes(), None)
    assert isinstance(ca_key, ec.EllipticCurvePrivateKey)
    ca = x509.load_pem_x509_certificate(files.authority.read_bytes())
    key = ec.generate_private_key(ec.SECP256R1())
    others = [
        *(x509.DNSName(name) for name in names),
        *(x509.IPAddress(ipaddress.ip_address(address)) for address in addresses),
    ]
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, (names or addresses)[0][:64])])
    made = (
        _builder(subject, ca.subject, key.public_key(), LEAF_DAYS)
        .add_extension(x509.SubjectAlternativeName(others), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(ca_key, hashes.SHA256())
    )
    _write(files.key, _pem(key), secret=True)
    _write(files.chain, made.public_bytes(serialization.Encoding.PEM) + files.authority.read_bytes())


def _builder(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, days: int
) -> x509.CertificateBuilder:
    now = datetime.datetime.now(datetime.UTC)
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(days=1))  # a phone's clock may be behind
        .not_valid_after(now + datetime.timedelta(days=days))
    )


def _fits(files: Certificates, wanted: set[str]) -> bool:
    """Whether the server's certificate is there, good for a while yet, and for exactly these names."""
    if not (files.chain.exists() and files.key.exists()):
        return False
    if _ends_soon(files.chain, RENEW_BEFORE):
        return False
    made = x509.load_pem_x509_certificate(files.chain.read_bytes())
    others = made.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    held = {*others.get_values_for_type(x509.DNSName), *(str(a) for a in others.get_values_for_type(x509.IPAddress))}
    ca = x509.load_pem_x509_certificate(files.authority.read_bytes())
    return held == wanted and made.issuer == ca.subject and _signed(made, ca)


def _ends_soon(file: Path, before: datetime.timedelta) -> bool:
    made = x509.load_pem_x509_certificate(file.read_bytes())
    return made.not_valid_after_utc - before < datetime.datetime.now(datetime.UTC)


def _signed(made: x509.Certificate, ca: x509.Certificate) -> bool:
    try:
        made.verify_directly_issued_by(ca)
    except (ValueError, TypeError, InvalidSignature):
        return False
    return True


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(file: Path, content: bytes, *, secret: bool = False) -> None:
    file.touch(mode=0o600 if secret else 0o644, exist_ok=True)
    file.chmod(0o600 if secret else 0o644)
    file.write_bytes(content)
