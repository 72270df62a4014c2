"""What a check found, in words that name the place."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterable


class Progress(Protocol):
    """Told how far something is."""

    def __call__(self, done: int, total: int, what: str) -> None:
        """`done` of `total` steps, now at `what`."""


def silent(done: int, total: int, what: str) -> None:
    """Progress that nobody watches."""


@dataclass(frozen=True)
class Finding:
    """One thing that is not as it was written, and where: what is known of chain, number in it, entry and piece."""

    what: str
    chain: str | None = None
    seq: int | None = None
    entry_id: str | None = None
    kind: str | None = None
    piece_number: str | None = None

    def __str__(self) -> str:
        """One line."""
        where = [
            f"{name} {value}"
            for name, value in (
                ("piece", self.piece_number),
                ("kind", self.kind),
                ("entry", self.entry_id),
                ("number", self.seq),
                ("in chain", self.chain),
            )
            if value is not None
        ]
        return self.what + (f" ({', '.join(where)})" if where else "")


@dataclass
class Report:
    """What was looked at, how many of each, and what was found. No findings means that all is as it was written."""

    findings: list[Finding] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)

    def add(self, findings: Iterable[Finding]) -> None:
        """Add findings."""
        self.findings.extend(findings)

    def count(self, what: str, number: int = 1) -> None:
        """Count what was looked at."""
        self.counts[what] = self.counts.get(what, 0) + number
