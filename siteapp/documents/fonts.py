"""The packaged typefaces, Source Serif 4 and Source Sans 3 (SIL Open Font License), as static faces.

They come as variable fonts. WeasyPrint lays such a font out at one optical size and embeds it at another, so that
letters stand a little off the places measured for them, and it makes every instance anew for every document. So each
face is pinned once, when the worker starts: about ten milliseconds a face with HarfBuzz (fontTools takes five to eight
seconds). The faces go by names of our own, so that a font installed on the machine cannot be taken for one of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

SERIF = ("fontpkg_source_serif_4", "SourceSerif4[opsz,wght].ttf")
SERIF_ITALIC = ("fontpkg_source_serif_4", "SourceSerif4-Italic[opsz,wght].ttf")
SANS = ("fontpkg_source_sans_3", "SourceSans3[wght].ttf")
SANS_ITALIC = ("fontpkg_source_sans_3", "SourceSans3-Italic[wght].ttf")


class FontsMissing(RuntimeError):
    """A packaged typeface is not where it should be; the message names it."""


@dataclass(frozen=True)
class Face:
    """One static face: what CSS calls it, the file it comes from and where its axes are pinned.

    `weight` is the CSS and `wght` value (200-900); `optical_pt` the size in points that its drawing is meant for
    (8-60), None where the font has no such axis.
    """

    family: str
    style: str
    weight: int
    origin: tuple[str, str]
    optical_pt: float | None = None

    @property
    def name(self) -> str:
        """Name of the face's file among a document's resources."""
        return f"{self.family}-{self.style}-{self.weight}.ttf".replace(" ", "-").lower()

    @property
    def axes(self) -> dict[str, float]:
        """Where each axis of the variable font is pinned."""
        pinned = {"wght": float(self.weight)}
        if self.optical_pt is not None:
            pinned["opsz"] = self.optical_pt
        return pinned


FACES = (
    Face("Paper Serif", "normal", 400, SERIF, 11),
    Face("Paper Serif", "italic", 400, SERIF_ITALIC, 11),
    Face("Paper Display", "normal", 400, SERIF, 40),
    Face("Paper Display", "italic", 400, SERIF_ITALIC, 28),
    Face("Paper Sans", "normal", 400, SANS),
    Face("Paper Sans", "normal", 600, SANS),
    Face("Paper Sans", "italic", 400, SANS_ITALIC),
)


def stylesheet(scheme: str) -> str:
    """Give the `@font-face` rules of all faces, their files under `scheme`:font/."""
    return "\n".join(
        f"@font-face {{ font-family: '{face.family}'; font-style: {face.style}; font-weight: {face.weight};"
        f" src: url('{scheme}:font/{face.name}') }}"
        for face in FACES
    )


def static_faces() -> Mapping[str, bytes]:
    """Make every face: name of its file → TrueType bytes. Raises FontsMissing."""
    # Only the worker needs HarfBuzz itself.
    import uharfbuzz

    sources = {origin: uharfbuzz.Face(_variable_font(origin)) for origin in {face.origin for face in FACES}}
    made = {}
    for face in FACES:
        variable = sources[face.origin]
        wanted = uharfbuzz.SubsetInput()
        wanted.keep_everything()
        for axis, value in face.axes.items():
            wanted.pin_axis_location(variable, axis, value)
        made[face.name] = bytes(uharfbuzz.subset(variable, wanted).blob.data)
    return made


def _variable_font(origin: tuple[str, str]) -> bytes:
    package, file = origin
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        message = f"the font package {package} is not installed"
        raise FontsMissing(message)
    path = Path(spec.origin).parent / "files" / file
    try:
        return path.read_bytes()
    except OSError as problem:
        message = f"the font {file} of package {package} cannot be read: {problem.strerror}"
        raise FontsMissing(message) from problem
