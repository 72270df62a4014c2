"""What may be typed at handover, and when a certificate is issued, withdrawn or given."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.handover.never import never_in
from siteapp.web.fields import AnyFile, Choice, Day, Lines, RoomForm, Signature, Tick, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.handover.signed import Signed

LONGEST_NAME = 200
MOST_CONDITIONS = 20
LARGEST_FILE = 30 * 1024**2
FURTHER = ("second", "third")
PROMISE_NOTHING = (
    "why",
    "subject",
    "inscriptions",
    "distinguishing",
    "tools",
    "touch_up",
    "fire_condition",
    "expected_wear",
    "inspections",
)
WORDS_TO_AGREE = _l(
    "I have seen the piece in its place. I have read how it is cared for, the conditions in writing, and what is noted "
    "here as left, released or still open. I take it over as it is."
)


class ConditionRow(Form):
    """Something that must hold."""

    words = Words(_l("Condition"), rows=2, longest=1000)


class HandoverForm(RoomForm):
    """The client takes the piece over. `stands` are the snags that the words name, by entry id."""

    kind = "handover"

    conditions = Lines(
        ConditionRow,
        _l("Conditions in writing"),
        spare=1,
        most=MOST_CONDITIONS,
        hint=_l("What must hold before the piece is used as it is meant to be. Take out what does not apply."),
    )
    stands = Words("", hidden=True, longest=40_000)
    said = Words(_l("Words to agree to"), required=True, rows=5, longest=3000)
    note = Words(_l("Note"), rows=2, longest=3000, hint=_l("Printed on the certificate."))
    signed_name = Words(_l("Name of who takes it over"), required=True, longest=LONGEST_NAME)
    drawn = Signature(_l("Signature"), slot="signature")
    second_name = Words(_l("Name"), longest=LONGEST_NAME)
    second_capacity = Words(_l("Signs as"), longest=LONGEST_NAME, hint=_l("Such as maker, witness, second owner."))
    second_drawn = Signature(_l("Second signature"), slot="signature")
    third_name = Words(_l("Name"), longest=LONGEST_NAME)
    third_capacity = Words(_l("Signs as"), longest=LONGEST_NAME)
    third_drawn = Signature(_l("Third signature"), slot="signature")

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; whoever else signs or is said to sign must be named."""
        fine = super().validate(extra_validators)
        if self.conditions.asked_more:
            return False
        for which in FURTHER:
            name, drawn = self[f"{which}_name"], self[f"{which}_drawn"]
            if name.is_blank() and not (drawn.is_blank() and self[f"{which}_capacity"].is_blank()):
                name.refuse(_("%(signature)s: the name is needed.", signature=drawn.label.text))
                fine = False
        return fine

    def take(self, signed: Signed) -> None:
        """Bring the drawings of what was recorded into the form that corrects it."""
        if signed.said.signature_sha256:
            self.drawn.take(signed.said.signature_sha256)
        for which, row in zip(FURTHER, signed.signatures, strict=False):
            if row.signature_sha256:
                self[f"{which}_drawn"].take(row.signature_sha256)

    @staticmethod
    def offer(signed: Signed) -> dict[str, Any]:
        """What was recorded, as values of this form's fields."""
        values: dict[str, Any] = {
            "conditions": [{"words": row.words} for row in signed.conditions],
            "said": signed.said.said,
            "note": signed.said.note,
            "signed_name": signed.said.signed_name,
        }
        for which, row in zip(FURTHER, signed.signatures, strict=False):
            values |= {f"{which}_name": row.name, f"{which}_capacity": row.capacity}
        return values


class CertificateForm(RoomForm):
    """What only the maker can say of a certificate."""

    kind = "certificate"

    why = Words(
        _l("Why a new one is issued"), rows=2, longest=1000, hint=_l("Printed on it beside the number it replaces.")
    )
    maker = Words(_l("Maker, as to be named"), required=True, longest=200)
    workshop = Words(_l("Workshop"), longest=200)
    place = Words(_l("Place of the workshop"), longest=200)
    contact = Words(_l("How to reach the workshop"), rows=3, longest=500)
    subject = Words(_l("Subject"), rows=2, longest=500, hint=_l("What it shows, as a list of works would say it."))
    inscriptions = Words(
        _l("Inscriptions and markings"), rows=2, longest=1000, hint=_l("Signature, date, stamps; where.")
    )
    distinguishing = Words(
        _l("Distinguishing features"),
        rows=2,
        longest=1000,
        hint=_l("What tells it from every other, such as a repair."),
    )
    hung_on = Day(_l("Hung on"))
    tools = Words(_l("Tools for taking it down"), rows=2, longest=1000, hint=_l("One line each, with sizes."))
    touch_up = Words(_l("Touch-up recipe and its shelf life"), rows=6, longest=6000)
    fire_condition = Words(
        _l("Before any fire is lit"), rows=2, longest=1000, hint=_l("Such as: no fire until tested.")
    )
    expected_wear = Words(_l("Wear to expect"), rows=2, longest=2000, hint=_l("One line each."))
    inspections = Words(_l("When to look it over"), rows=2, longest=2000, hint=_l("One line each."))
    copyright_line = Words(_l("Copyright"), longest=300)
    moral_rights = Words(_l("Moral rights"), rows=2, longest=1000)
    site_photos = Tick(
        _l("Put the photos from arrival and finishing on it: I have looked, and none shows the client's rooms.")
    )
    paper = Choice(_l("Paper"), choices=(("A4", _l("A4")), ("Letter", _l("Letter"))))

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; what promises too much, or a price, has no place on a certificate."""
        fine = super().validate(extra_validators)
        for field in (self[name] for name in PROMISE_NOTHING):
            if word := never_in(field.data):
                words = _("“%(word)s” has no place on a certificate. Say what was found or measured.", word=word)
                field.refuse(f"{field.label.text}: {words}")
                fine = False
        return fine


class WithdrawalForm(RoomForm):
    """A certificate does not stand any more."""

    kind = "certificate_withdrawal"

    reason = Words(
        _l("Why it does not stand any more"),
        required=True,
        rows=3,
        longest=1000,
        hint=_l("Shown to anybody who opens the certificate's address."),
    )


class VerifyForm(RoomForm):
    """A certificate to be looked at. Nothing is recorded."""

    waits = False

    file = AnyFile(
        _l("The certificate's file"),
        largest=LARGEST_FILE,
        hint=_l("The PDF as it was given. Of a photo of the paper, only the code can be looked at."),
    )
    number = Words(_l("Or its number"), longest=200, hint=_l("Such as C-K7QX-M2TR; dashes do not matter."))


class GiveForm(RoomForm):
    """A link to one certificate's PDF is wanted. Nothing is recorded, so nothing waits on a phone."""

    waits = False


CHOICES = (
    "maker",
    "workshop",
    "place",
    "contact",
    "subject",
    "inscriptions",
    "distinguishing",
    "tools",
    "touch_up",
    "fire_condition",
    "expected_wear",
    "inspections",
    "copyright_line",
    "moral_rights",
    "site_photos",
    "paper",
)
