"""QR codes (ISO/IEC 18004) for labels: level Q, four modules of quiet zone, modules of 0.5 mm or more.

As pictures of one pixel a module, one bit a pixel; the page enlarges them without smoothing. A link is set in capital
letters throughout, so that the denser alphanumeric mode holds it. Level Q withstands dirt; H makes modules smaller.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from io import BytesIO

QUIET_MODULES = 4
SMALLEST_MODULE_MM = 0.5
ALPHANUMERIC = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
DIGEST_SHOWN = 32  # hexadecimal digits
PIECE_LINK = re.compile(r"https?://[a-z0-9.:-]+/p/[0-9a-z]+", re.IGNORECASE)


class QrTooSmall(ValueError):
    """The modules would be too small to be read from a wall by a phone; the message gives the sizes."""


@dataclass(frozen=True)
class Qr:
    """A QR code: what it says, its width in modules with the quiet zone, and its picture (PNG, a pixel a module)."""

    text: str
    modules: int
    png: bytes


def make(text: str) -> Qr:
    """Make the smallest QR code of level Q that holds `text`. Raises QrTooSmall when none does."""
    import qrcode
    from qrcode.exceptions import DataOverflowError

    code = qrcode.QRCode(error_correction=qrcode.ERROR_CORRECT_Q, border=QUIET_MODULES)
    code.add_data(text.encode(), optimize=0 if set(text) <= ALPHANUMERIC else 20)
    try:
        code.make(fit=True)
    except (DataOverflowError, ValueError) as problem:
        message = f"a text of {len(text)} characters does not fit into a QR code"
        raise QrTooSmall(message) from problem
    matrix = code.get_matrix()
    return Qr(text=text, modules=len(matrix), png=_picture(matrix))


def link_text(link: str) -> str:
    """Set a piece's link in capitals: scheme and host do not mind, and the program answers to `/P/` as well.

    Any other link stays as it is, since somebody else's paths may tell small letters from capitals.
    """
    return link.upper() if PIECE_LINK.fullmatch(link) else link


def certificate_text(number: str, digest: str | None, link: str | None) -> str:
    """What a certificate's code says: its address and the first half of its record's digest, or both in plain words.

    128 bits of the digest: no other record that has them is found by trying.
    """
    part = (digest or "")[:DIGEST_SHOWN]
    if link:
        return f"{link}/{part}".rstrip("/").upper()
    return f"CERTIFICATE {number} RECORD {part}".strip().upper()


def module_mm(size_mm: float, modules: int) -> float:
    """Width of one module in mm, of `modules` with the quiet zone on `size_mm`.

    Raises QrTooSmall under 0.5 mm (the house's limit for labels, common practice, no source).
    """
    module = size_mm / modules
    if module < SMALLEST_MODULE_MM:
        message = (
            f"QR code: {modules} modules on {size_mm:g} mm are {module:.2f} mm each; allowed is "
            f"{SMALLEST_MODULE_MM} mm or more, so a label that leaves {modules * SMALLEST_MODULE_MM:g} mm for it, "
            "or fewer words"
        )
        raise QrTooSmall(message)
    return module


def _picture(matrix: list[list[bool]]) -> bytes:
    from PIL import Image

    image = Image.new("1", (len(matrix), len(matrix)), 1)
    image.putdata([0 if dark else 255 for row in matrix for dark in row])
    out = BytesIO()
    image.save(out, format="PNG")
    return out.getvalue()
