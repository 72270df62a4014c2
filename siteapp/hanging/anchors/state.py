"""What is known of each anchor now: as set, when it may carry, turned up, pulled. Reads only."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.hanging.anchors.models import (
    EXPANSION,
    RESIN,
    SCREW,
    AnchorCuring,
    AnchorProof,
    AnchorSet,
    AnchorTightened,
)
from siteapp.hanging.template.services import templates
from siteapp.store.revisions import versions
from siteapp.trade import anchors as trade

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.hanging.template.models import FixingTemplate
    from siteapp.pieces.services import PieceNow
    from siteapp.store.revisions import Version

PART = "/"  # between a hanging point's label and the number of one of several anchors behind it
CURES = {RESIN: True, EXPANSION: False, SCREW: False}


@dataclass(frozen=True)
class Proved:
    """A proof test as it stands, and what it came to. `of_this_anchor`: not of one that was there before it."""

    version: Version[AnchorProof]
    found: trade.Proof
    of_this_anchor: bool

    @property
    def counts(self) -> bool:
        """Whether it was of an anchor that carries the piece; one on a test anchor shows nothing of the others."""
        return not self.version.said.sacrificed


@dataclass(frozen=True)
class AnchorNow:
    """One anchor by its label, or a hanging point that has none yet (`set` is None).

    `point` is the label of the hanging point that it is behind, None for one that belongs to no point. `earliest` is
    when it may first carry, None when nothing has to cure or the time is not known: `judged.loading` tells which.
    `others` are further records of the same label, which two laptops made apart.
    """

    label: str
    point: str | None
    set: Version[AnchorSet] | None
    curing: tuple[AnchorCuring, ...]
    earliest: datetime | None
    tightened: Version[AnchorTightened] | None
    proofs: tuple[Proved, ...]
    judged: trade.Setting | None
    others: tuple[Version[AnchorSet], ...] = ()

    @property
    def proof(self) -> Proved | None:
        """The latest test of this very anchor that counts."""
        mine = [one for one in self.proofs if one.of_this_anchor and one.counts]
        return max(mine, key=lambda one: one.version.said.tested_at, default=None)


@dataclass(frozen=True)
class Recorded:
    """Everything that was recorded of a piece's anchors and stands, each the latest first."""

    sets: list[Version[AnchorSet]]
    curing: dict[str, tuple[AnchorCuring, ...]]
    tightened: list[Version[AnchorTightened]]
    proofs: list[Version[AnchorProof]]
    asked: Version[FixingTemplate] | None
    asked_twice: bool  # two machines set a template apart, and nobody has chosen yet


def recorded(session: Session, piece: PieceNow) -> Recorded:
    """What was recorded of a piece's anchors, and the template that says what is asked of them."""
    sets = versions(session, AnchorSet, piece_id=piece.piece_id)
    rows: dict[str, list[AnchorCuring]] = {}
    query = select(AnchorCuring).where(AnchorCuring.entry_id.in_([one.entry.id for one in sets]))
    for row in session.scalars(query.order_by(AnchorCuring.entry_id, AnchorCuring.position)):
        rows.setdefault(row.entry_id, []).append(row)
    asked = templates(session, piece)
    return Recorded(
        sets=sets,
        curing={entry_id: tuple(found) for entry_id, found in rows.items()},
        tightened=versions(session, AnchorTightened, piece_id=piece.piece_id),
        proofs=versions(session, AnchorProof, piece_id=piece.piece_id),
        asked=asked[0] if asked else None,
        asked_twice=len(asked) > 1,
    )


def anchors_now(session: Session, piece: PieceNow) -> tuple[AnchorNow, ...]:
    """Each anchor of a piece, in the order of its hanging points: one a point at least, several where so recorded.

    Those behind no hanging point stand last. What was asked of them is what the fixing template that stands says.
    """
    return anchors_of(recorded(session, piece), [point.label for point in piece.hanging_points])


def anchors_of(told: Recorded, points: Sequence[str]) -> tuple[AnchorNow, ...]:
    """`anchors_now`, of what was read already."""
    by_label: dict[str, list[Version[AnchorSet]]] = {}
    for version in told.sets:
        by_label.setdefault(plain(version.said.label), []).append(version)
    bare = [point for point in points if not any(point_of(label, [point]) for label in by_label)]
    order = {plain(point): at for at, point in enumerate(points)}
    found = [_anchor(told, points, made) for made in by_label.values()]
    found += [
        AnchorNow(point, point, None, (), None, _tightened(told, point), _proofs(told, point, None), None)
        for point in bare
    ]
    return tuple(sorted(found, key=lambda one: (order.get(plain(one.point or ""), len(order)), _natural(one.label))))


def recheck_on(session: Session, piece: PieceNow) -> date | None:
    """The day on which a piece is looked over again after its first winter of heating; None until it hangs.

    It hangs since its nuts were turned up first on the anchors that are there now: on another wall with other anchors
    a first winter comes again.
    """
    told = recorded(session, piece)
    since = min((one.said.set_at for one in told.sets), default=None)
    hung = [one.at for one in told.tightened if since is None or one.at >= since]
    return trade.first_heating_season_end(min(hung).astimezone().date()) if hung else None


def point_of(label: str, points: Sequence[str]) -> str | None:
    """The hanging point that an anchor of this label is behind: `A`, or `A/2` for one of several behind A."""
    named = plain(label)
    whole = next((point for point in points if named == plain(point)), None)
    return whole or next((point for point in points if named.startswith(plain(point) + PART)), None)


def plain(label: str) -> str:
    """A label without what two people write differently."""
    return "".join(label.split()).casefold()


def labels_of(said: AnchorTightened) -> tuple[str, ...]:
    """The labels that were turned up, in their order."""
    return tuple(line.strip() for line in said.labels.splitlines() if line.strip())


def asked_n(told: Recorded, said: AnchorProof) -> float | None:
    """The load in N that a test is held against: the template's, or what was asked on the day where that is more."""
    template_kn = told.asked.said.proof_kn if told.asked else None
    known = [kn for kn in (template_kn, said.asked_kn) if kn is not None]
    return max(known) * 1000 if known else None


def _anchor(told: Recorded, points: Sequence[str], made: list[Version[AnchorSet]]) -> AnchorNow:
    latest = max(made, key=lambda one: (one.said.set_at, one.entry.recorded_at, one.entry.id))
    said = latest.said
    proofs = _proofs(told, said.label, said)
    tightened = _tightened(told, said.label, said)
    curing = told.curing.get(latest.entry.id, ())
    loaded = [one.version.said.tested_at for one in proofs if one.of_this_anchor]
    loaded += [one.at for one in told.tightened if _names(one.said, said.label) and one.at >= said.set_at]
    judged = judge(told.asked, said, curing, min(loaded, default=None))
    return AnchorNow(
        label=said.label,
        point=point_of(said.label, points),
        set=latest,
        curing=curing,
        earliest=judged.loading.at if judged.loading else None,
        tightened=tightened,
        proofs=proofs,
        judged=judged,
        others=tuple(one for one in made if one is not latest),
    )


def judge(
    asked: Version[FixingTemplate] | None,
    said: AnchorSet,
    curing: Sequence[AnchorCuring],
    loaded_at: datetime | None = None,
) -> trade.Setting:
    """An anchor as it was set, held against what the template asks; `loaded_at` is when it was first loaded."""
    wanted = asked.said if asked else None
    return trade.setting_verdict(
        trade.Asked(
            wanted.anchor if wanted else None,
            wanted.drill_mm if wanted else None,
            wanted.embedment_mm if wanted else None,
        ),
        trade.AsSet(
            product=said.product,
            # Of something else only its curing table says that it cures; without one nobody can tell.
            cures=CURES.get(said.kind, True if curing else None),
            drilled_mm=said.drilled_mm,
            embedment_mm=said.embedment_mm,
            cleaned=said.cleaned,
            expires_on=date.fromisoformat(said.expires_on) if said.expires_on else None,
            wall_c=said.wall_c,
            # In this laptop's zone, whose day it is.
            set_at=said.set_at.astimezone(),
            curing=tuple((row.wall_c, row.minutes) for row in curing),
            loaded_at=loaded_at,
        ),
    )


def _proofs(told: Recorded, label: str, made: AnchorSet | None) -> tuple[Proved, ...]:
    """The tests of a label, the latest first."""
    found = []
    for one in told.proofs:
        if plain(one.said.label) != plain(label):
            continue
        mine = made is not None and not one.said.sacrificed and one.said.tested_at >= made.set_at
        found.append(Proved(one, prove(told, one.said), mine))
    return tuple(sorted(found, key=lambda one: one.version.said.tested_at, reverse=True))


def prove(told: Recorded, said: AnchorProof) -> trade.Proof:
    """What a proof test came to."""
    return trade.proof_verdict(
        asked_n=asked_n(told, said),
        reached_n=said.load_kn * 1000,
        held_s=said.held_s,
        movement_mm=said.movement_mm,
        allowed_mm=said.allowed_mm,
        gauge_until=date.fromisoformat(said.calibrated_until) if said.calibrated_until else None,
        tested_on=said.tested_at.astimezone().date(),
    )


def _tightened(told: Recorded, label: str, made: AnchorSet | None = None) -> Version[AnchorTightened] | None:
    """The latest time that the nut of this label was turned up since the anchor was set."""
    mine = [one for one in told.tightened if _names(one.said, label) and (made is None or one.at >= made.set_at)]
    return max(mine, key=lambda one: one.at, default=None)


def _names(said: AnchorTightened, label: str) -> bool:
    return plain(label) in {plain(one) for one in labels_of(said)}


def _natural(label: str) -> tuple[tuple[int, str], ...]:
    """Sorts A/2 before A/10."""
    return tuple((int(part) if part.isascii() and part.isdigit() else 0, part) for part in plain(label).split(PART))
