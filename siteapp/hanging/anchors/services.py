"""Anchors set, turned up and pulled: recorded. The only code that writes their rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import ANCHORS_PROVED, ANCHORS_SET, FORM_BACK
from siteapp.hanging.anchors import judging
from siteapp.hanging.anchors.judging import Judged, judged
from siteapp.hanging.anchors.models import KINDS, AnchorCuring, AnchorProof, AnchorSet, AnchorTightened
from siteapp.hanging.anchors.refusals import (
    field_of,
    is_early,
    refuse_labels,
    refuse_no_day,
    refuse_twin,
    refuse_untestable,
    too_early,
)
from siteapp.hanging.anchors.state import (
    AnchorNow,
    Proved,
    anchors_now,
    anchors_of,
    judge,
    labels_of,
    plain,
    prove,
    recheck_on,
    recorded,
)
from siteapp.pieces.writing import refuse_foreign
from siteapp.store import entries
from siteapp.trade.errors import TradeError
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.base import Base
    from siteapp.store.entries import PhotoUse, Writer

__all__ = [
    "AnchorNow",
    "Judged",
    "Proved",
    "anchors_now",
    "judged",
    "prove_anchor",
    "recheck_on",
    "set_anchor",
    "tighten",
]

VERSION = "1"
_FIGURES = {
    "product": (_l("Anchor asked for"), ""),
    "drill_mm": (_l("Drill"), "mm"),
    "embedment_mm": (_l("Embedment at least"), "mm"),
    "anchors": (_l("Anchors"), ""),
    "asked_kn": (_l("Proof load asked for"), "kN"),
    "set": (_l("Set"), ""),
    "as_asked": (_l("Set as asked"), ""),
    "nothing_before": (_l("Nothing on them before"), ""),
    "to_test": (_l("To be pulled"), ""),
    "tested": (_l("Pulled"), ""),
    "lowest_kn": (_l("Lowest load held"), "kN"),
    "shows": (_l("What it shows"), ""),
    "source": (_l("Source"), ""),
    "why": (_l("Why"), ""),
}

calculations.register(
    calculations.Calculation(
        name=ANCHORS_SET,
        version=VERSION,
        by=_l("the anchors as they were set"),
        explained=_l(
            "Met when every hanging point has its anchors and each was set as the fixing template and the product's "
            "sheet ask. It says nothing of what the wall carries."
        ),
        endpoint="anchors.page",
        to_page=_l("To the anchors"),
        work_out=judging.set_out,
        figures=_FIGURES,
    )
)
calculations.register(
    calculations.Calculation(
        name=ANCHORS_PROVED,
        version=VERSION,
        by=_l("the proof tests of the anchors"),
        explained=_l(
            "Met when as many anchors as BS 8539 practice asks for were pulled to the load asked for and held, on a "
            "gauge in calibration. It shows good setting, not resistance."
        ),
        endpoint="anchors.page",
        to_page=_l("To the anchors"),
        work_out=judging.proved_out,
        figures=_FIGURES,
        told=("asked_kn", "tested", "lowest_kn"),
    )
)


class SetFacts(TypedDict):
    """An anchor as it was set: the fields of `AnchorSet`; lengths in mm, °C, days ISO 8601."""

    label: str
    kind: str
    product: str
    batch: str | None
    expires_on: str | None
    drilled_mm: float | None
    embedment_mm: float | None
    cleaned: bool | None
    cleaning: str | None
    wall_c: float | None
    set_at: datetime
    set_by: str
    from_form: bool | None
    note: str | None


class TightenFacts(TypedDict):
    """Nuts turned up: `labels` one a line in their order, torque in N m."""

    labels: str
    torque_nm: float | None
    wrench: str | None
    marked: bool
    locked: bool | None
    lock: str | None
    done_by: str
    note: str | None


class ProofFacts(TypedDict):
    """A proof test: loads in kN, time in s, movement in mm, `calibrated_until` a day, ISO 8601."""

    label: str
    asked_kn: float | None
    load_kn: float
    held_s: float | None
    movement_mm: float | None
    allowed_mm: float | None
    gauge: str | None
    calibrated_until: str | None
    tested_at: datetime
    tested_by: str
    sacrificed: bool | None
    from_form: bool | None
    note: str | None


def set_anchor(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: SetFacts,
    curing: Sequence[tuple[float, float]] = (),
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep how an anchor was set, or what took its place; returns the entry's id.

    `curing` are rows (°C, minutes) of the curing table of its sheet. `corrects` names the record that this one puts
    right; an anchor that was set anew where one failed corrects that one too, and tests before it then show nothing of
    it. Raises FieldProblem for figures that cannot be (on their field) and on `label` when that anchor is recorded
    already, StoreError for another piece's record, Superseded when it was corrected meanwhile.
    """
    words = _("What this corrects is no anchor of this piece. Open the page again.")
    refuse_foreign(session, piece, AnchorSet, corrects, words)
    if facts["kind"] not in KINDS:
        raise FieldProblem("anchor_kind", _("Kind: “%(kind)s” is not one of those there are.", kind=facts["kind"]))
    refuse_no_day("expires_on", facts["expires_on"])
    body = AnchorSet(**facts)
    rows = [AnchorCuring(position=at, wall_c=row_c, minutes=minutes) for at, (row_c, minutes) in enumerate(curing)]
    try:
        judge(None, body, rows)
    except TradeError as error:
        raise FieldProblem(field_of(str(error)), _("This cannot be: %(what)s.", what=error)) from None
    entry_id = _append(session, writer, piece, "anchor_set", [body, *rows], photos=photos, corrects=corrects)
    # Asked once the entry is written: only then does its chain keep other writers out on PostgreSQL.
    refuse_twin(recorded(session, piece), facts["label"])
    _refresh(session, writer, piece)
    return entry_id


def tighten(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: TightenFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep that nuts were turned up, marked and the piece locked; returns the entry's id.

    Raises FieldProblem on `labels` when none is named, one is named twice or has no anchor, and on `note` when an
    anchor had not cured and nothing says why it was turned up all the same; StoreError and Superseded as `set_anchor`.
    """
    words = _("What this corrects is no turning up of this piece's nuts. Open the page again.")
    refuse_foreign(session, piece, AnchorTightened, corrects, words)
    body = AnchorTightened(**facts)
    entry_id = _append(session, writer, piece, "anchor_tightened", [body], photos=photos, corrects=corrects)
    told = recorded(session, piece)
    now = anchors_of(told, [point.label for point in piece.hanging_points])
    named = labels_of(body)
    refuse_labels(now, named)
    at = next(one.at for one in told.tightened if one.entry.id == entry_id)
    early = [one for one in now if plain(one.label) in {plain(each) for each in named} and is_early(one, at)]
    if early and facts["note"] is None:
        raise FieldProblem("note", too_early(early))
    _refresh(session, writer, piece)
    return entry_id


def prove_anchor(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: ProofFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep one proof test; returns the entry's id.

    Raises FieldProblem for figures that cannot be, on `label` when there is no such anchor (unless it was a test anchor
    that carries nothing), on `tested_at` when it was tested before it was set, and on `note` when it had not cured and
    nothing says why it was pulled all the same; StoreError and Superseded as `set_anchor`.
    """
    words = _("What this corrects is no proof test of this piece's anchors. Open the page again.")
    refuse_foreign(session, piece, AnchorProof, corrects, words)
    refuse_no_day("calibrated_until", facts["calibrated_until"])
    body = AnchorProof(**facts)
    told = recorded(session, piece)
    try:
        prove(told, body)
    except TradeError as error:
        raise FieldProblem(field_of(str(error)), _("This cannot be: %(what)s.", what=error)) from None
    entry_id = _append(session, writer, piece, "anchor_proof", [body], photos=photos, corrects=corrects)
    if not facts["sacrificed"]:
        refuse_untestable(session, piece, facts)
    _refresh(session, writer, piece)
    return entry_id


def _append(
    session: Session,
    writer: Writer,
    piece: PieceNow,
    kind: str,
    bodies: Sequence[Base],
    *,
    photos: Sequence[PhotoUse],
    corrects: Sequence[str],
) -> str:
    entry = entries.append(
        session,
        writer,
        kind=kind,
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=bodies,
        photos=photos,
        corrects=corrects,
    )
    return entry.id


def _refresh(session: Session, writer: Writer, piece: PieceNow) -> None:
    for calculation in (ANCHORS_SET, ANCHORS_PROVED, FORM_BACK):
        checks.refresh(session, writer, piece=piece, calculation=calculation)
