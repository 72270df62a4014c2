"""What may be typed about a piece: limits and units."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from siteapp.pieces.build_up.rows import BuildUpRow
from siteapp.pieces.models import (
    CHANGE,
    ESTIMATED,
    FREE_STANDING,
    FROM_BACK,
    FROM_FRONT,
    ON_POINTS,
    ON_RAILS,
    STAGE,
    SUSPENDED,
    WEIGHED,
)
from siteapp.pieces.points.rows import MOST_POINTS, HangingPointRow, check
from siteapp.web.fields import Choice, Day, Figure, Lines, Photos, RoomForm, Whole, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.pieces.services import AgreedNow, PieceNow

LONGEST_MM = 20_000
HEAVIEST_KG = 5_000

FIELDS = (
    "title",
    "object_type",
    "description",
    "materials",
    "made_on",
    "width_mm",
    "height_mm",
    "depth_mm",
    "mass_kg",
    "mass_origin",
    "mass_note",
    "lift_people",
    "way_up",
    "take_down",
    "finish",
    "fire_class",
    "fire_evidence",
    "fire_covers",
    "heat_limit_c",
    "keep_away",
    "care",
    "care_never",
    "hazards",
    "who_to_ask",
    "stands",
    "near_heat",
)
YES, NO = "yes", "no"


class PieceForm(RoomForm):
    """A piece's particulars."""

    kind = "particulars"

    title = Words(_l("Title"), required=True, longest=300)
    object_type = Words(
        _l("Type of object"),
        required=True,
        longest=200,
        hint=_l("Wall relief, overmantel, shell …"),
    )
    description = Words(
        _l("Description"),
        rows=4,
        hint=_l("Subject, distinguishing features, inscriptions."),
    )
    materials = Words(_l("Materials and techniques"), rows=2, longest=2000)
    made_on = Words(_l("Made"), longest=40, hint=_l("Year or date."))
    width_mm = Figure(_l("Width"), unit="mm", low=1, high=LONGEST_MM)
    height_mm = Figure(_l("Height"), unit="mm", low=1, high=LONGEST_MM)
    depth_mm = Figure(_l("Depth"), unit="mm", low=1, high=LONGEST_MM)
    mass_kg = Figure(_l("Weight"), unit="kg", low=0.01, high=HEAVIEST_KG)
    mass_origin = Choice(
        _l("Where the weight comes from"),
        choices=[
            ("", _l("Not known")),
            (WEIGHED, _l("Weighed")),
            (ESTIMATED, _l("Estimated")),
        ],
    )
    mass_note = Words(_l("Scales, or how it was worked out"), longest=500)
    lift_people = Whole(
        _l("People to lift it"),
        low=1,
        high=20,
        hint=_l("As the maker decided; not worked out here."),
    )
    stands = Choice(
        _l("How it is carried"),
        hint=_l(
            "On points: from hanging points on anchors in a wall. On rails: hooked onto a rail or battens. "
            "Free-standing: on the floor or a plinth. Suspended: from above, on wires, rods or chains. "
            "What carries it decides which checks it needs."
        ),
        choices=[
            ("", _l("Not known")),
            (ON_POINTS, _l("On points")),
            (ON_RAILS, _l("On rails")),
            (FREE_STANDING, _l("Free-standing")),
            (SUSPENDED, _l("Suspended")),
        ],
    )
    way_up = Words(_l("Which way up"), longest=300)
    take_down = Words(_l("How it comes off the wall"), rows=3, longest=3000)
    finish = Words(_l("Finish"), rows=2, longest=2000)
    fire_class = Words(
        _l("Fire class"),
        longest=100,
        hint=_l("As the evidence says it, for example a class of EN 13501-1."),
    )
    fire_evidence = Words(
        _l("Evidence for it"),
        longest=500,
        hint=_l("Report number, who issued it, when."),
    )
    fire_covers = Words(_l("What the evidence covers, and what not"), rows=2, longest=2000)
    near_heat = Choice(
        _l("Heat close to it"),
        hint=_l("A fire, a stove, a radiator or a flue near enough to warm it."),
        choices=[("", _l("Not known")), (YES, _l("Yes")), (NO, _l("No"))],
    )
    heat_limit_c = Figure(_l("Hottest the surface may get"), unit="°C", low=20, high=400)
    keep_away = Words(_l("What must not touch it"), rows=2, longest=2000)
    care = Words(_l("Care"), rows=3, longest=5000)
    care_never = Words(
        _l("Never"),
        rows=2,
        longest=2000,
        hint=_l("What it must never be cleaned with, or done to it."),
    )
    hazards = Words(_l("Hazards if cut, drilled or burnt"), rows=2, longest=2000)
    who_to_ask = Words(_l("Who to ask"), rows=2, longest=500, hint=_l("Printed on the label."))
    photos = Photos(_l("Photos of the piece"), slot="piece")

    def validate_mass_origin(self, field: Choice) -> None:
        """A weight without its origin, or the other way round, would be half a statement."""
        if self.mass_kg.data is not None and not field.data:
            field.refuse(_("Where the weight comes from: say whether it was weighed or estimated."))
        if self.mass_kg.data is None and field.data and not self.mass_kg.errors:
            field.refuse(_("Where the weight comes from: give the weight too, or choose “Not known”."))

    def validate_fire_class(self, field: Words) -> None:
        """A class without evidence is a claim."""
        if field.data and not self.fire_evidence.data:
            self.fire_evidence.refuse(_("Evidence for it: a fire class needs the report that shows it."))


class WholeForm(PieceForm):
    """The particulars with every list of lines, as a file brings them in and as changes are told."""

    build_up = Lines(BuildUpRow, _l("Build-up, from the face inwards"))
    points_from = Choice(
        _l("Hanging points were measured from"), choices=[(FROM_FRONT, _l("the front")), (FROM_BACK, _l("the back"))]
    )
    hanging_points = Lines(
        HangingPointRow,
        _l("Hanging points, as seen from the front"),
        spare=2,
        most=MOST_POINTS,
        hint=_l("Measured from the lower left corner of the piece."),
    )

    def validate_hanging_points(self, field: Lines) -> None:
        """They are held against each other and against the outline."""
        check(field, self.width_mm.data, self.height_mm.data)


class AgreedForm(RoomForm):
    """What the client said yes to: a stage of making, or a change."""

    kind = "agreed"

    about = Choice(
        _l("It is about"),
        required=True,
        choices=[(STAGE, _l("A stage of making")), (CHANGE, _l("A change to what was agreed before"))],
    )
    what = Words(_l("What was agreed"), required=True, rows=3, longest=2000)
    agreed_on = Day(_l("Agreed on"), required=True)
    agreed_by = Words(_l("By whom"), longest=200, hint=_l("Who said yes for the client."))
    said = Words(_l("In their words"), rows=3, longest=2000)
    evidence = Words(
        _l("What shows it"), rows=2, longest=1000, hint=_l("A letter and its day, a signed drawing, who heard it.")
    )
    photos = Photos(_l("Photos of what shows it"), slot="evidence")


class ScanForm(RoomForm):
    """A photo of a label, or its number as typed."""

    waits = False

    photo = Photos(_l("Photo of the label"), slot="label", one=True)
    number = Words(
        _l("Or the number on it"),
        longest=2000,
        hint=_l("Eight letters and digits; dashes do not matter."),
    )


def data_of(piece: PieceNow) -> dict[str, Any]:
    """A piece's particulars as `PieceForm` wants them, to be revised."""
    data: dict[str, Any] = {name: getattr(piece.particulars, name) for name in FIELDS}
    data["mass_origin"] = data["mass_origin"] or ""
    data["stands"] = data["stands"] or ""
    data["near_heat"] = {True: YES, False: NO, None: ""}[data["near_heat"]]
    data["build_up"] = [vars(row) for row in piece.build_up]
    data["hanging_points"] = [vars(row) for row in piece.hanging_points]
    data["photos"] = [photo.sha256 for photo in piece.photos]
    data["revises"] = piece.revision.id
    return data


def fields_of(form: PieceForm) -> dict[str, Any]:
    """The particulars' own fields, as the table keeps them."""
    fields = {name: None if form[name].data == "" else form[name].data for name in FIELDS}
    fields["near_heat"] = {YES: True, NO: False}.get(form.near_heat.data or "")
    return fields


def agreed_data_of(one: AgreedNow) -> dict[str, Any]:
    """Something agreed as its form wants it, to be put right."""
    said = one.said
    data: dict[str, Any] = {name: getattr(said, name) for name in ("about", "what", "agreed_by", "said", "evidence")}
    data["agreed_on"] = date.fromisoformat(said.agreed_on)
    data["photos"] = [photo.sha256 for photo in one.photos]
    data["corrects"] = one.entry.id
    return data
