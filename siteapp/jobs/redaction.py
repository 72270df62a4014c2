"""What certificates and reports must not carry: the client's name outside the signature, addresses, ways in."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.jobs.models import Job
from siteapp.store.models import Entry

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

LEFT_OUT = "[…]"
SHORTEST = 3  # a shorter name would tear holes into ordinary words
# What says who signed and which record this is stays as it is.
KEPT = {"signature.name", "further_signatures.name", "number", "piece_number", "link", "supersedes.number"}
SHA_FIELDS = ("sha256", "image_sha256")


def secrets_of(session: Session, job_id: str) -> tuple[str, ...]:
    """Everything that any revision of the job says about the client, the address and how to get in; longest first.

    An address counts whole, by line, and by those of its parts between commas that hold a digit: a town alone may be
    said in public.
    """
    found: set[str] = set()
    query = select(Job).join(Entry, Entry.id == Job.entry_id).where(Entry.job_id == job_id)
    for job in session.scalars(query):
        found.add(job.client)
        for text in (job.address or "", job.access_notes or ""):
            lines = text.splitlines()
            found.update((text, *lines))
            found.update(part for line in lines for part in line.split(",") if any(sign.isdigit() for sign in part))
    kept = {" ".join(one.split()) for one in found}
    return tuple(sorted((one for one in kept if len(one) >= SHORTEST), key=lambda one: (-len(one), one)))


def redact(plain: dict[str, Any], secrets: Sequence[str]) -> dict[str, Any]:
    """The record with each of `secrets` taken out of its texts, whatever the case and the spaces between words."""
    pattern = _pattern(secrets)
    return {name: _redact(value, pattern, name) for name, value in plain.items()} if pattern else plain


def redact_words(words: str, secrets: Sequence[str]) -> str:
    """A text with each of `secrets` taken out of it."""
    pattern = _pattern(secrets)
    return pattern.sub(LEFT_OUT, words) if pattern else words


def says_no_more(words: str, secrets: Sequence[str]) -> bool:
    """Whether a text is one of `secrets` and nothing else."""
    return redact_words(" ".join(words.split()), secrets) == LEFT_OUT


def _pattern(secrets: Sequence[str]) -> re.Pattern[str] | None:
    if not secrets:
        return None
    ways = "|".join(r"\s+".join(re.escape(word) for word in secret.split()) for secret in secrets)
    return re.compile(rf"(?<!\w)(?:{ways})(?!\w)", re.IGNORECASE)


def _redact(value: Any, pattern: re.Pattern[str], where: str) -> Any:
    if isinstance(value, dict):
        return {name: _redact(part, pattern, f"{where}.{name}") for name, part in value.items()}
    if isinstance(value, list):
        return [_redact(part, pattern, where) for part in value]
    if (
        not isinstance(value, str)
        or where in KEPT
        or where.startswith("proof")
        or where.rpartition(".")[2] in SHA_FIELDS
    ):
        return value
    return pattern.sub(LEFT_OUT, value)
