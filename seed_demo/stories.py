"""What happens to each piece of the demo, as far as its journey has come."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from seed_demo import pieces as said
from seed_demo import work
from siteapp.aftercare import services as aftercare
from siteapp.arrival import services as arrival
from siteapp.checks import services as checks
from siteapp.condition.services import record_look
from siteapp.dispatch.services import describe_crate, record_dispatch
from siteapp.finishing import services as finishing
from siteapp.handover import issuing
from siteapp.handover import services as handover
from siteapp.handover.record import Choices
from siteapp.marks.services import Mark, set_marks
from siteapp.pieces import slots
from siteapp.pieces.services import PieceFacts, agree, make_piece
from siteapp.snags.services import accept_snag, raise_snag
from siteapp.web.dates import now

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from seed_demo.filling import Filling
    from siteapp.checks.state import LineState
    from siteapp.store.entries import Writer

SECOND = "Wren Oakhollow"
# What a line of a list is photographed with, by its key; where none is named the metalwork is.
SHOWN = {"nuts-marked": "torque", "labels": "back", "crate-closed": "crate"}


def made(go: Filling, key: str, job: str, *photos: tuple[str, str]) -> None:
    """A piece comes to be, with its particulars and photos."""
    facts = PieceFacts(**said.PIECES[key], photos=go.photos(*((name, "piece", caption) for name, caption in photos)))
    go.numbers[key] = go.write(f"piece: {key}", make_piece, job_id=go.jobs[job], facts=facts)
    for number, one in enumerate(work.AGREED.get(key, [])):
        go.of_piece(key, f"agreed {number}", agree, facts=one)


def crated(go: Filling, key: str) -> None:
    """Looked over and packed."""
    photos = [(key, slots.FRONT), ("back", slots.BACK), ("edge", slots.EDGES), ("plate", slots.HARDWARE)]
    go.of_piece(key, "crate", describe_crate, facts=work.CRATES[key])
    go.of_piece(
        key,
        "dispatch",
        record_dispatch,
        found="nothing found",
        packed_by="Tobin Ashfield",
        note=None,
        photos=go.photos(*photos, ("target", slots.TARGET)),
    )


def answered(go: Filling, key: str, stage: str, *, leave: tuple[str, ...] = ()) -> None:
    """Every line of a stage met, but for those in `leave`."""
    go.of_piece(key, f"lists of {stage}", checks.open_lists, stage=stage)
    with go.store.read() as session:
        lines = checks.state(session, go.piece(session, key), stage).lines
    for line in lines:
        if line.key in leave or line.verdict == "met":
            continue
        if line.calculation is None:
            go.of_piece(key, line.key, _answer, line=line, photo=_shown(go, line), by="fitter", minutes=2)


def first_answers(go: Filling, key: str) -> None:
    """As far as the first hold point, which nobody could measure yet."""
    go.of_piece(key, "lists of fixed", checks.open_lists, stage=checks.FIXED)
    for line_key, facts in work.FIRST_ANSWERS:
        go.of_piece(key, line_key, _answer_key, line_key=line_key, facts=facts, by="fitter", minutes=6)


def arrived(go: Filling, key: str, seen: str, facts: dict[str, Any] = work.ARRIVAL, crate: str = "crate") -> str:
    """The piece at the site, unwrapped when it was warm enough."""
    photos = go.photos(
        (crate, slots.CRATE, "off the van, before it was opened"),
        (seen, slots.FRONT, "unwrapped"),
        ("back", slots.BACK),
        ("edge on site", slots.EDGES),
    )
    entry_id: str = go.of_piece(key, "arrival", arrival.record_arrival, photos=photos, by="fitter", **facts)
    meter = go.photos(("climate meter", "meter"))
    read = {"arrival_id": entry_id, "facts": work.UNWRAP, "photos": meter}
    # After the hours that the crate's record asks for.
    go.of_piece(key, "unwrap", arrival.record_unwrap, by="fitter", minutes=125, **read)
    return entry_id


def damaged(go: Filling, key: str, arrival_id: str) -> None:
    """Marks on the photos of an arrival, and the snag that comes of them."""
    chipped = go.photo("knots chipped")
    marks = [
        Mark(chipped, 0.887, 0.83, "chip", "25 × 20 mm, down to the laminate; the piece of it is in the bag"),
        Mark(chipped, 0.62, 0.2, "abrasion", "rubbed by the blanket, 60 mm; wipes off"),
    ]
    go.of_piece(key, "marks", set_marks, of_id=arrival_id, marks=marks)
    photos = go.photos(("knots chipped", "snag"))
    words = "Lower right corner chipped on the way; fill and wash before it is hung."
    go.of_piece(key, "snag", raise_snag, words=words, place="lower right corner", photos=photos, marks=marks[:1])


def coated(go: Filling, key: str, *, coats: int, products: dict[str, tuple[str, str]], close: str | None) -> None:
    """A finishing session: climate, coats of the wash, and the client's yes when it was ended with photo `close`."""
    session_id = go.of_piece(
        key,
        "session",
        finishing.start_session,
        zone="whole face",
        purpose="joint line filled, mineral wash",
        ventilation=work.VENTILATION,
        photos=go.photos(("close", "before", "before the first coat")),
    )
    product_id, batch_id = products["wash"]
    for number in range(1, coats + 1):
        facts = work.CLIMATE
        meter = go.photos(("climate meter", "meter", "the meter at the wall"))
        go.of_piece(
            key, f"climate {number}", finishing.record_climate, session_id=session_id, facts=facts, photos=meter
        )
        coat = {
            "product_id": product_id, "batch_id": batch_id, "product": None, "batch": None, "number": number,
            "zone": "whole face", "wet_um": 90.0, "recoat_hours": None, "note": None,
            "reason": None if number == 1 else "Dry to the touch after two hours with the fan; the sheet allows it.",
        }  # fmt: skip
        go.of_piece(key, f"coat {number}", finishing.apply_coat, session_id=session_id, facts=coat, minutes=90)
    if close:
        after = go.photos((close, "after", "after the last coat"))
        go.of_piece(key, "close", finishing.close_session, session_id=session_id, photos=after, **work.CLOSE)


def left_open(go: Filling, key: str, words: str, accepted_by: str | None = None) -> None:
    """A snag, and perhaps the client's word that it may stay."""
    snag_id = go.of_piece(key, "snag", raise_snag, words=words, photos=go.photos(("dunlins raking", "snag")))
    if accepted_by:
        go.of_piece(key, "accepted", accept_snag, snag_id=snag_id, accepted_by=accepted_by, said="It may stay.")


def handed_over(go: Filling, key: str, seen: str, why: str | None = None) -> None:
    """Looked over once more, signed, certified; a second certificate for `why`."""
    photos = [(seen, slots.FRONT), ("back", slots.BACK), ("edge on site", slots.EDGES), ("target", slots.TARGET)]
    go.of_piece(
        key,
        "condition",
        record_look,
        occasion="handover",
        found="nothing found",
        light="Daylight from the left, then a lamp laid flat along the wall",
        photos=go.photos(*photos, ("dunlins raking", slots.RAKING)) if seen == "dunlins after" else go.photos(*photos),
    )
    go.of_piece(
        key,
        "handover",
        handover.hand_over,
        signature_sha256=None,
        conditions=["Nothing is hung within 300 mm of it."],
        further=[handover.FurtherSignature("Ines Marrow", "maker")],
        **work.HANDOVER,
    )
    choices = Choices(**work.CERTIFICATE, hung_on=go.clock.date().isoformat(), invented=True)
    _certificate(go, key, "certificate", choices)
    if why:
        _certificate(go, key, "certificate again", choices, why)


def _certificate(go: Filling, key: str, what: str, choices: Choices, why: str | None = None) -> None:
    """Made and signed first, then issued, as the page does it."""
    with go.store.read() as session:
        made = issuing.make_certificate(
            session,
            settings=go.settings,
            photos=go.folder,
            piece=go.piece(session, key),
            choices=choices,
            why=why,
        )
    go.of_piece(key, what, issuing.issue_certificate, choices=choices, why=why, made=made)


def cared_for(go: Filling, key: str, *, due_in_days: int) -> None:
    """A date to look after it."""
    due = (now().date() + timedelta(days=due_in_days)).isoformat()
    go.of_piece(
        key, "care date", aftercare.set_care_date, what="Nut marks, joint and face", due_on=due, every_months=24
    )


def _answer(session: Session, writer: Writer, *, piece: Any, line: LineState, photo: Any) -> str:
    return checks.answer(
        session,
        writer,
        piece=piece,
        list_id=line.list_id,
        line_key=line.key,
        verdict="met",
        reading=work.READINGS.get(line.key) if line.quantity else None,
        instrument=work.INSTRUMENTS.get(line.key),
        note=work.NOTES.get(line.key),
        photos=photo,
        second_name=SECOND if line.second else None,
    )


def _answer_key(session: Session, writer: Writer, *, piece: Any, line_key: str, facts: dict[str, Any]) -> str:
    line = next(line for line in checks.state(session, piece).lines if line.key == line_key)
    return checks.answer(session, writer, piece=piece, list_id=line.list_id, line_key=line_key, **facts)


def _shown(go: Filling, line: LineState) -> Any:
    return go.photos((SHOWN.get(line.key, "plate"), "check")) if line.photo else []
