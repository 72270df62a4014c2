"""The build-up: kept with the particulars, and the weight that comes of it. The only code that writes it by itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.pieces import services as pieces
from siteapp.pieces.build_up.lines import judged
from siteapp.pieces.build_up.reading import come_to
from siteapp.pieces.models import ESTIMATED, WEIGHED
from siteapp.trade.weight import HEAVIEST_KG
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

NOTE = "worked out from the build-up"
GRAMS = 3  # decimals of a kilogram


def revise_build_up(
    session: Session, writer: Writer, *, piece: PieceNow, revises: str, rows: Sequence[Mapping[str, Any]]
) -> None:
    """Say what a piece is built up of, as a revision of the particulars; everything else stays as it is.

    `rows` hold the fields of `BuildUpLine` as typed. Where every line has a weight their sum becomes the weight of the
    particulars, as an estimate; where one has none, an estimate of ours is taken back. A weight that was weighed stays.
    Raises FieldProblem for lines that do not fit together, Superseded when `revises` is not the latest revision,
    StoreError when it is none of this piece's.
    """
    told = [judged(row, piece.particulars) for row in rows]
    for number, one in enumerate(told, 1):
        for _field, message in one.problems:
            raise FieldProblem("build_up", _("Line %(number)s: %(words)s", number=number, words=message))
    now = come_to([one.line for one in told])
    if now.known_kg is not None and now.known_kg > HEAVIEST_KG:
        message = _(
            "The lines come to %(whole)s kg together. Allowed is at most %(most)s kg.",
            whole=written(now.known_kg, 1),
            most=written(HEAVIEST_KG),
        )
        raise FieldProblem("build_up", message)
    facts = pieces.facts_now(piece)
    facts["build_up"] = [one.row for one in told]
    facts["fields"] |= _estimate(facts["fields"], now.mass_kg)
    pieces.revise_particulars(session, writer, piece=piece, revises=revises, facts=facts)


def _estimate(fields: Mapping[str, Any], mass_kg: float | None) -> dict[str, Any]:
    """What the particulars say of the weight from now on."""
    if fields["mass_origin"] == WEIGHED:
        return {}
    if mass_kg is not None:
        return {"mass_kg": round(mass_kg, GRAMS), "mass_origin": ESTIMATED, "mass_note": NOTE}
    return {"mass_kg": None, "mass_origin": None, "mass_note": None} if fields["mass_note"] == NOTE else {}
