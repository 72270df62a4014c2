"""What may be typed as an answer to a check: as many fields as its line asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.checks.lists import LARGEST_LIMIT
from siteapp.checks.verdicts import MET
from siteapp.web.fields import Figure, Photos, RoomForm, Tick, VerdictChoice, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.checks.state import LineState

PHOTO_SLOT = "check"


class AnswerForm(RoomForm):
    """An answer to a line. `stands` names the answers that stood when the page was made, by entry id."""

    kind = "check_answer"

    list_id = Words("", hidden=True, required=True, longest=36)
    stands = Words("", hidden=True)
    verdict = VerdictChoice(_l("Answer"), required=True)
    note = Words(_l("Note"), rows=2)

    def takes_the_place_of(self) -> list[str]:
        """The answers that this one corrects, by entry id."""
        named = [*(self.stands.data or "").split(), self.corrects.data, self.revises.data]
        return sorted({entry_id for entry_id in named if entry_id})

    def followed_by(self, entry_id: str) -> dict[str, str]:
        """Whoever answers again from the same page knows this answer."""
        return {"stands": entry_id, "revises": "", "corrects": ""}

    def look_again(self, line: LineState) -> None:
        """After somebody else was faster: sent again, the answer takes the place of what stands now."""
        self.stands.data = self.stands.typed = standing_ids(line)
        self.corrects.data = self.revises.data = None


class HoldForm(AnswerForm):
    """An answer to a hold point."""

    confirm = Tick(_l("I saw this myself and it is met"))

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; met takes somebody who says so twice."""
        super().validate(extra_validators)
        if self.verdict.data == MET and not self.confirm.data:
            self.confirm.refuse(
                _("This is a hold point: tick “%(said)s”, then press Met.", said=self.confirm.label.text)
            )
        return not self.errors


def answer_form(line: LineState, formdata: Any = None) -> AnswerForm:
    """The form of one line, as typed if `formdata` is given; its elements' ids are the line's own."""
    fields: dict[str, Any] = {"photos": Photos(_photo_label(line), slot=PHOTO_SLOT)}
    if line.quantity:
        fields["reading"] = Figure(
            _("Reading: %(quantity)s", quantity=line.quantity),
            unit=line.unit or "",
            low=-LARGEST_LIMIT,
            high=LARGEST_LIMIT,
            hint=_("Met needs %(limits)s.", limits=line.limits),
        )
        fields["instrument"] = Words(
            _l("Read with"), longest=200, hint=_l("Which instrument, and its number if it has one.")
        )
    made = type("LineForm", (HoldForm if line.hold else AnswerForm,), fields)
    form: AnswerForm = made(formdata, data=_before(line))
    for field in form:
        field.id = field.label.field_id = f"{line.key}-{field.short_name}"
    return form


def standing_ids(line: LineState) -> str:
    """The answers of a line that stand, as the form carries them."""
    return " ".join(one.entry_id for one in line.standing)


def _before(line: LineState) -> dict[str, Any]:
    data: dict[str, Any] = {"list_id": line.list_id, "stands": standing_ids(line)}
    # Evidence of something that was not met does not show that it is met now, so it is not offered again.
    if line.answer and line.verdict == MET:
        said = line.answer
        data |= {"reading": said.reading, "instrument": said.instrument, "note": said.note}
        data["photos"] = [photo.sha256 for photo in said.photos]
    return data


def _photo_label(line: LineState) -> str:
    return _("Photo, needed for met") if line.photo else _("Photo")
