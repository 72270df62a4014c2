"""A label as a drawing for a page (SVG), from the same places as on paper; the typeface is the device's own."""

from __future__ import annotations

from io import BytesIO
from itertools import groupby
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from siteapp.documents.fitting import DISPLAY, ITALIC, MM_PER_PT, SANS, STRONG

if TYPE_CHECKING:
    from siteapp.documents.label.parts import Code, Laid

SANS_FAMILY = "'Source Sans 3', 'Source Sans Pro', 'Segoe UI', Roboto, sans-serif"
SERIF_FAMILY = "'Source Serif 4', Georgia, serif"
LOOKS = {
    SANS: f'font-family="{SANS_FAMILY}"',
    STRONG: f'font-family="{SANS_FAMILY}" font-weight="600"',
    ITALIC: f'font-family="{SERIF_FAMILY}" font-style="italic"',
    DISPLAY: f'font-family="{SERIF_FAMILY}"',
}
BASELINE = 0.33  # of the type's size, from the middle of a line down to where its letters stand


def svg(laid: Laid, title: str) -> str:
    """Draw a label at its size in mm; every line is drawn as wide as it is on paper."""
    width, height = laid.form.width_mm, laid.form.height_mm
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" role="img" aria-label={quoteattr(title)}>'
    )
    parts = [head, f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>']
    for text in laid.texts:
        size = text.size_pt * MM_PER_PT
        parts.append(
            f'<text x="{text.x_mm:.3f}" y="{text.y_mm + text.height_mm / 2 + size * BASELINE:.3f}" '
            f'font-size="{size:.3f}" textLength="{max(text.width_mm, 0.01):.3f}" lengthAdjust="spacingAndGlyphs" '
            f'fill="{text.colour}" {LOOKS[text.face]}>{escape(text.words)}</text>'
        )
    parts += [
        f'<rect x="{rule.x_mm:.3f}" y="{rule.y_mm:.3f}" width="{rule.width_mm:.3f}" height="{rule.thick_mm:g}" '
        f'fill="{rule.colour}"/>'
        for rule in laid.rules
    ]
    parts += [_drawn(code) for code in laid.codes]
    return "".join([*parts, "</svg>"])


def _drawn(code: Code) -> str:
    """A code as one path, a unit a module: a page's own rules let no picture stand inside a picture."""
    from PIL import Image

    image = Image.open(BytesIO(code.code.png)).convert("1")
    runs = []
    for y in range(image.height):
        x = 0
        for dark, group in groupby(not image.getpixel((x, y)) for x in range(image.width)):
            length = len(list(group))
            if dark:
                runs.append(f"M{x} {y}h{length}v1h-{length}z")
            x += length
    scale = code.side_mm / code.code.modules
    return (
        f'<path transform="translate({code.x_mm:.3f} {code.y_mm:.3f}) scale({scale:.5f})" '
        f'shape-rendering="crispEdges" d="{"".join(runs)}"/>'
    )
