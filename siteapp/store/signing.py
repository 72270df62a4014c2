"""The key that certificates are signed with: ECDSA on P-256 (FIPS 186-5), with a self-signed X.509 certificate.

One a laptop, made once, for its owner's eyes only, outside the database and its backups. The public half is recorded
in the workshop's chain, so that what an earlier laptop signed can still be told from what somebody else did.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import pkcs12
from cryptography.x509.oid import NameOID
from sqlalchemy import select

from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.hashed import sync_folder
from siteapp.store.locks import alone
from siteapp.store.models import SigningKey

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from sqlalchemy.orm import Session

    from siteapp.config import Settings
    from siteapp.store.entries import Writer

OWNER_ONLY = 0o600
LONGEST_NAME = 64  # of a common name, RFC 5280 appendix A.1
UNNAMED = "unnamed workshop"
# What a certificate without a last day says, RFC 5280 section 4.1.2.5.
NO_LAST_DAY = datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)
LEAST_WORDS = 12  # of a passphrase for a file that leaves the laptop, in characters; house rule, no source


class KeyProblem(StoreError):
    """The signing key could not be made, read, saved or taken; the message says why, and what to do."""


@dataclass(frozen=True)
class Key:
    """A signing key: its private half (PKCS #8, DER) and its certificate (DER)."""

    private: bytes
    certificate: bytes

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, lower-case hexadecimal."""
        return fingerprint_of(self.certificate)

    @property
    def name(self) -> str:
        """The workshop's name in the certificate."""
        return name_in(self.certificate)


def key_file(settings: Settings) -> Path:
    """Where the key is."""
    return settings.keys / "certificates.pem"


def ensure(settings: Settings, name: str | None) -> Key:
    """This laptop's signing key, made for the workshop `name` if there is none. Of several processes one makes it."""
    if not key_file(settings).exists():
        with alone(settings, "signing"):
            if not key_file(settings).exists():
                _write(settings, _made(name))
    return load(settings)


def load(settings: Settings) -> Key:
    """This laptop's signing key. Raises KeyProblem without one, or when its file cannot be read."""
    file = key_file(settings)
    try:
        text = file.read_bytes()
        private = serialization.load_pem_private_key(text, None)
        certificate = x509.load_pem_x509_certificate(text)
    except FileNotFoundError as error:
        message = "this laptop has no signing key yet; it is made with the first certificate"
        raise KeyProblem(message) from error
    except ValueError as error:
        message = f"the signing key {file} cannot be read; take it from where it was saved, or move it aside"
        raise KeyProblem(message) from error
    der = serialization.Encoding.DER
    return Key(
        private.private_bytes(der, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()),
        certificate.public_bytes(der),
    )


def save(settings: Settings, target: Path, words: str) -> None:
    """Write the key to a file that goes to another laptop (PKCS #12, RFC 7292), locked with a passphrase.

    Raises KeyProblem for a passphrase that is too short, a file that is there, or without a key.
    """
    key = load(settings)
    if len(words) < LEAST_WORDS:
        message = f"the passphrase has {len(words)} characters; at least {LEAST_WORDS} are needed"
        raise KeyProblem(message)
    lock = serialization.BestAvailableEncryption(words.encode())
    private = serialization.load_der_private_key(key.private, None)
    certificate = x509.load_der_x509_certificate(key.certificate)
    if not isinstance(private, ec.EllipticCurvePrivateKey):
        message = f"the signing key {key_file(settings)} is of another kind"
        raise KeyProblem(message)
    data = pkcs12.serialize_key_and_certificates(b"siteapp", private, certificate, None, lock)
    try:
        _owner_only(target, data)
    except FileExistsError as error:
        message = f"{target} is there already; nothing was written over it"
        raise KeyProblem(message) from error


def take(settings: Settings, source: Path, words: str) -> Key:
    """Use the key from a file that `save` wrote; the one used so far is kept aside, named by its fingerprint.

    Raises KeyProblem when the file cannot be read with this passphrase.
    """
    try:
        private, certificate, _more = pkcs12.load_key_and_certificates(source.read_bytes(), words.encode())
    except OSError as error:
        message = f"{source} cannot be read: {(error.strerror or str(error)).lower()}"
        raise KeyProblem(message) from error
    except ValueError as error:
        message = f"{source} cannot be opened: the passphrase is another one, or this is no saved signing key"
        raise KeyProblem(message) from error
    if not isinstance(private, ec.EllipticCurvePrivateKey) or certificate is None:
        message = f"{source} holds no signing key of this program"
        raise KeyProblem(message)
    settings.keys.mkdir(parents=True, exist_ok=True, mode=0o700)
    with alone(settings, "signing"):
        if key_file(settings).exists():
            aside = key_file(settings).with_name(f"certificates-{load(settings).fingerprint[:16]}.pem")
            key_file(settings).replace(aside)
        _write(settings, _pem(private, certificate))
    return load(settings)


def record(session: Session, writer: Writer, key: Key) -> None:
    """Keep the public half of a key in the workshop's chain, once."""
    if session.scalar(select(SigningKey.entry_id).where(SigningKey.fingerprint == key.fingerprint)) is None:
        pem = x509.load_der_x509_certificate(key.certificate).public_bytes(serialization.Encoding.PEM).decode()
        body = SigningKey(fingerprint=key.fingerprint, certificate=pem)
        entries.append(session, writer, kind="signing_key", bodies=[body])


def known(session: Session) -> Mapping[str, str]:
    """The workshop's name by the fingerprint of every key that it has signed with."""
    query = select(SigningKey.fingerprint, SigningKey.certificate)
    return {
        fingerprint: name_in(x509.load_pem_x509_certificate(pem.encode()).public_bytes(serialization.Encoding.DER))
        for fingerprint, pem in session.execute(query)
    }


def fingerprint_of(certificate: bytes) -> str:
    """SHA-256 of a certificate (DER), lower-case hexadecimal."""
    return x509.load_der_x509_certificate(certificate).fingerprint(hashes.SHA256()).hex()


def fingerprint_of_pem(pem: str) -> str:
    """SHA-256 of a certificate's DER form, given as PEM. Raises ValueError for what is no certificate."""
    return x509.load_pem_x509_certificate(pem.encode()).fingerprint(hashes.SHA256()).hex()


def name_in(certificate: bytes) -> str:
    """The common name in a certificate (DER); empty when it has none."""
    named = x509.load_der_x509_certificate(certificate).subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(named[0].value) if named else ""


def _made(name: str | None) -> bytes:
    private = ec.generate_private_key(ec.SECP256R1())
    words = " ".join((name or "").split())[:LONGEST_NAME] or UNNAMED
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, words)])
    usage = x509.KeyUsage(
        digital_signature=True,
        content_commitment=True,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=False,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )
    certificate = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(datetime.now(UTC))
        .not_valid_after(NO_LAST_DAY)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .sign(private, hashes.SHA256())
    )
    return _pem(private, certificate)


def _pem(private: ec.EllipticCurvePrivateKey, certificate: x509.Certificate) -> bytes:
    pem = serialization.Encoding.PEM
    secret = private.private_bytes(pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    return secret + certificate.public_bytes(pem)


def _write(settings: Settings, text: bytes) -> None:
    file = key_file(settings)
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    temporary = file.with_suffix(".new")
    temporary.unlink(missing_ok=True)
    _owner_only(temporary, text)
    temporary.replace(file)
    sync_folder(file.parent)


def _owner_only(path: Path, data: bytes) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
    try:
        os.write(handle, data)
        os.fsync(handle)
    finally:
        os.close(handle)
