"""How the program and its PDF worker speak over pipes: a JSON header, then blocks of bytes.

A frame is the length of the header (4 bytes, big-endian), the header in UTF-8, and the blocks one after another; the
header's `blocks` gives their lengths. Nothing that arrives is ever run or unpickled.
"""

from __future__ import annotations

import json
import struct
from typing import TYPE_CHECKING, Any, BinaryIO

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

LENGTH = struct.Struct(">I")
LARGEST_HEADER = 4 * 1024 * 1024
LARGEST_FRAME = 1024 * 1024 * 1024


class FrameBroken(EOFError):
    """The other side has gone, or what came is no frame."""


def write_frame(stream: BinaryIO, header: Mapping[str, Any], blocks: Sequence[bytes] = ()) -> None:
    """Send one frame. Raises OSError when the other side has gone."""
    head = json.dumps({**header, "blocks": [len(block) for block in blocks]}).encode()
    stream.write(LENGTH.pack(len(head)))
    stream.write(head)
    stream.writelines(blocks)
    stream.flush()


def read_frame(stream: BinaryIO) -> tuple[dict[str, Any], list[bytes]]:
    """Receive one frame: header and blocks. Raises FrameBroken."""
    (length,) = LENGTH.unpack(_exactly(stream, LENGTH.size))
    if length > LARGEST_HEADER:
        message = f"a header of {length} bytes is no header"
        raise FrameBroken(message)
    header = json.loads(_exactly(stream, length))
    lengths = header.pop("blocks")
    if sum(lengths) > LARGEST_FRAME:
        message = f"{sum(lengths)} bytes in one frame are too many"
        raise FrameBroken(message)
    return header, [_exactly(stream, length) for length in lengths]


def _exactly(stream: BinaryIO, count: int) -> bytes:
    parts = []
    left = count
    while left:
        part = stream.read(left)
        if not part:
            message = "the other side of the pipe has gone"
            raise FrameBroken(message)
        parts.append(part)
        left -= len(part)
    return b"".join(parts)
