"""What may be typed about the wall as somebody found it: limits and units. What was not looked at stays blank."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from siteapp.hanging.wall import models
from siteapp.hanging.wall.services import TRIAL_SLOT, WALL_SLOT
from siteapp.hanging.wall.wording import SPOKEN
from siteapp.web.fields import Choice, Day, Figure, Photos, RoomForm, Tick, Words
from siteapp.web.i18n import Lazy, _, _l

if TYPE_CHECKING:
    from collections.abc import Iterable

THICKEST_MM, FURTHEST_OUT_MM, MOST_LEAN_MM_M = 5_000, 500, 200
YES, NO = "yes", "no"
PHOTO_FIELDS: Final = {"photos": WALL_SLOT, "trial_photos": TRIAL_SLOT}
# What a chosen answer must come with: field, answer, the field that says how it is known, what to do.
COMES_WITH: Final = (
    ("material", models.OTHER, "material_words", _l("Other: say what the wall is made of.")),
    ("services_front", models.NEAR, "services_words", _l("Found near: say what it is and where it runs.")),
    ("services_back", models.NEAR, "services_words", _l("Found near: say what it is and where it runs.")),
    ("consent", models.WRITTEN, "consent_by", _l("Given in writing: name who gave it.")),
    ("asbestos", models.SURVEYED_CLEAR, "asbestos_words", _l("Surveyed: give the survey's number and day.")),
    ("asbestos", models.BUILT_AFTER, "asbestos_words", _l("Built after the ban: say when, and how that is known.")),
    ("asbestos", models.ASBESTOS_FOUND, "asbestos_words", _l("Found: say where, and who found it.")),
)


def _offered(values: Iterable[str], blank: Lazy) -> list[tuple[str, Any]]:
    return [("", blank), *((value, SPOKEN[value]) for value in values)]


class WallForm(RoomForm):
    """The wall as found. Everything but who and when may stay blank, and then counts as not looked at."""

    kind = "wall_found"

    photos = Photos(_l("Photos of the wall"), slot=WALL_SLOT, hint=_l("Whole, with a tape or a rule in the picture."))
    material = Choice(
        _l("What the wall is made of"),
        choices=_offered(models.MATERIALS, _l("Not known")),
        look="select",
        hint=_l("Behind plaster and board: what the anchors sit in."),
    )
    material_words = Words(
        _l("More about it"),
        longest=500,
        hint=_l("Brick and mortar, class of concrete, studs of wood or metal, what lies over it."),
    )
    proved_by = Choice(
        _l("Known from"),
        choices=_offered(models.PROVED, _l("Not said")),
        look="select",
        hint=_l("Only a trial hole shows it: dust, feel, depth."),
    )
    trial_photos = Photos(_l("Photos of the trial hole and its dust"), slot=TRIAL_SLOT)
    sound = Choice(
        _l("Sound: dry, whole, nothing hollow behind it"),
        choices=[("", _l("Not looked at")), (YES, _l("Yes")), (NO, _l("No"))],
    )
    thickness_mm = Figure(_l("Thickness of what carries"), unit="mm", low=1, high=THICKEST_MM)
    gap_mm = Figure(
        _l("From its face to the sound wall"),
        unit="mm",
        low=0,
        high=FURTHEST_OUT_MM,
        hint=_l("Plaster, board, insulation: what the anchor bridges. 0 when there is nothing."),
    )
    studs = Words(_l("Studs or battens"), rows=2, longest=1000, hint=_l("Where, how far apart, of what."))
    lintels = Words(_l("Lintels and beams"), rows=2, longest=1000)
    flue = Words(_l("Flue or chimney"), rows=2, longest=1000, hint=_l("Where it runs; an anchor never goes into one."))
    bow_mm = Figure(
        _l("Bow, out of flat over the piece"),
        unit="mm",
        low=-FURTHEST_OUT_MM,
        high=FURTHEST_OUT_MM,
        hint=_l("A belly towards you counts as positive, a hollow as negative."),
    )
    plumb_mm_m = Figure(
        _l("Out of plumb"),
        unit="mm/m",
        low=-MOST_LEAN_MM_M,
        high=MOST_LEAN_MM_M,
        hint=_l("Leaning towards you at the top counts as positive."),
    )
    services_front = Choice(
        _l("Cables and pipes, this side"),
        choices=_offered(models.SERVICES[:-1], _l("Not looked for")),
    )
    services_back = Choice(
        _l("Cables and pipes, the other side"),
        choices=_offered(models.SERVICES[:-1], _l("Not looked for")),
    )
    detector = Words(_l("Looked for with"), longest=300, hint=_l("Which detector, and the drawings that were there."))
    services_words = Words(
        _l("What was found, and where"), rows=2, longest=2000, hint=_l("Measured from the datum or from an edge.")
    )
    consent = Choice(
        _l("The owner's consent to the holes and the weight"),
        choices=_offered(models.CONSENT, _l("Not asked")),
        look="select",
    )
    consent_by = Words(_l("Given by"), longest=200, hint=_l("Whoever owns the wall, or answers for it; the day."))
    asbestos = Choice(
        _l("Asbestos"),
        choices=_offered(models.ASBESTOS[:-1], _l("Not known")),
        look="select",
        hint=_l(
            "Plaster, boards, fillers, flue linings. Before anybody drills, by somebody the law of the place allows."
        ),
    )
    asbestos_words = Words(
        _l("How that is known"), longest=500, hint=_l("The survey's number and day; when it was built.")
    )
    found_by = Words(_l("Who found it"), required=True, longest=200, autocomplete="name")
    found_on = Day(_l("On"), required=True)
    from_form = Tick(_l("Typed from the form that came back"))
    note = Words(_l("Note"), rows=2, longest=5000)

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field, and that what lets somebody drill comes with how it is known."""
        super().validate(extra_validators)
        for name, answer, needed, message in COMES_WITH:
            if self[name].data == answer and self[needed].is_blank() and not self[needed].errors:
                self[needed].refuse(str(message))
        return not self.errors

    def validate_trial_photos(self, field: Photos) -> None:
        """A photo of a trial hole beside a material known from anything else would be half a statement."""
        if not field.is_blank() and self.proved_by.data != models.TRIAL_HOLE:
            self.proved_by.refuse(
                _("Known from: there is a photo of a trial hole. Choose “a trial hole”, or take the photo out.")
            )
