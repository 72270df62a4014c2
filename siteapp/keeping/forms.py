"""What may be asked of what is kept."""

from __future__ import annotations

from typing import Any

from siteapp.jobs.redaction import SHORTEST
from siteapp.web.fields import PhotoTicks, RoomForm, Tick, Words
from siteapp.web.i18n import _, _l

MOST_WORDS = 200


class EraseForm(RoomForm):
    """Somebody's data are to go."""

    waits = False

    phrases = Words(
        _l("Words to take out"),
        rows=8,
        longest=20_000,
        hint=_l("One a line: names, addresses, numbers, ways in. Each is taken out wherever it stands in this job."),
    )
    reason = Words(
        _l("Who asked, and when"),
        required=True,
        longest=300,
        hint=_l("Kept with the erasure. Without a name: such as “the client, by letter of 3 March”."),
    )
    photos = PhotoTicks(_l("Photos to let go"))
    sure = Tick(_l("I have looked at what will go. It cannot be brought back."))

    def lines(self) -> list[str]:
        """The words, each once, white space made single."""
        found = (" ".join(line.split()) for line in (self.phrases.data or "").splitlines())
        return [one for one in dict.fromkeys(found) if one]

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; words too short would tear holes into others."""
        fine = super().validate(extra_validators)
        short = [one for one in self.lines() if len(one) < SHORTEST]
        if short:
            self.phrases.refuse(
                _(
                    "Words to take out: “%(word)s” is too short. Give at least %(least)s letters.",
                    word=short[0],
                    least=SHORTEST,
                )
            )
        if len(self.lines()) > MOST_WORDS:
            self.phrases.refuse(_("Words to take out: at most %(most)s lines at once.", most=MOST_WORDS))
        reason = (self.reason.data or "").casefold()
        named = next((one for one in self.lines() if one.casefold() in reason), None)
        if named:
            self.reason.refuse(_("Who asked, and when: this keeps “%(word)s”, which is to go.", word=named))
        if not self.sure.data:
            self.sure.refuse(_("Nothing has gone yet. Look at what would go, then say yes here."))
        return fine and not self.errors
