"""What may be typed of how hanging points were proved. One line may stand for several points that are alike."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.hanging.strength.models import COUPON, NOT_PROVED, PROOF_LOAD
from siteapp.hanging.strength.services import SLOT
from siteapp.pieces.points.alike import alike, labels_of
from siteapp.trade.strength import COLDEST_C, HOTTEST_C, LARGEST_AREA_MM2, LARGEST_FACTOR, LARGEST_MM, LARGEST_N
from siteapp.web.fields import Choice, Day, Figure, Lines, Photos, RoomForm, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from siteapp.hanging.strength.models import StrengthPoint
    from siteapp.hanging.strength.services import PointFacts

LEAST = 0.001
MOST_LINES = 60
PROOF_WORDS = {
    COUPON: _l("Coupons pulled"),
    PROOF_LOAD: _l("Proof load on the piece"),
    NOT_PROVED: _l("Not proved"),
}
FACTS = (
    "proof",
    "proof_n",
    "coupon_area_mm2",
    "bond_area_mm2",
    "factor",
    "factor_why",
    "bond_service_c",
    "plate_mm",
    "proved_on",
    "proved_by",
    "evidence",
)


class PointsRow(Form):
    """Points that are made and were proved alike."""

    labels = Words(_l("Points"), required=True, longest=2_000, hint=_l("One or several: A, B, C. Or: all"))
    proof = Choice(_l("How it was proved"), choices=tuple(PROOF_WORDS.items()), required=True, look="select")
    proof_n = Figure(
        _l("Force"),
        unit="N",
        low=LEAST,
        high=LARGEST_N,
        hint=_l("What the weakest coupon failed at, or the point held."),
    )
    coupon_area_mm2 = Figure(_l("Coupon's area"), unit="mm²", low=LEAST, high=LARGEST_AREA_MM2)
    bond_area_mm2 = Figure(
        _l("Bond's area"), unit="mm²", low=LEAST, high=LARGEST_AREA_MM2, hint=_l("At each point alone.")
    )
    factor = Figure(
        _l("Factor"),
        unit="",
        low=1,
        high=LARGEST_FACTOR,
        hint=_l("What a coupon's strength is divided by."),
    )
    factor_why = Words(_l("Why this factor"), longest=1_000, hint=_l("And who answers for it."))
    bond_service_c = Figure(
        _l("Bond stands"),
        unit="°C",
        low=COLDEST_C,
        high=HOTTEST_C,
        hint=_l("From its data sheet, for load that stays."),
    )
    plate_mm = Figure(_l("Thickness of the plate"), unit="mm", low=LEAST, high=LARGEST_MM)
    proved_on = Day(_l("Proved on"))
    proved_by = Words(_l("Proved by"), longest=200)
    evidence = Words(_l("What shows it"), longest=1_000, hint=_l("Number of the report, where it is kept."))

    def validate_factor_why(self, field: Words) -> None:
        """A factor that nobody answers for is worth nothing."""
        if self.factor.data is not None and not field.data:
            field.refuse(_("Why this factor: say who chose it and why."))

    def validate_proof_n(self, field: Figure) -> None:
        """A force beside *not proved* says two things at once."""
        if self.proof.data == NOT_PROVED and field.data is not None:
            message = _(
                "Force: “%(typed)s” stands beside “not proved”. Say how it was proved, or take it out.",
                typed=field.shown,
            )
            field.refuse(message)


class StrengthForm(RoomForm):
    """How the hanging points were proved."""

    kind = "strength"

    points = Lines(
        PointsRow,
        _l("Hanging points"),
        spare=0,
        most=MOST_LINES,
        least=1,
        hint=_l("A line for each kind; points that are alike stand together in one."),
    )
    photos = Photos(_l("Photos"), slot=SLOT, hint=_l("Coupons before and after, the pull, the gauge."))
    note = Words(_l("Note"), rows=3)

    def facts(self, known: Sequence[str]) -> list[PointFacts]:
        """A row for each point, in the order of the lines; `known` are the piece's labels."""
        return [
            {"label": label, **{name: row[name] for name in FACTS if name != "proved_on"}, "proved_on": _iso(row)}  # type: ignore[typeddict-item]
            for row in self.points.data
            for label in labels_of(row["labels"] or "", known)
        ]


def lines_of(points: Iterable[StrengthPoint], known: Sequence[str]) -> list[dict[str, Any]]:
    """The lines that say the same as these points: points that are alike together, those that are gone left out.

    Points of the piece of which nothing is told stand together in a last line.
    """
    told = {point.label: {name: getattr(point, name) for name in FACTS} for point in points}
    return [{**said, "proved_on": _day(said), "labels": ", ".join(labels)} for said, labels in alike(told, known)]


def _day(said: Mapping[str, Any]) -> date | None:
    return date.fromisoformat(said["proved_on"]) if said.get("proved_on") else None


def _iso(row: dict[str, Any]) -> str | None:
    return row["proved_on"].isoformat() if row["proved_on"] else None
