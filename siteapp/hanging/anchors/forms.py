"""What may be typed of anchors: limits, units, the curing table of a resin's sheet as lines of text."""

from __future__ import annotations

import re
from typing import Any

from siteapp.hanging.anchors.models import EXPANSION, OTHER, RESIN, SCREW
from siteapp.pieces.slots import DETAILS
from siteapp.trade.anchors import HOLD_S, curing_rows
from siteapp.trade.anchors.setting import COLDEST_WALL_C, DEEPEST_MM, HOTTEST_WALL_C, MOST_TORQUE_NM, WIDEST_DRILL_MM
from siteapp.trade.errors import TradeError
from siteapp.web.fields import Choice, Day, Figure, Instant, Photos, RoomForm, Tick, Words
from siteapp.web.i18n import _, _l

LONGEST_LABEL = 40
LONGEST_NAME = 200
MOST_ROWS = 20
MOST_KN = 1000
LONGEST_HOLD_S = 86_400
MOST_MOVED_MM = 100

KIND_WORDS = {
    RESIN: _l("bonded with resin or mortar"),
    EXPANSION: _l("expansion anchor"),
    SCREW: _l("screw"),
    OTHER: _l("something else"),
}
YES, NO = "yes", "no"
ANSWERS = ((YES, _l("yes")), (NO, _l("no")), ("", _l("not known")))
# 5 240 · 5 °C: 240 min · -5: 12 h
ROW = re.compile(r"([-+−]?\d+(?:[.,]\d+)?)\s*(?:°\s*c)?\s*(?:[:;=]|\s)\s*(\d+(?:[.,]\d+)?)\s*(min|h)?", re.IGNORECASE)
MINUTES_AN_HOUR = 60


class Curing(Words):
    """A curing table, a row a line: a temperature in °C, then minutes (or hours with an h). `rows` holds its pairs."""

    rows_read: tuple[tuple[float, float], ...] = ()

    def read(self, text: str) -> str | None:
        """The text as it was typed; `rows_read` then holds its rows (°C, minutes), the coldest first."""
        kept = super().read(text)
        found = []
        for at, line in enumerate((kept or "").splitlines(), 1):
            if not line.strip():
                continue
            row = ROW.fullmatch(line.strip())
            if row is None:
                message = _(
                    "%(label)s, line %(number)s: “%(line)s” is not taken. Give a temperature in °C and minutes, such "
                    "as 5 240.",
                    label=self.label.text,
                    number=at,
                    line=line.strip()[:40],
                )
                raise ValueError(message)
            wall_c, time = (float(part.replace(",", ".").replace("−", "-")) for part in row.group(1, 2))
            found.append((wall_c, time * (MINUTES_AN_HOUR if (row[3] or "").lower() == "h" else 1)))
        if len(found) > MOST_ROWS:
            message = _(
                "%(label)s: %(count)s lines are too many. Give at most %(most)s.",
                label=self.label.text,
                count=len(found),
                most=MOST_ROWS,
            )
            raise ValueError(message)
        try:
            self.rows_read = curing_rows(found)
        except TradeError as error:
            raise ValueError(_("%(label)s: %(what)s.", label=self.label.text, what=error)) from None
        return kept


def curing_words(rows: Any) -> str:
    """Rows of a curing table as one would type them."""
    return "\n".join(f"{row.wall_c:g} {row.minutes:g}" for row in rows)


def yes_no(said: bool | None) -> str:  # noqa: FBT001 - one of three answers
    """An answer as the form has it."""
    return {True: YES, False: NO}.get(said, "")  # type: ignore[call-overload]


class SetForm(RoomForm):
    """One anchor as it was set; what is left blank is not known."""

    kind = "anchor_set"

    label = Words(
        _l("Anchor"),
        required=True,
        longest=LONGEST_LABEL,
        hint=_l("The hanging point's label. Several behind one point: A/1, A/2 …"),
    )
    anchor_kind = Choice(_l("Kind"), choices=tuple(KIND_WORDS.items()), look="select", required=True)
    product = Words(_l("Product and size"), required=True, longest=LONGEST_NAME, hint=_l("As on its packing."))
    batch = Words(_l("Batch"), longest=100)
    expires_on = Day(_l("Use the resin by"), future=True, hint=_l("Where it has a month only, the last day of it."))
    drilled_mm = Figure(_l("Drill"), unit="mm", low=1, high=WIDEST_DRILL_MM)
    embedment_mm = Figure(
        _l("Embedment"), unit="mm", low=1, high=DEEPEST_MM, hint=_l("Measured in the sound wall, without plaster.")
    )
    cleaned = Choice(_l("Hole cleaned as the sheet asks"), choices=ANSWERS)
    cleaning = Words(_l("How"), longest=LONGEST_NAME, hint=_l("Blown twice, brushed twice, blown twice …"))
    wall_c = Figure(
        _l("Wall at its coldest"),
        unit="°C",
        low=COLDEST_WALL_C,
        high=HOTTEST_WALL_C,
        hint=_l("In the hole, and until the anchor has cured."),
    )
    set_at = Instant(_l("Set at"), hint=_l("Blank: now, as this is sent."))
    curing = Curing(
        _l("Curing table of the sheet"),
        rows=4,
        longest=1000,
        hint=_l("A line a row: °C, then minutes. 5 240 is 240 min from 5 °C up. Last, the warmest wall it covers."),
    )
    set_by = Words(_l("Set by"), required=True, longest=LONGEST_NAME)
    photos = Photos(_l("Photos"), slot=DETAILS, hint=_l("Packing with batch and date, the hole, the anchor."))
    from_form = Tick(_l("From the form that came back"))
    note = Words(_l("Note"), rows=2, longest=4000)


class TightenForm(RoomForm):
    """Nuts turned up, marked, and the piece locked."""

    kind = "anchor_tightened"

    labels = Words(
        _l("Order"), required=True, rows=4, longest=4000, hint=_l("One label a line, as they were turned up.")
    )
    torque_nm = Figure(_l("Torque"), unit="N m", low=0.1, high=MOST_TORQUE_NM)
    wrench = Words(_l("Torque wrench"), longest=LONGEST_NAME)
    marked = Tick(_l("Every nut is marked across nut and thread"))
    locked = Choice(_l("Locked against lifting off"), choices=ANSWERS)
    lock = Words(_l("How it is locked"), longest=LONGEST_NAME)
    done_by = Words(_l("By"), required=True, longest=LONGEST_NAME)
    photos = Photos(_l("Photos"), slot=DETAILS, hint=_l("Each nut with its mark, and the lock."))
    note = Words(_l("Note"), rows=2, longest=4000)


class ProofForm(RoomForm):
    """One anchor pulled and held; what is left blank is not known."""

    kind = "anchor_proof"

    label = Words(_l("Anchor"), required=True, longest=LONGEST_LABEL)
    asked_kn = Figure(_l("Load asked for"), unit="kN", low=0.001, high=MOST_KN)
    load_kn = Figure(_l("Load reached"), unit="kN", low=0.001, high=MOST_KN, required=True)
    held_s = Figure(
        _l("Held for"), unit="s", low=0, high=LONGEST_HOLD_S, hint=_l("At least %(time)s s (ours).", time=f"{HOLD_S:g}")
    )
    movement_mm = Figure(_l("Moved"), unit="mm", low=0, high=MOST_MOVED_MM, hint=_l("Under the load, on a dial."))
    allowed_mm = Figure(
        _l("May move"), unit="mm", low=0, high=MOST_MOVED_MM, hint=_l("As whoever designed the anchors says.")
    )
    gauge = Words(_l("Gauge"), longest=LONGEST_NAME, hint=_l("Make and number."))
    calibrated_until = Day(_l("Gauge calibrated until"), future=True, hint=_l("As on its certificate."))
    tested_at = Instant(_l("When"), hint=_l("Blank: now, as this is sent."))
    tested_by = Words(_l("Pulled by"), required=True, longest=LONGEST_NAME)
    sacrificed = Tick(
        _l("A test anchor that carries nothing"), hint=_l("It is kept, and does not count among those pulled.")
    )
    photos = Photos(_l("Photos"), slot=DETAILS, hint=_l("The gauge at its load."))
    from_form = Tick(_l("From the form that came back"))
    note = Words(_l("Note"), rows=2, longest=4000)


SET_FACTS = (
    "label",
    "product",
    "batch",
    "drilled_mm",
    "embedment_mm",
    "cleaning",
    "wall_c",
    "set_by",
    "note",
)
TIGHTEN_FACTS = ("labels", "torque_nm", "wrench", "marked", "lock", "done_by", "note")
PROOF_FACTS = (
    "label",
    "asked_kn",
    "load_kn",
    "held_s",
    "movement_mm",
    "allowed_mm",
    "gauge",
    "tested_by",
    "note",
)
