"""What the rooms of hanging recorded, in a certificate's own terms: wall, anchors, balance point, lift.

What of the wall could tell of the client's house beyond it (where pipes run, who agreed) is left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.documents.certificate import hung_records as records
from siteapp.handover.gathered import instant_of
from siteapp.hanging.anchors.state import anchors_now
from siteapp.hanging.lifting.reading import lift_now
from siteapp.hanging.template.services import template_now
from siteapp.hanging.wall.services import wall_now
from siteapp.hanging.wall.wording import SPOKEN
from siteapp.pieces.weighing.reading import weight_now
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.hanging.anchors.state import AnchorNow, Proved
    from siteapp.pieces.services import PieceNow


def told(session: Session, piece: PieceNow) -> dict[str, Any]:
    """The fields of a certificate's record about hanging, by their names."""
    lift = lift_now(session, piece)
    plan = lift.version.said if lift else None
    return {
        "balance": balance(session, piece),
        "lift_points": _lines(plan.lift_points if plan else None),
        "nuts": _lines(plan.nuts if plan else None),
        "wall": wall(session, piece),
        "anchors_asked": anchors_asked(session, piece),
        "anchors": tuple(_anchor(one) for one in anchors_now(session, piece) if one.set is not None),
    }


def balance(session: Session, piece: PieceNow) -> records.Balance:
    """Where the weight sits, as far as it is known."""
    now = weight_now(session, piece)
    return records.Balance(
        x_mm=now.x.mm, x_how=now.x.how, y_mm=now.y.mm, y_how=now.y.how, z_mm=now.z.mm, z_how=now.z.how
    )


def wall(session: Session, piece: PieceNow) -> records.Wall | None:
    """The wall as it was found last; None when nobody described it."""
    found = wall_now(session, piece.piece_id)
    if found is None:
        return None
    said = found.said
    return records.Wall(
        material=_spoken(said.material),
        material_words=said.material_words,
        proved_by=_spoken(said.proved_by),
        thickness_mm=said.thickness_mm,
        sound=said.sound,
        gap_mm=said.gap_mm,
        services_front=_spoken(said.services_front),
        services_back=_spoken(said.services_back),
        found_by=said.found_by,
        found_on=said.found_on,
    )


def anchors_asked(session: Session, piece: PieceNow) -> records.AnchorsAsked | None:
    """What the fixing template asks of the anchors; None when there is no template."""
    found = template_now(session, piece)
    if found is None:
        return None
    said = found.version.said
    return records.AnchorsAsked(said.anchor, said.anchor_document, said.designed_by)


def _anchor(one: AnchorNow) -> records.Anchor:
    assert one.set is not None  # noqa: S101 - those that are not set are left out before
    said, turned = one.set.said, one.tightened.said if one.tightened else None
    return records.Anchor(
        label=one.label,
        product=said.product,
        batch=said.batch,
        drilled_mm=said.drilled_mm,
        embedment_mm=said.embedment_mm,
        set_by=said.set_by,
        set_at=instant_of(said.set_at),
        torque_nm=turned.torque_nm if turned else None,
        turned_by=turned.done_by if turned else None,
        locked=(turned.lock or _("locked")) if turned and turned.locked else None,
        tests=tuple(_test(proof) for proof in one.proofs if proof.of_this_anchor and proof.counts),
    )


def _test(proof: Proved) -> records.AnchorTest:
    said = proof.version.said
    return records.AnchorTest(
        load_kn=said.load_kn,
        asked_kn=said.asked_kn,
        held_s=said.held_s,
        movement_mm=said.movement_mm,
        gauge=said.gauge,
        by=said.tested_by,
        at=instant_of(said.tested_at),
    )


def _spoken(answer: str | None) -> str | None:
    return None if answer is None else str(SPOKEN[answer])


def _lines(text: str | None) -> tuple[str, ...]:
    return tuple(line.strip() for line in (text or "").splitlines() if line.strip())
