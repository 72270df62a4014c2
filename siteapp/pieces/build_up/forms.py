"""What may be typed about the build-up as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.pieces.build_up.lines import judged, typed_before
from siteapp.pieces.build_up.rows import BuildUpRow
from siteapp.web.fields import Lines, RoomForm
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from siteapp.pieces.build_up.lines import Judged
    from siteapp.pieces.services import PieceNow


class BuildUpForm(RoomForm):
    """The lines of a piece's build-up."""

    kind = "particulars"

    build_up = Lines(
        BuildUpRow,
        _l("Layers and parts, from the face inwards"),
        spare=1,
        hint=_l(
            "Sizes give the weight; without them type it. x, y and z say where the weight of the line sits, all of it "
            "together: from the lower left corner as seen from the front, z out from the wall."
        ),
    )

    def __init__(self, formdata: Any = None, *, piece: PieceNow, **kwargs: Any) -> None:
        self.piece = piece
        super().__init__(formdata, **kwargs)

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; once all can be read, every line in itself and against the piece."""
        if not super().validate(extra_validators):
            return False
        for entry, told in zip(self.build_up.entries, self.judged(), strict=True):
            for name, message in told.problems if told else ():
                entry.form[name].refuse(message)
        self.build_up.validate(self)
        return not self.errors

    def judged(self) -> list[Judged | None]:
        """Each row worked out, in order; None for a blank one."""
        said = self.piece.particulars
        return [
            None if all(field.is_blank() for field in entry.form) else judged(entry.form.data, said)
            for entry in self.build_up.entries
        ]


def data_of(piece: PieceNow) -> dict[str, Any]:
    """A piece's build-up as the form wants it, to be revised."""
    return {"build_up": [typed_before(line) for line in piece.build_up], "revises": piece.revision.id}
