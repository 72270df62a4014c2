"""Heat tests begun, read, ended. The only code that writes their rows."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, TypedDict

from siteapp.heat.evidence.services import limits_now
from siteapp.heat.testing.models import (
    HAPPENED,
    OUTPUTS,
    SHUT_DOWN,
    SLIPPED,
    SPOTS,
    HeatEvent,
    HeatLog,
    HeatProbe,
    HeatReading,
    HeatReadings,
    HeatTest,
    HeatTestEnd,
)
from siteapp.heat.testing.state import CALCULATION, heat_test_now, judged
from siteapp.marks.services import rows as mark_rows
from siteapp.pieces.writing import append, refuse_foreign
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from siteapp.heat.testing.state import HeatTestNow
    from siteapp.marks.services import Mark
    from siteapp.pieces.services import PieceNow
    from siteapp.store.base import Body
    from siteapp.store.entries import PhotoUse, Writer

PROBES = "probes"  # slot of the photos that show where the probes sit
MOST_PROBES = 12


class HeatTestFacts(TypedDict):
    """How a test begins: °C, the instant ISO 8601 in UTC; None for what is not known."""

    lit_at: str
    fuel: str | None
    by_hand: bool | None
    output: str | None
    output_from: str | None
    room_c: float | None
    hottest_room_c: float | None
    hottest_from: str | None
    margin_c: float
    watched_by: str | None
    note: str | None


class ProbeFacts(TypedDict):
    """One probe: where it sits, what reads it, how far that may be off (°C)."""

    label: str
    spot: str
    placed: str | None
    thermometer: str | None
    error_c: float


def begin(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: HeatTestFacts,
    probes: Sequence[ProbeFacts],
    photos: Sequence[PhotoUse] = (),
    marks: Sequence[Mark] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Begin a heat test, or put its beginning right; returns the test's id.

    The marks on the photos are the probes' spots, in the order of the probes. Raises FieldProblem for two probes of one
    label and for answers that are not offered, StoreError when what is corrected is none of this piece's.
    """
    if facts["output"] is not None and facts["output"] not in OUTPUTS:
        raise FieldProblem("output", _("“%(said)s” is not an answer here.", said=facts["output"]))
    labels = [one["label"] for one in probes]
    if not 1 <= len(labels) <= MOST_PROBES:
        raise FieldProblem("probes", _("Probes: give 1 to %(most)s.", most=MOST_PROBES))
    if len(set(labels)) < len(labels):
        raise FieldProblem("probes", _("Probes: two have the same label. Give each its own."))
    for one in probes:
        if one["spot"] not in SPOTS:
            raise FieldProblem("probes", _("“%(said)s” is not an answer here.", said=one["spot"]))
    if len(marks) > len(probes):
        raise FieldProblem("marks", _("Marks: there are more spots on the photos than probes. Take one out."))
    refuse_foreign(session, piece, HeatTest, corrects, _no_test())
    bodies = [
        HeatTest(**facts),
        *(HeatProbe(position=place, **one) for place, one in enumerate(probes)),
        *mark_rows(marks, among={photo.sha256 for photo in photos}),
    ]
    entry = entries.append(
        session,
        writer,
        kind="heat_test",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=bodies,
        photos=photos,
        corrects=corrects,
    )
    return entry.id


def record_readings(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    test_id: str,
    minutes: float,
    celsius: Mapping[str, float],
    note: str | None = None,
    corrects: Sequence[str] = (),
) -> str:
    """Keep what the probes read at one time, `minutes` from lighting; returns the entry's id.

    Raises FieldProblem without a reading, StoreError when the test has ended (unless it is a correction) or has no such
    probe.
    """
    test = _open(session, piece, test_id, HeatReadings, corrects)
    if not celsius:
        raise FieldProblem("minutes", _("Readings: give at least one."))
    _known(test, celsius)
    rows = [
        HeatReading(position=place, probe=label, minutes=minutes, surface_c=value)
        for place, (label, value) in enumerate(celsius.items())
    ]
    return _append(session, writer, piece, "heat_readings", [HeatReadings(test_id=test_id, note=note), *rows], corrects)


def record_log(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    test_id: str,
    file_name: str,
    text: str,
    points: Mapping[str, Sequence[tuple[float, float]]],
    left_out: str | None,
    reader: str,
    corrects: Sequence[str] = (),
) -> str:
    """Keep a logger's file with what was read out of it: points by probe; returns the entry's id.

    Raises StoreError as `record_readings`.
    """
    test = _open(session, piece, test_id, HeatLog, corrects)
    _known(test, points)
    body = HeatLog(
        test_id=test_id,
        file_name=file_name,
        text=text,
        points=json.dumps({label: [list(one) for one in told] for label, told in points.items()}),
        left_out=left_out,
        reader=reader,
    )
    return append(session, writer, piece, "heat_log", body, corrects=corrects)


def record_event(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    test_id: str,
    what: str,
    minutes: float,
    probe: str | None = None,
    note: str | None = None,
    corrects: Sequence[str] = (),
) -> str:
    """Keep what happened, `minutes` from lighting; returns the entry's id.

    Raises FieldProblem for what is not offered, for a slip without its probe and for a second shut-down, StoreError as
    `record_readings`.
    """
    test = _open(session, piece, test_id, HeatEvent, corrects)
    if what not in HAPPENED:
        raise FieldProblem("what", _("“%(said)s” is not an answer here.", said=what))
    if (what == SLIPPED) != (probe is not None):
        raise FieldProblem("probe", _("Probe: say which one slipped, and only then."))
    if probe is not None:
        _known(test, {probe: 0.0})
    others = [one for one in test.events if one.said.what == SHUT_DOWN and one.entry.id not in corrects]
    if what == SHUT_DOWN and others:
        raise FieldProblem("what", _("It was shut down already. Correct that, or begin a new test for a new fire."))
    body = HeatEvent(test_id=test_id, what=what, minutes=minutes, probe=probe, note=note)
    return append(session, writer, piece, "heat_event", body, corrects=corrects)


def end(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    test_id: str,
    note: str | None = None,
    corrects: Sequence[str] = (),
) -> str:
    """End a heat test with what it comes to; returns the entry's id. Raises StoreError when it has ended already."""
    test = _open(session, piece, test_id, HeatTestEnd, corrects)
    found = judged(test, limits_now(session, piece.piece_id))
    body = HeatTestEnd(
        test_id=test_id,
        verdict=found.verdict,
        outcome=json.dumps(found.outcome()),
        calculation=CALCULATION,
        note=note,
    )
    entry_id = append(session, writer, piece, "heat_test_end", body, corrects=corrects)
    _open(session, piece, test_id, HeatTestEnd, [entry_id])
    return entry_id


def _open(session: Session, piece: PieceNow, test_id: str, body: type[Body], corrects: Sequence[str]) -> HeatTestNow:
    """The test, unless it has ended; a correction goes into one that has."""
    test = heat_test_now(session, piece.piece_id, test_id)
    if test is None:
        raise StoreError(_no_test())
    for entry_id in corrects:
        said = session.get(body, entry_id)
        if said is None or said.test_id != test_id:  # type: ignore[attr-defined]
            raise StoreError(_("What this corrects is not part of this heat test. Open the page again."))
    if test.end is not None and not corrects:
        raise StoreError(_("This heat test has ended. Correct what was recorded, or begin a new one."))
    return test


def _known(test: HeatTestNow, labels: Mapping[str, object]) -> None:
    there = {probe.label for probe in test.probes}
    for label in labels:
        if label not in there:
            raise StoreError(_("This heat test has no probe “%(label)s”. Open the page again.", label=label))


def _append(
    session: Session, writer: Writer, piece: PieceNow, kind: str, bodies: Sequence[Body], corrects: Sequence[str]
) -> str:
    entry = entries.append(
        session,
        writer,
        kind=kind,
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=bodies,  # type: ignore[arg-type]
        corrects=corrects,
    )
    return entry.id


def _no_test() -> str:
    return _("This piece has no such heat test. Open the page again.")
