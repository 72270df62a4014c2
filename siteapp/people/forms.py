"""What may be typed about people and their signing in."""

from __future__ import annotations

from siteapp.people.models import ROLES
from siteapp.web.fields import Choice, RoomForm, Secret, Tick, Words
from siteapp.web.i18n import _l

ROLE_CHOICES = [
    (ROLES[0], _l("Maker: everything, hand over, issue certificates, people")),
    (ROLES[1], _l("Fitter: arrival, checks, finishing")),
]
PASSPHRASE_HINT = _l("At least 10 characters; four ordinary words are good and easy to type.")


class SignInForm(RoomForm):
    """Name and passphrase."""

    name = Words(_l("Your name"), required=True, longest=200, autocomplete="username")
    passphrase = Secret(_l("Passphrase"), required=True, autocomplete="current-password")
    next = Words("", hidden=True)


class UnlockForm(RoomForm):
    """The day PIN."""

    pin = Secret(_l("Day PIN"), required=True, digits=True, autocomplete="off")
    next = Words("", hidden=True)


class PinForm(RoomForm):
    """A new day PIN."""

    pin = Secret(
        _l("Day PIN"),
        required=True,
        digits=True,
        hint=_l("4 to 8 digits, for this device, until tonight."),
    )


class FirstForm(RoomForm):
    """The first person."""

    kind = "person"

    name = Words(_l("Your name"), required=True, longest=200, autocomplete="username")
    passphrase = Secret(
        _l("Passphrase"),
        required=True,
        hint=PASSPHRASE_HINT,
        autocomplete="new-password",
    )


class PersonForm(RoomForm):
    """One more person."""

    kind = "person"

    name = Words(_l("Name"), required=True, longest=200, autocomplete="off")
    role = Choice(_l("Role"), choices=ROLE_CHOICES, required=True)
    passphrase = Secret(
        _l("Passphrase"),
        required=True,
        hint=PASSPHRASE_HINT,
        autocomplete="new-password",
    )


class RevisePersonForm(RoomForm):
    """A person's name, role and whether they may sign in."""

    kind = "person"
    waits = False

    name = Words(_l("Name"), required=True, longest=200, autocomplete="off")
    role = Choice(_l("Role"), choices=ROLE_CHOICES, required=True)
    active = Tick(_l("May sign in"))


class PassphraseForm(RoomForm):
    """A new passphrase for somebody."""

    passphrase = Secret(
        _l("New passphrase"),
        required=True,
        hint=PASSPHRASE_HINT,
        autocomplete="new-password",
    )
