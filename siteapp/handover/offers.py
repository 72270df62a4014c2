"""What a certificate's form offers: what was said before, here or for another piece, and what the rooms recorded."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING, Any

from siteapp.checks.services import state as check_state
from siteapp.finishing.kit.services import assemble, kit_now
from siteapp.handover.certificates import certificates, last_issued
from siteapp.handover.signed import says_no_fire, signed_now
from siteapp.hanging.anchors.models import AnchorTightened
from siteapp.heat.condition import NO_FIRE, untested
from siteapp.heat.testing.state import fire_state
from siteapp.store.revisions import standing_bodies
from siteapp.trade.verdicts import MET
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

# Said once by a workshop and offered again with every certificate; the rest belongs to one piece.
OF_THE_WORKSHOP = ("copyright_line", "moral_rights")


def certificate_offer(session: Session, piece: PieceNow, *, maker: str | None) -> dict[str, Any]:
    """Values for the form's fields; `maker` is the name of who asks."""
    chain, last = certificates(session, piece.piece_id), last_issued(session)
    before = json.loads(chain[-1].certificate.record) if chain else {}
    anybody = before or (json.loads(last.record) if last else {})
    said = anybody.get("maker", {})
    offer: dict[str, Any] = {
        "maker": said.get("name") or maker,
        "workshop": said.get("workshop") or workshop(session).name,
        "place": said.get("place"),
        "contact": "\n".join(said.get("contact", ())) or piece.particulars.who_to_ask,
        "subject": before.get("object_id", {}).get("subject"),
        "inscriptions": before.get("object_id", {}).get("inscriptions_and_markings"),
        "distinguishing": before.get("object_id", {}).get("distinguishing_features"),
        "tools": "\n".join(before.get("tools", ())) or _tools(session, piece.piece_id),
        "touch_up": before.get("touch_up") or _touch_up(session, piece.piece_id),
        "fire_condition": _fire_condition(session, piece, before.get("fire", {}).get("condition")),
        "expected_wear": "\n".join(before.get("expected_wear", ())),
        "inspections": "\n".join(before.get("inspections", ())),
        "hung_on": _hung_on(session, piece, before),
        "paper": anybody.get("paper", "A4"),
    }
    return offer | {name: anybody.get(name) for name in OF_THE_WORKSHOP}


def _tools(session: Session, piece_id: str) -> str | None:
    """The wrenches that its nuts were turned up with."""
    used = [said.wrench for _entry, said in standing_bodies(session, AnchorTightened, piece_id=piece_id) if said.wrench]
    return "\n".join(dict.fromkeys(used)) or None


def _touch_up(session: Session, piece_id: str) -> str | None:
    """The recipe as a person wrote it, else what the record puts together."""
    kit = kit_now(session, piece_id)
    return kit.version.said.recipe if kit else assemble(session, piece_id)


def _fire_condition(session: Session, piece: PieceNow, before: str | None) -> str | None:
    """What was said before, or what was agreed, or the condition while no test is met; a test that is met ends it."""
    if fire_state(session, piece).verdict == MET:
        return None if before == str(NO_FIRE) else before
    signed = signed_now(session, piece.piece_id)
    agreed = signed is not None and says_no_fire(row.words for row in signed.conditions)
    return before or (str(NO_FIRE) if agreed or untested(session, piece) else None)


def _hung_on(session: Session, piece: PieceNow, before: dict[str, Any]) -> date | None:
    """The day said before, else the day of the latest answer to a check."""
    if "hung_on" in before:
        return date.fromisoformat(before["hung_on"])
    answers = [line.answer for line in check_state(session, piece).lines]
    days = [answer.at.astimezone().date() for answer in answers if answer]
    return max(days, default=None)
