"""Samples, readings and the client's answer: recorded. The only code that writes their rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from siteapp.finishing.colour.models import AnsweredReading, ColourAnswer, ColourReading, ColourSample
from siteapp.finishing.colour.state import CALCULATION, ColourNow, colour_now, colours
from siteapp.finishing.names import same
from siteapp.pieces.writing import append, refuse_foreign
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.trade.colour import SOURCE, Lab
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

__all__ = ["ColourNow", "answer", "colour_now", "colours", "make_sample", "read"]


class SampleFacts(TypedDict):
    """The agreed sample as it was measured; None for what was not."""

    name: str
    made_of: str | None
    zones: str | None
    l: float | None  # noqa: E741 - CIE 1976 calls it so
    a: float | None
    b: float | None
    gloss: float | None
    gloss_deg: int | None
    instrument: str | None
    illuminant: str | None
    observer: str | None
    geometry: str | None
    gloss_instrument: str | None
    tolerance: float | None
    gloss_tolerance: float | None
    tolerance_from: str | None
    note: str | None
    dropped: bool


class ReadingFacts(TypedDict):
    """One reading at one spot of a zone; None for what was not read."""

    zone: str
    spot: str | None
    l: float | None  # noqa: E741
    a: float | None
    b: float | None
    gloss: float | None
    gloss_deg: int | None
    instrument: str | None
    illuminant: str | None
    observer: str | None
    geometry: str | None
    gloss_instrument: str | None
    note: str | None


def make_sample(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: SampleFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep a sample, or say something else of one (also that it counts no more); returns its id.

    Raises TradeError for a colour outside its range, FieldProblem on `name` when the piece has such a sample already,
    StoreError when what is corrected is none of this piece's, Superseded when it was corrected meanwhile.
    """
    _refuse_bad(facts)
    refuse_foreign(session, piece, ColourSample, corrects, _no_sample())
    sample_id = writer.new_id("sample")
    for entry_id in corrects:
        before = session.get(ColourSample, entry_id)
        sample_id = before.sample_id if before else sample_id
    body = ColourSample(sample_id=sample_id, **facts)
    append(session, writer, piece, "colour_sample", body, photos=photos, corrects=corrects)
    for other in colours(session, piece.piece_id):
        if other.sample.sample_id != sample_id and same(other.sample.name, facts["name"]):
            raise FieldProblem("name", _("Name: this piece has a sample of that name. Revise that one."))
    return sample_id


def read(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    sample_id: str,
    facts: ReadingFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep a reading against a sample, or put one right; returns its entry's id.

    Raises TradeError for a colour outside its range, FieldProblem on `l` when neither colour nor sheen was read,
    StoreError when the sample or what is corrected is none of this piece's.
    """
    _refuse_bad(facts)
    if facts["l"] is None and facts["gloss"] is None:
        raise FieldProblem("l", _("L*: give colour, sheen, or both."))
    if colour_now(session, piece.piece_id, sample_id) is None:
        raise StoreError(_no_sample())
    refuse_foreign(session, piece, ColourReading, corrects, _no_sample())
    body = ColourReading(sample_id=sample_id, **facts)
    return append(session, writer, piece, "colour_reading", body, photos=photos, corrects=corrects)


def answer(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    sample_id: str,
    yes: bool,
    client_name: str,
    client_words: str | None,
    light: str | None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep the client's yes or no to a colour with the figures that stand now; returns its entry's id.

    Raises FieldProblem on `client_words` for a no without words, StoreError when the sample is none of this piece's.
    """
    now = colour_now(session, piece.piece_id, sample_id)
    if now is None:
        raise StoreError(_no_sample())
    if not yes and not client_words:
        raise FieldProblem("client_words", _("What the client said: this is needed with a no."))
    refuse_foreign(session, piece, ColourAnswer, corrects, _no_sample())
    body = ColourAnswer(
        sample_id=sample_id,
        yes=yes,
        client_name=client_name,
        client_words=client_words,
        light=light,
        delta_e=now.worst,
        mean_delta_e=now.mean_delta_e,
        gloss_difference=now.gloss_difference,
        tolerance=now.sample.tolerance,
        gloss_tolerance=now.sample.gloss_tolerance,
        verdict=now.verdict,
        reasons="; ".join(now.reasons) or None,
        source=SOURCE,
        calculation=CALCULATION,
    )
    rows = [AnsweredReading(position=place, reading_id=one.entry.id) for place, one in enumerate(now.readings)]
    entry = entries.append(
        session,
        writer,
        kind="colour_answer",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[body, *rows],
        photos=photos,
        corrects=corrects,
    )
    return entry.id


def _refuse_bad(facts: SampleFacts | ReadingFacts) -> None:
    """L*, a* and b* together or none of them, inside their ranges; sheen with its angle."""
    given = [facts["l"], facts["a"], facts["b"]]
    if any(value is None for value in given) and any(value is not None for value in given):
        raise FieldProblem("l", _("L*, a*, b*: give all three, or none."))
    if facts["l"] is not None and facts["a"] is not None and facts["b"] is not None:
        Lab(facts["l"], facts["a"], facts["b"])
    if (facts["gloss"] is None) != (facts["gloss_deg"] is None):
        raise FieldProblem("gloss", _("Sheen: give gloss units and their angle, or neither."))


def _no_sample() -> str:
    return _("This piece has no such sample. Open the page again.")
