"""Heads of the chains, signed, in a file beside the database.

A chain alone cannot show that its tail was cut; a head noted elsewhere can. Each commit appends a line a chain, so the
cost stays the same however many jobs there are; the file is made short again at start. Whoever owns the machine owns
its key too and could forge both: this shows accidents and careless hands, not its owner.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from typing import TYPE_CHECKING

import rfc8785

from siteapp.store import keys

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from sqlalchemy.orm import Session

    from siteapp.config import Settings

NOTED = "noted_heads"
LINES_A_CHAIN = 4
FEW_LINES = 200


@dataclass(frozen=True)
class Head:
    """The last entry of a chain as somebody noted it."""

    chain: str
    seq: int
    digest: str


@dataclass(frozen=True)
class HeadsFile:
    """What the heads file says: the furthest head of each chain with its line, and what could not be believed."""

    heads: Mapping[str, Head]
    lines: Mapping[str, str]
    faults: tuple[str, ...]
    count: int
    torn: bool


def remember(session: Session, chain: str, seq: int, digest: str) -> None:
    """Keep a new head with the session until it is committed."""
    session.info.setdefault(NOTED, {})[chain] = Head(chain, seq, digest)


def note(settings: Settings, session: Session) -> None:
    """Append the heads that a session committed to the file, signed and on disk."""
    heads: dict[str, Head] = session.info.pop(NOTED, {})
    if heads:
        lines = "".join(_line(settings, head) for head in heads.values())
        _append(settings.heads_file, lines)


def read(path: Path, public_keys: Mapping[str, str]) -> HeadsFile:
    """Read a heads file, believing only lines signed by the laptop whose chain they name.

    `public_keys` maps laptop ids to Ed25519 public keys in hexadecimal. A torn last line is what a power cut leaves
    and no fault.
    """
    heads: dict[str, Head] = {}
    kept: dict[str, str] = {}
    faults: list[str] = []
    lines = path.read_text("utf-8", errors="replace").split("\n") if path.exists() else [""]
    for number, line in enumerate(lines[:-1], start=1):
        head = _believed(line, public_keys)
        if head is None:
            faults.append(f"line {number} of the heads file is not signed by the laptop whose chain it names")
        elif head.chain not in heads or heads[head.chain].seq < head.seq:
            heads[head.chain], kept[head.chain] = head, line
    return HeadsFile(heads, kept, tuple(faults), count=len(lines) - 1, torn=lines[-1] != "")


def catch_up(settings: Settings, heads: Iterable[Head], public_keys: Mapping[str, str]) -> None:
    """Note this laptop's heads that the file does not know yet, and make it short again, one line a chain.

    Those are of commits after which the program was killed before it could note them. Lines stay as their laptops
    signed them. A file with faults is left as it is, for `check` to name. A line that another process adds while the
    file is made short may be lost until that chain's next entry, so it is done seldom.
    """
    said = read(settings.heads_file, public_keys)
    if said.faults:
        return
    own = keys.own_laptop(settings)
    newer = [
        head
        for head in heads
        if head.chain.partition(":")[0] == own
        and (head.chain not in said.heads or said.heads[head.chain].seq < head.seq)
    ]
    if not said.torn and said.count <= LINES_A_CHAIN * len(said.heads) + FEW_LINES:
        if newer:
            _append(settings.heads_file, "".join(_line(settings, head) for head in newer))
        return
    passed = {head.chain for head in newer}
    lines = [line + "\n" for chain, line in said.lines.items() if chain not in passed]
    temporary = settings.heads_file.with_suffix(".new")
    temporary.unlink(missing_ok=True)
    _append(temporary, "".join([*lines, *(_line(settings, head) for head in newer)]))
    temporary.replace(settings.heads_file)


def _believed(line: str, public_keys: Mapping[str, str]) -> Head | None:
    try:
        said = json.loads(line)
        head = Head(str(said["chain"]), int(said["seq"]), str(said["digest"]))
        key = public_keys.get(head.chain.partition(":")[0])
        believed = key is not None and keys.verify(key, str(said["signature"]), _message(head))
    except (ValueError, KeyError, TypeError):
        return None
    return head if believed else None


def _message(head: Head) -> bytes:
    return rfc8785.dumps({"chain": head.chain, "seq": head.seq, "digest": head.digest})


def _line(settings: Settings, head: Head) -> str:
    signature = keys.sign(settings, _message(head))
    return (
        json.dumps(
            {
                "chain": head.chain,
                "seq": head.seq,
                "digest": head.digest,
                "signature": signature,
            }
        )
        + "\n"
    )


def _append(path: Path, text: str) -> None:
    # One write of one short block with O_APPEND: lines of two workers do not mix.
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    try:
        os.write(handle, text.encode())
        os.fsync(handle)
    finally:
        os.close(handle)
