"""What may be typed about fire evidence and heat limits."""

from __future__ import annotations

import re
from typing import Any

from wtforms import Form

from siteapp.heat.evidence.models import COUPON
from siteapp.heat.evidence.services import MOST_PARTS, REPORT
from siteapp.heat.wording import KNOWN_WORDS, PART_WORDS, TESTED_WORDS, offered
from siteapp.trade.heat.judging import HIGHEST_LIMIT_C, LOWEST_LIMIT_C
from siteapp.web.fields import Choice, Day, Figure, Lines, Photos, RoomForm, Tick, Words
from siteapp.web.i18n import _, _l

# EN 13501-1:2018, table 1 (from memory): a main class, smoke s1 to s3, droplets d0 to d2; A1 and F stand alone.
EURO_CLASS = re.compile(r"A1|F|A2-s[123],d[012]|[BCD]-s[123],d[012]|E(?:-d2)?")
FEWEST_WORDS = 3  # of what a coupon does not cover
EN_13501 = re.compile(r"13501")
COUPON_WORDS = _l(
    "It was a coupon of the material, not the piece: its joints, edges, bond, coat and fixings were not tested."
)


class EvidenceForm(RoomForm):
    """One report about fire."""

    kind = "fire_evidence"

    tested = Choice(_l("What was tested"), required=True, choices=offered(TESTED_WORDS))
    tested_words = Words(
        _l("Layers and thickness, on what it was mounted"), rows=2, longest=1000, hint=_l("As the report says it.")
    )
    report = Words(_l("Report number"), required=True, longest=200)
    laboratory = Words(_l("Laboratory"), longest=300)
    standard = Words(_l("Standard"), longest=200, hint=_l("EN 13501-1, BS 476-7 …"))
    result = Words(_l("Result, as it is written there"), longest=300)
    as_written = Tick(_l("That is how the report writes it"))
    reported_on = Day(_l("Day of the report"))
    covers = Words(_l("What it covers"), required=True, rows=3, longest=2000)
    covers_not = Words(_l("What it does not cover"), required=True, rows=3, longest=2000)
    photos = Photos(_l("Photos of the report"), slot=REPORT)
    note = Words(_l("Note"), rows=2, longest=2000)
    dropped = Tick(_l("Counts no more"))

    def validate_result(self, field: Words) -> None:
        """A class that the standard does not have is asked back: it goes on the certificate as it stands."""
        classes = field.data and EN_13501.search(self.standard.data or "")
        plain = (field.data or "").replace(" ", "")
        if classes and not EURO_CLASS.fullmatch(plain) and not self.as_written.data:
            message = _(
                "Result: “%(typed)s” is no class of EN 13501-1 (A1, A2-s1,d0 … D-s3,d2, E, F). Put it right, or tick "
                "that the report writes it so.",
                typed=field.shown,
            )
            field.refuse(message)

    def validate_covers_not(self, field: Words) -> None:
        """A coupon never covers the piece."""
        short = len((field.data or "").split()) < FEWEST_WORDS
        if self.tested.data == COUPON and not field.is_blank() and short:
            field.refuse(_("What it does not cover: a coupon is not the piece. Say what of the piece was not tested."))


class LimitRow(Form):
    """How warm one part may get."""

    part = Choice(_l("Part"), required=True, choices=offered(PART_WORDS, _l("Choose …")), look="select")
    absent = Tick(_l("The piece has none"))
    limit_c = Figure(_l("At most"), unit="°C", low=LOWEST_LIMIT_C, high=HIGHEST_LIMIT_C)
    named = Words(_l("Product, or which part"), longest=200)
    known_from = Choice(_l("Known from"), choices=offered(KNOWN_WORDS, _l("Not said")), look="select")
    document = Words(_l("Document, number, date"), longest=300)


class LimitsForm(RoomForm):
    """How warm the parts of the piece may get."""

    kind = "heat_limits"

    limits = Lines(
        LimitRow,
        _l("Parts of the piece"),
        spare=1,
        most=MOST_PARTS,
        least=1,
        hint=_l("All five have a line. What nobody knows stays blank, and then no fire is met."),
    )
    note = Words(_l("Note"), rows=2, longest=2000)

    def validate_limits(self, field: Lines) -> None:
        """A part that is not there has no limit; a limit says where it is from."""
        for entry in field.entries:
            row: Any = entry.form
            if row.absent.data and not row.limit_c.is_blank():
                row.limit_c.refuse(_("At most: “the piece has none” is ticked. Take one of them out."))
            if not row.limit_c.is_blank() and not row.known_from.data:
                row.known_from.refuse(_("Known from: say where the limit is from; an estimate is one."))
