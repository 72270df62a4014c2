"""Templates compiled once a test process, for all the applications that its tests make."""

from __future__ import annotations

from typing import TYPE_CHECKING

from jinja2 import BytecodeCache

if TYPE_CHECKING:
    from jinja2.bccache import Bucket


class Compiled(BytecodeCache):
    """Compiled templates in this process's memory; a template that was changed has another checksum."""

    def __init__(self) -> None:
        """Nothing is compiled yet."""
        self._known: dict[tuple[str, str], bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Hand out what was compiled before."""
        known = self._known.get((bucket.key, bucket.checksum))
        if known is not None:
            bucket.bytecode_from_string(known)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled now."""
        self._known[bucket.key, bucket.checksum] = bucket.bytecode_to_string()
