"""What may be typed on the page of checks: answers with as many fields as a line asks for, releases, taking back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from siteapp.checks.lists import LARGEST_LIMIT, LONGEST_KEY
from siteapp.checks.verdicts import MET
from siteapp.web.fields import Figure, Photos, RoomForm, Tick, VerdictChoice, Words
from siteapp.web.forms import EntryRef
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.checks.state import LineState, ListState

PHOTO_SLOT = "check"

F = TypeVar("F", bound=RoomForm)


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


class TakingBackForm(RoomForm):
    """Takes an answer back: `answer` is its entry's id, or `of_form` the id of the form that it was sent with."""

    kind = "check_taken_back"

    list_id = Words("", hidden=True, required=True, longest=36)
    answer = EntryRef()
    of_form = EntryRef()

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; one of the two must name the answer."""
        super().validate(extra_validators)
        if not self.errors and not (self.answer.data or self.of_form.data):
            self.add_problem(None, _("This form does not say which answer is meant. Open the page again."))
        return not self.errors


class WorkingOutForm(RoomForm):
    """Has a line worked out from what is recorded now."""

    kind = "check_answer"

    list_id = Words("", hidden=True, required=True, longest=36)


class WorkingOutStageForm(RoomForm):
    """Has every line of a stage worked out that is worked out from what is recorded."""

    kind = "check_answer"

    stage = Words("", hidden=True, required=True, longest=20)


class OpeningForm(RoomForm):
    """Opens the lists of a stage."""

    kind = "check_list"

    stage = Words("", hidden=True, required=True, longest=20)


class ReleaseForm(RoomForm):
    """Releases a hold point, sets a list aside (no `line_key`), or takes that back (`released` is no).

    `seen` names the answers and `before` the releases that stood when the page was made, by entry id.
    """

    kind = "check_release"

    list_id = Words("", hidden=True, required=True, longest=36)
    line_key = Words("", hidden=True, longest=LONGEST_KEY)
    released = Words("", hidden=True, required=True, longest=3)
    seen = Words("", hidden=True)
    before = Words("", hidden=True)
    reason = Words(_l("Reason"), rows=2, required=True, longest=1000)

    def look_again(self, fresh: ReleaseForm) -> None:
        """After somebody else was faster: sent again, it is about what stands now."""
        for name in ("seen", "before", "released"):
            self[name].data = self[name].typed = fresh[name].data
        self.corrects.data = self.revises.data = None

    def ids(self, name: str) -> list[str]:
        """The entries that a field names."""
        return sorted(set((self[name].data or "").split()))


def release_form(list_id: str, line: LineState | None, opened: ListState, *, released: bool) -> ReleaseForm:
    """The form to release a line, or the whole list for None, or to take that back."""
    before = line.releases if line else opened.releases
    lines = (line,) if line else opened.lines
    data = {
        "list_id": list_id,
        "line_key": line.key if line else None,
        "released": "yes" if released else "no",
        "seen": " ".join(one.entry_id for each in lines for one in each.standing),
        "before": " ".join(one.entry_id for one in before if one.stands),
    }
    return ReleaseForm(data=data)


def answer_form(line: LineState, spot: str, formdata: Any = None) -> AnswerForm:
    """The form of one line, as typed if `formdata` is given; `spot` begins the ids of its elements."""
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
    if line.second:
        fields["second_name"] = Words(
            _l("Second person, needed for met"), longest=200, hint=_l("Somebody else who saw it.")
        )
    made = type("LineForm", (HoldForm if line.hold else AnswerForm,), fields)
    form: AnswerForm = made(formdata, data=_before(line))
    return with_ids(form, spot)


def with_ids(form: F, spot: str) -> F:
    """Give a form's elements ids of their own on a page with many forms."""
    for field in form:
        field.id = field.label.field_id = f"{spot}-{field.short_name}"
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
        data["second_name"] = said.second_name
        data["photos"] = [photo.sha256 for photo in said.photos]
    return data


def _photo_label(line: LineState) -> str:
    return _("Photo, needed for met") if line.photo else _("Photo")
