"""Stage and history of pieces, read from the heads of their entries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from siteapp.checks.services import FIXED
from siteapp.store.models import Entry
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.checks.services import Standing
    from siteapp.pieces.services import PieceNow
    from siteapp.web.i18n import Lazy


@dataclass(frozen=True)
class Stage:
    """One stage of the journey: its name, the kind of entry that shows it is behind, and the page that does it."""

    key: str
    name: Lazy
    kind: str
    endpoint: str
    action: Lazy


STAGES = (
    Stage("ready", _l("Made ready"), "particulars", "checks.page", _l("Make it ready")),
    Stage("arrived", _l("Arrived"), "arrival", "arrival.page", _l("Record the arrival")),
    Stage("fixed", _l("Fixed"), "", "checks.page", _l("Go on with the checks")),
    Stage("finished", _l("Finished"), "finishing_close", "finishing.page", _l("Finish the surface")),
    Stage("handed over", _l("Handed over"), "handover", "handover.page", _l("Hand over")),
    Stage("cared for", _l("Cared for"), "", "aftercare.page", _l("Look after it")),
)
# The kinds by which stages are told; the start page asks for these alone, however much else happened.
STAGE_KINDS = tuple(stage.kind for stage in STAGES if stage.kind)

WORDS = {
    "piece": _l("Piece begun, number given"),
    "particulars": _l("Particulars written"),
    "arrival": _l("Arrival recorded"),
    "check_list": _l("List of checks opened"),
    "check_answer": _l("Check answered"),
    "finishing_session": _l("Finishing session begun"),
    "climate": _l("Climate read"),
    "coat": _l("Coat applied"),
    "finishing_close": _l("Finishing session ended"),
    "handover": _l("Handed over"),
    "certificate": _l("Certificate issued"),
    "certificate_withdrawal": _l("Certificate withdrawn"),
    "agreed": _l("Agreed with the client"),
    "crate": _l("Crate described"),
    "dispatch": _l("Looked over before dispatch"),
    "unwrap": _l("Climate read before unwrapping"),
    "marks": _l("Marks set on photos"),
    "check_taken_back": _l("Answer taken back"),
    "check_release": _l("Hold point released, or the release taken back"),
    "snag": _l("Snag raised"),
    "snag_close": _l("Snag ended"),
    "condition": _l("Condition looked over"),
    "care_date": _l("Care date set"),
    "aftercare": _l("Looked after"),
    "moved": _l("Moved to another place"),
    "keeper": _l("Another keeper"),
    "weighing": _l("Weighed on scales"),
    "wall_found": _l("Wall looked over"),
    "strength": _l("The piece's own strength told"),
    "fixing_template": _l("Fixing template set"),
    "pack_back": _l("The fixing pack's form came back"),
    "hole_survey": _l("Drilled holes measured"),
    "hole_easing": _l("A hole in the metalwork eased"),
    "load_sheet": _l("Loads worked out"),
    "anchor_set": _l("Anchor set"),
    "anchor_tightened": _l("Nuts turned up"),
    "anchor_proof": _l("Anchor pulled and held"),
    "lift_plan": _l("Lift planned"),
    "route": _l("Way in measured"),
    "zone_map": _l("Zones of the surface marked"),
    "colour_sample": _l("Colour sample measured"),
    "colour_reading": _l("Colour or sheen read"),
    "colour_answer": _l("The client's answer to the colour"),
    "touch_up": _l("Touch-up kit put together"),
    "appliance": _l("Appliance described"),
    "heat_distances": _l("Distances from the fire measured"),
    "fire_evidence": _l("Fire evidence recorded"),
    "heat_limits": _l("Heat limits of its parts recorded"),
    "heat_test": _l("Heat test begun"),
    "heat_readings": _l("Heat test read"),
    "heat_log": _l("Logger's file taken in"),
    "heat_event": _l("Noted during the heat test"),
    "heat_test_end": _l("Heat test ended"),
    "erasure": _l("Words erased on request"),
    "photo_erasure": _l("Photos erased on request"),
    "job": _l("Job written"),
    "visit": _l("Visit planned"),
    "site_contacts": _l("People at the site"),
    "to_bring": _l("Things to bring"),
    "brought": _l("Things brought"),
}


@dataclass(frozen=True)
class Step:
    """One stage of a piece's journey: `state` is `done`, `now` or `later`."""

    stage: Stage
    state: str
    at: datetime | None

    @property
    def name(self) -> Lazy:
        """What the stage is called."""
        return self.stage.name


def steps(kinds: Mapping[str, datetime], standing: Standing | None) -> tuple[Step, ...]:
    """The journey of a piece from the kinds of entry it has (with the time of the latest of each) and its checks.

    A piece is ready to leave when the lists for that are open and no hold point on them is; one that has arrived has
    left. It is fixed when every check of its lists is met or released. Being cared for has no end.
    """
    told: list[Step] = []
    open_step = True
    for stage in STAGES:
        done = _is_done(stage, kinds, standing)
        state = "done" if done else ("now" if open_step else "later")
        open_step = open_step and done
        told.append(Step(stage, state, kinds.get(stage.kind) if done else None))
    return tuple(told)


def _is_done(stage: Stage, kinds: Mapping[str, datetime], standing: Standing | None) -> bool:
    if stage.key == "cared for":
        return False
    if stage.key == "fixed":
        return standing is not None and standing.left.get(FIXED) == 0
    if stage.key == "ready" and "arrival" not in kinds:
        opened = standing is not None and standing.left.get("ready") is not None
        return opened and standing is not None and not any(hold.stage == "ready" for hold in standing.holds)
    return stage.kind in kinds


def latest_by_kind(session: Session, piece_ids: Collection[str]) -> dict[str, dict[str, datetime]]:
    """For each of these pieces the kinds of entry it has, with the time of the latest of each."""
    query = select(Entry.piece_id, Entry.kind, func.max(Entry.recorded_at)).where(Entry.piece_id.in_(tuple(piece_ids)))
    found: dict[str, dict[str, datetime]] = {}
    for piece_id, kind, at in session.execute(query.group_by(Entry.piece_id, Entry.kind)):
        found.setdefault(piece_id, {})[kind] = at
    return found


def history(session: Session, piece: PieceNow) -> list[Entry]:
    """Everything that happened to a piece, newest first."""
    query = select(Entry).where(Entry.piece_id == piece.piece_id)
    return list(session.scalars(query.order_by(Entry.recorded_at.desc(), Entry.id)))
