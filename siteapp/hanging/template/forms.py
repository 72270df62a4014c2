"""What may be typed about where the piece goes and what is asked of whoever drills: limits and units."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.hanging.wall.models import MATERIALS
from siteapp.hanging.wall.wording import SPOKEN
from siteapp.web.fields import Choice, Figure, RoomForm, Words
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from siteapp.hanging.template.models import FixingTemplate
    from siteapp.hanging.template.services import TemplateFacts
    from siteapp.store.revisions import Version

FURTHEST_MM = 50_000
NAMES = (
    "datum",
    "x_mm",
    "y_mm",
    "level_line",
    "level_mm",
    "wall_asked",
    "anchor",
    "anchor_document",
    "drill_mm",
    "embedment_mm",
    "torque_nm",
    "proof_kn",
    "designed_by",
    "note",
)


class TemplateForm(RoomForm):
    """Where the piece goes. What is not asked stays blank, and then the checks cannot tell."""

    kind = "fixing_template"

    datum = Words(
        _l("Datum"),
        required=True,
        longest=300,
        hint=_l(
            "A point at the wall that stays and that anybody finds again: a nail in the joint, a corner of the sill."
        ),
    )
    x_mm = Figure(
        _l("From the datum to the right"),
        unit="mm",
        low=-FURTHEST_MM,
        high=FURTHEST_MM,
        required=True,
        hint=_l("To the piece's lower left corner as seen from the front; to the left counts as negative."),
    )
    y_mm = Figure(
        _l("From the datum upwards"),
        unit="mm",
        low=-FURTHEST_MM,
        high=FURTHEST_MM,
        required=True,
        hint=_l("To the same corner; downwards counts as negative."),
    )
    level_line = Words(_l("Level line"), longest=300, hint=_l("Where it is drawn, and with what."))
    level_mm = Figure(_l("Level line above the datum"), unit="mm", low=-FURTHEST_MM, high=FURTHEST_MM)
    wall_asked = Choice(
        _l("The wall must be"),
        choices=[("", _l("Not said")), *((value, SPOKEN[value]) for value in MATERIALS)],
        look="select",
    )
    anchor = Words(_l("Anchor"), longest=300, hint=_l("Maker's name for it, and its size."))
    anchor_document = Words(
        _l("Its approval document"), longest=300, hint=_l("Number and issue; it says in which wall it may be used.")
    )
    drill_mm = Figure(_l("Hole in the wall"), unit="mm", low=3, high=80)
    embedment_mm = Figure(
        _l("Embedded"), unit="mm", low=10, high=1000, hint=_l("In the sound wall, plaster not counted.")
    )
    torque_nm = Figure(_l("Torque"), unit="N m", low=0.5, high=1000)
    proof_kn = Figure(
        _l("Proof load"), unit="kN", low=0.1, high=100, hint=_l("That each anchor is held at when tested.")
    )
    designed_by = Words(_l("Who answers for wall and anchors"), longest=300, hint=_l("A competent person, by name."))
    note = Words(_l("Note for whoever drills"), rows=3, longest=3000)


def facts_of(form: TemplateForm) -> TemplateFacts:
    """What was typed, as the service takes it."""
    return {name: form[name].data or None if name == "wall_asked" else form[name].data for name in NAMES}  # type: ignore[return-value] # the names are its keys


def data_of(version: Version[FixingTemplate]) -> dict[str, Any]:
    """A template as its form wants it, to be revised."""
    return {name: getattr(version.said, name) for name in NAMES} | {"revises": version.entry.id}
