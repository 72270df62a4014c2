"""What may be typed at handover and when a certificate is issued."""

from __future__ import annotations

from siteapp.web.fields import Day, RoomForm, Signature, Tick, Words
from siteapp.web.i18n import _l

LONGEST_NAME = 200
WORDS_TO_AGREE = _l(
    "I have seen the piece hanging in its place and have read how it is cared for. I take it over as it is, "
    "with what is noted here as still open."
)


class HandoverForm(RoomForm):
    """The client takes the piece over."""

    kind = "handover"

    said = Words(_l("What the client agrees to"), required=True, rows=4, longest=3000)
    note = Words(_l("Note"), rows=3, hint=_l("Printed on the certificate."))
    signed_name = Words(_l("Name of who takes it over"), required=True, longest=LONGEST_NAME)
    drawn = Signature(_l("Signature"), slot="signature")


class CertificateForm(RoomForm):
    """What only the maker can say of a certificate."""

    kind = "certificate"

    maker = Words(_l("Maker, as to be named"), required=True, longest=200)
    workshop = Words(_l("Workshop"), longest=200)
    place = Words(_l("Place of the workshop"), longest=200)
    contact = Words(_l("How to reach the workshop"), rows=3, longest=500)
    hung_on = Day(_l("Hung on"))
    touch_up = Words(_l("Touch-up recipe and its shelf life"), rows=3, longest=3000)
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


CHOICES = (
    "maker",
    "workshop",
    "place",
    "contact",
    "touch_up",
    "fire_condition",
    "expected_wear",
    "inspections",
    "copyright_line",
    "moral_rights",
    "site_photos",
)
