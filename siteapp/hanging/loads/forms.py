"""What may be typed for the loads: limits and units. What is not known stays blank, and then counts as cannot tell."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.hanging.loads import models
from siteapp.pieces.points.alike import alike, labels_of
from siteapp.trade.loads.cases import STRONGEST_N
from siteapp.trade.loads.losing import LARGEST_SUDDEN
from siteapp.trade.loads.resistance import SMALLEST_N
from siteapp.trade.loads.supports import FURTHEST_MM, LARGEST_N
from siteapp.web.fields import Choice, Figure, Lines, RoomForm, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from siteapp.hanging.loads.models import LoadResistance
    from siteapp.hanging.loads.services import ResistanceFacts, SheetFacts

MOST_PADS, MOST_ANCHORS = 200, 200
YES, NO = "yes", "no"
KIND_WORDS = {
    models.STEEL: _l("Steel of the anchor"),
    models.CONCRETE: _l("Concrete"),
    models.MASONRY_SOLID: _l("Solid masonry"),
    models.MASONRY_HOLLOW: _l("Hollow masonry"),
    models.TIMBER: _l("Timber"),
    models.TESTED: _l("Tested on site"),
}
SAME = ("kind", "pull_n", "shear_n", "document", "covered")


class PadRow(Form):
    """A place where the piece bears on the wall."""

    x_mm = Figure(_l("Across"), unit="mm", low=-FURTHEST_MM, high=FURTHEST_MM, required=True)
    y_mm = Figure(_l("Up"), unit="mm", low=-FURTHEST_MM, high=FURTHEST_MM, required=True)


class AnchorRow(Form):
    """Anchors that may carry the same."""

    labels = Words(_l("Points"), required=True, longest=2_000, hint=_l("One or several: A, B, C. Or: all"))
    kind = Choice(_l("What fails first"), choices=tuple(KIND_WORDS.items()), required=True, look="select")
    pull_n = Figure(_l("Pull allowed"), unit="N", low=SMALLEST_N, high=LARGEST_N)
    shear_n = Figure(_l("Shear allowed"), unit="N", low=SMALLEST_N, high=LARGEST_N)
    document = Words(
        _l("By which document"), longest=500, hint=_l("Approval document or test report, its number and table.")
    )
    covered = Choice(
        _l("It covers this wall and this use"),
        choices=(("", _l("Not looked up")), (YES, _l("Yes")), (NO, _l("No"))),
        look="select",
    )


class LoadsForm(RoomForm):
    """What the loads rest on beside the particulars, the weight and the wall."""

    kind = "load_sheet"

    lean_n = Figure(
        _l("Somebody leans, pulls or knocks with"),
        unit="N",
        low=0,
        high=STRONGEST_N,
        hint=_l("Nothing is offered: who can reach it decides. 0 only where nobody can."),
    )
    lean_why = Words(_l("Why so hard"), rows=2, longest=1_000, hint=_l("Who may reach it, and who chose the force."))
    lean_x_mm = Figure(_l("Across"), unit="mm", low=-FURTHEST_MM, high=FURTHEST_MM)
    lean_y_mm = Figure(_l("Up"), unit="mm", low=-FURTHEST_MM, high=FURTHEST_MM)
    pads = Lines(
        PadRow,
        _l("Where it bears on the wall"),
        spare=1,
        most=MOST_PADS,
        hint=_l("Pads, or the corners of the edges that touch. From the lower left corner, seen from the front."),
    )
    resistances = Lines(
        AnchorRow,
        _l("What the anchors may carry"),
        spare=0,
        most=MOST_ANCHORS,
        hint=_l(
            "Design values from the anchor's approval document for this wall, already less for edges, spacing, lasting "
            "load and heat. Points that are alike stand together in one line."
        ),
    )
    sudden = Figure(
        _l("Factor when a point is lost"),
        unit="",
        low=1,
        high=LARGEST_SUDDEN,
        hint=_l("What was on it comes onto the others at once: 2, unless somebody competent says otherwise."),
    )
    note = Words(_l("Note"), rows=2, longest=5_000)

    def validate_lean_why(self, field: Words) -> None:
        """A force that nobody answers for is worth nothing."""
        if self.lean_n.data is not None and not field.data:
            field.refuse(_("Why so hard: say who may lean on it and why this force was chosen."))

    def validate_lean_x_mm(self, field: Figure) -> None:
        """Half a place is none."""
        if field.is_blank() != self.lean_y_mm.is_blank():
            field.refuse(_("Where: give both, across and up, or neither for anywhere on the outline."))

    def facts(self) -> SheetFacts:
        """What is said beside pads and anchors."""
        names = ("lean_n", "lean_x_mm", "lean_y_mm", "lean_why", "sudden", "note")
        return {name: self[name].data for name in names}  # type: ignore[return-value]

    def places(self) -> list[tuple[float, float]]:
        """Where the piece bears."""
        return [(row["x_mm"], row["y_mm"]) for row in self.pads.data]

    def anchors(self, known: Sequence[str]) -> list[ResistanceFacts]:
        """A row for each point, in the order of the lines; `known` are the piece's labels."""
        return [
            {
                "label": label,
                "kind": row["kind"],
                "pull_n": row["pull_n"],
                "shear_n": row["shear_n"],
                "document": row["document"],
                "covered": {YES: True, NO: False}.get(row["covered"] or ""),
            }
            for row in self.resistances.data
            for label in labels_of(row["labels"] or "", known)
        ]


def lines_of(anchors: Iterable[LoadResistance], known: Sequence[str]) -> list[dict[str, Any]]:
    """The lines that say the same as these rows: points that are alike together, those that are gone left out.

    Points of the piece of which nothing is told stand together in a last line.
    """
    told = {one.label: {name: getattr(one, name) for name in SAME} for one in anchors}
    answers = {True: YES, False: NO, None: ""}
    return [
        {**said, "covered": answers[said.get("covered")], "labels": ", ".join(labels)}
        for said, labels in alike(told, known)
    ]
