"""What may be typed about visits, site contacts and what is still to bring."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from typing import TYPE_CHECKING, Any

from wtforms import Form
from wtforms.validators import ValidationError

from siteapp.visits.models import NOT_NEEDED, PACKED
from siteapp.web.fields import Choice, Day, Lines, RoomForm, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from siteapp.visits.services import NamedPerson, VisitNow

CLOCK = re.compile(r"([01]?[0-9]|2[0-3])(?:[:.h ]?([0-5][0-9]))?", re.ASCII)
DIGIT = re.compile(r"[0-9]", re.ASCII)
FEWEST_DIGITS = 3  # of a phone number: an extension
MOST_PEOPLE = 30


class TimeOfDay(Words):
    """A time of day on the site's clock, from 00:00 to 23:59; `data` is `HH:MM`, or None."""

    def read(self, text: str) -> str | None:
        """The time as `HH:MM`."""
        plain = "".join(str(unicodedata.decimal(sign)) if sign.isdecimal() else sign for sign in text).strip()
        if not plain:
            return None
        found = CLOCK.fullmatch(plain)
        if not found:
            allowed = _("Give a time from 00:00 to 23:59, such as 07:30.")
            raise ValueError(self.not_taken(text, allowed))
        return f"{int(found[1]):02}:{found[2] or '00'}"


class PersonRow(Form):
    """Somebody who comes: one of the crew, or another name. `visit_form`, which knows the crew, makes its fields."""

    person_id: Choice
    name: Words
    role: Words

    def validate_name(self, field: Words) -> None:
        """Exactly one of the two says who it is."""
        if self.person_id.data and field.data:
            raise ValidationError(_("Or another name: choose one of the crew or give another name, not both."))
        if not (self.person_id.data or field.data or self.person_id.errors or field.errors):
            raise ValidationError(_("Or another name: say who it is, or leave the whole line blank."))


class VisitForm(RoomForm):
    """One attendance at the site, planned or past."""

    kind = "visit"

    day = Day(_l("Day"), required=True, future=True)
    from_time = TimeOfDay(_l("From"), hint=_l("Such as 07:30."))
    until_time = TimeOfDay(_l("Until"))
    purpose = Words(_l("What for"), longest=300, hint=_l("Measure the wall, hang, finish, hand over …"))
    people: Lines
    note: Words

    def validate_until_time(self, field: TimeOfDay) -> None:
        """A visit ends after it has begun."""
        if self.from_time.data and field.data and field.data <= self.from_time.data:
            field.refuse(
                _(
                    "Until: %(until)s is not after %(begun)s. Give a later time of the same day, or leave it blank.",
                    until=field.data,
                    begun=self.from_time.data,
                )
            )


class ContactRowForm(Form):
    """Somebody at the site."""

    name = Words(_l("Name"), required=True, longest=200)
    role = Words(_l("Does what there"), longest=200)
    phone = Words(_l("Phone"), longest=60, autocomplete="off")
    note = Words(_l("Note"), longest=500)

    def validate_phone(self, field: Words) -> None:
        """What nobody can dial is no number."""
        if field.data and len(DIGIT.findall(field.data)) < FEWEST_DIGITS:
            raise ValidationError(
                field.not_taken(field.data, _("Give a number with at least %(least)s digits.", least=FEWEST_DIGITS))
            )


class ContactsForm(RoomForm):
    """Whom to ask at the site."""

    kind = "site_contacts"

    people = Lines(ContactRowForm, _l("People at the site"), spare=1, most=MOST_PEOPLE)
    note = Words(_l("Note"), rows=3, longest=2000)


class ToBringForm(RoomForm):
    """One more thing to bring."""

    kind = "to_bring"

    thing = Words(_l("One thing more to bring"), required=True, longest=300)


class BroughtForm(RoomForm):
    """A thing is in the van, or not needed."""

    kind = "brought"

    item_id = Words("", hidden=True, required=True, longest=36)
    how = Choice(_l("Answer"), required=True, choices=[(PACKED, _l("Packed")), (NOT_NEEDED, _l("Not needed"))])


def visit_form(crew: Mapping[str, str], formdata: Any = None, data: Mapping[str, Any] | None = None) -> VisitForm:
    """The form of a visit; `crew` are the people who can be chosen, name by id."""
    choices = [("", _l("Somebody else")), *crew.items()]
    # Fields stand in the order in which they are made.
    row = {
        "person_id": Choice(_l("One of the crew"), choices=choices, look="select"),
        "name": Words(_l("Or another name"), longest=200),
        "role": Words(_l("Does what"), longest=200),
    }
    fields = {
        "people": Lines(type("CrewRow", (PersonRow,), row), _l("Who comes"), spare=2, most=MOST_PEOPLE),
        "note": Words(_l("Note"), rows=3, longest=2000),
    }
    made = type("CrewVisitForm", (VisitForm,), fields)
    form: VisitForm = made(formdata, data=data)
    return form


def data_of(visit: VisitNow) -> dict[str, Any]:
    """A visit as its form wants it."""
    said = visit.said
    people = [
        {"person_id": one.person_id or "", "name": None if one.person_id else one.name, "role": one.role}
        for one in visit.people
    ]
    return {
        "day": date.fromisoformat(said.day),
        "from_time": said.from_time,
        "until_time": said.until_time,
        "purpose": said.purpose,
        "note": said.note,
        "people": people,
        "revises": visit.entry.id,
    }


def people_of(rows: Sequence[Mapping[str, Any]], crew: Mapping[str, str]) -> list[NamedPerson]:
    """Who comes, with the names that the crew have now."""
    return [
        {
            "name": crew[row["person_id"]] if row["person_id"] else row["name"],
            "person_id": row["person_id"] or None,
            "role": row["role"],
        }
        for row in rows
    ]


def dialled(phone: str | None) -> str | None:
    """A phone number as a `tel:` link wants it (RFC 3966): its digits, up to an extension, with a leading plus."""
    before = re.split(r"[A-Za-z;,#]", phone or "", maxsplit=1)[0].strip()
    digits = "".join(DIGIT.findall(before))
    return ("+" if before.startswith(("+", "(+")) else "") + digits if len(digits) >= FEWEST_DIGITS else None
