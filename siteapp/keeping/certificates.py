"""Certificates as they were issued: frozen records against their digests, signed files against their names and keys."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

from sqlalchemy import exists, select

from siteapp.handover.models import Certificate
from siteapp.keeping import chains
from siteapp.keeping.tables import Base
from siteapp.store import signing
from siteapp.store.hashed import HashedFolder
from siteapp.store.models import Entry, Erasure, SigningKey

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection, Select

    from siteapp.config import Settings
    from siteapp.keeping.chains import Reading
    from siteapp.keeping.findings import Finding, Report

CERTIFICATE = Base.metadata.tables["certificate"]
# What tells a byte that was changed in a file from one that never was part of a signature.
SIGNED = b"/ETSI.CAdES.detached"


def certificate_files() -> Select[tuple[str]]:
    """The SHA-256 of the file of every certificate that was not erased."""
    erased = exists().where(Erasure.erased_id == Certificate.entry_id)
    query = select(Certificate.file_sha256).where(Certificate.file_sha256.is_not(None), ~erased)
    return query.order_by(Certificate.file_sha256)


def records(connection: Connection) -> Iterator[Finding]:
    """Frozen records against the digest that is printed on the certificate."""
    for row in _rows(connection, CERTIFICATE.c.record, CERTIFICATE.c.record_digest):
        if hashlib.sha256(row["record"].encode("utf-8", "surrogateescape")).hexdigest() != row["record_digest"]:
            yield chains.at(row, "the certificate's record does not fit the digest printed on it")


def keys(connection: Connection) -> Iterator[Finding]:
    """Keys that certificates were signed with against their fingerprints; certificates whose key is not on record."""
    known = set()
    table = Base.metadata.tables["signing_key"]
    query = select(*chains.raw(chains.ENTRY), table.c.fingerprint, table.c.certificate)
    for row in connection.execute(query.join(SigningKey, SigningKey.entry_id == Entry.id)).mappings():
        known.add(row["fingerprint"])
        if _fingerprint(row["certificate"]) != row["fingerprint"]:
            yield chains.at(dict(row), "the signing key's certificate does not fit its fingerprint")
    for row in _rows(connection, CERTIFICATE.c.key_fingerprint):
        if row["key_fingerprint"] and row["key_fingerprint"] not in known:
            yield chains.at(row, "the certificate was signed with a key that is not on record")


def files(reading: Reading, settings: Settings, report: Report, *, full: bool) -> Iterator[int]:
    """Every certificate has its signed file and (if `full`) it is as issued; yields how many were looked at."""
    folder = HashedFolder(settings.certificates)
    with reading() as connection:
        rows = [row for row in _rows(connection, CERTIFICATE.c.file_sha256) if row["file_sha256"]]
        gone = {
            sha
            for sha in connection.scalars(
                select(Certificate.file_sha256).join(Erasure, Erasure.erased_id == Certificate.entry_id)
            )
            if sha
        }
    for looked, row in enumerate(rows, 1):
        fault = _fault(folder, row["file_sha256"], full=full)
        if fault:
            with reading() as connection:
                report.add(chains.named(connection, [chains.at(row, f"the certificate's file {fault}")]))
        yield looked
    report.count("certificates", len(rows))
    named = {row["file_sha256"] for row in rows}
    there = set(folder.hashes())
    for sha in sorted(there & gone):
        report.add([chains.Finding(f"the file {sha} of a certificate that was erased is still there")])
    report.count("files of certificates that were made and never issued", len(there - named - gone))


def _fault(folder: HashedFolder, sha: str, *, full: bool) -> str | None:
    try:
        if not full:
            return None if folder.exists(sha) else "is gone"
        data = folder.read_whole(sha)
    except FileNotFoundError:
        return "is gone"
    except OSError as error:
        return f"cannot be read ({error.strerror})"
    except ValueError:
        return "is not as it was issued"
    return None if SIGNED in data else "is not signed"


def _fingerprint(pem: str) -> str | None:
    try:
        return signing.fingerprint_of_pem(pem)
    except ValueError:
        return None


def _rows(connection: Connection, *columns: Any) -> Iterator[dict[str, Any]]:
    """Certificates that were not erased, each with its entry and these columns."""
    query = select(*chains.raw(chains.ENTRY), *columns).join(CERTIFICATE, CERTIFICATE.c.entry_id == Entry.id)
    query = query.where(~exists().where(Erasure.erased_id == Entry.id)).order_by(Entry.chain, Entry.seq)
    for row in connection.execution_options(yield_per=20).execute(query).mappings():
        yield dict(row)
