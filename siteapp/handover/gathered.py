"""What the rooms before recorded, in a certificate's own terms: agreed, arrived, checked, released, left, coated."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.arrival.rules import indicators_in_words
from siteapp.arrival.services import arrivals
from siteapp.checks import wording
from siteapp.checks.lists import FIXED
from siteapp.documents.certificate import records
from siteapp.jobs.redaction import says_no_more
from siteapp.people.services import names
from siteapp.pieces.services import agreed_of
from siteapp.snags.services import snags
from siteapp.trade.verdicts import MET, NOT_MET
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.checks.state import LineState, ListState, Release, StageState
    from siteapp.finishing.models import Coat
    from siteapp.finishing.state import SessionState, Told
    from siteapp.pieces.services import PieceNow
    from siteapp.snags.services import SnagNow


def people_in(session: Session, stages: Iterable[StageState], states: Iterable[SessionState]) -> dict[str, str]:
    """The names, by id, of everybody who answered a check, released one or put on a coat."""
    found: list[str | None] = []
    for stage in stages:
        found += [one.by_id for line in stage.lines for one in line.standing]
        found += [one.by_id for line in stage.lines for one in line.releases]
        found += [one.by_id for opened in stage.lists for one in opened.releases]
    found += [told.entry.by_id for state in states for told in state.coats]
    return names(session, found)


def agreed(
    session: Session, piece_id: str, states: Iterable[SessionState], secrets: Sequence[str]
) -> tuple[records.Agreed, ...]:
    """What the client agreed to, by day: stages and changes, and the surfaces finished on site.

    The client is called just that where one of `secrets` is all that a name says.
    """
    told = [
        records.Agreed(one.said.what, one.said.agreed_on, one.said.evidence, one.said.agreed_by, one.said.said)
        for one in agreed_of(session, piece_id)
    ]
    for state in states:
        what = _("Finish of %(zone)s", zone=state.begun.said.zone)
        told += [
            records.Agreed(what, day_of(close.at), None, close.said.client_name, close.said.client_words)
            for close in state.closes
            if close.said.client_yes or (close.said.client_yes is None and close.said.client_words)
        ]
    called = [
        records.Agreed(one.what, one.on, one.evidence, _name(one.by, secrets) if one.by else None, one.said)
        for one in told
    ]
    return tuple(sorted(called, key=lambda one: one.on or ""))


def arrival(session: Session, piece: PieceNow) -> records.Arrival:
    """The condition in which the piece reached the site last."""
    found = arrivals(session, piece.piece_id)
    if not found:
        return records.Arrival()
    last = found[0]
    by = names(session, [last.entry.by_id]).get(last.entry.by_id or "")
    at = instant_of(last.entry.happened_at)
    return records.Arrival(at, last.said.found, indicators_in_words(last.said), last.said.note, by)


def lines_told(stages: Iterable[StageState]) -> list[LineState]:
    """The checks that a certificate names: all of the last stage; of earlier ones hold points and what was not met."""
    return [
        line for stage in stages for line in stage.lines if stage.stage == FIXED or line.hold or line.verdict == NOT_MET
    ]


def answer(line: LineState, people: Mapping[str, str]) -> records.Answer:
    """One check as it stands, with who released it if somebody did."""
    given = line.answer
    given_up = [one for one in line.releases if one.stands and one.released] if line.released else []
    return records.Answer(
        line=line.words,
        verdict=line.verdict,
        list_name=line.list_name,
        reading=(given.measured or None) if given else None,
        by=people.get(given.by_id or "") if given else None,
        at=instant_of(given.at) if given else None,
        told=(wording.told(given) or None) if given else None,
        hold_point=line.hold,
        released_by=people.get(given_up[-1].by_id or "") if given_up else None,
    )


def let_go(stages: Iterable[StageState]) -> list[tuple[ListState, LineState | None, Release]]:
    """Every release that stands, with its list and its line (None: the whole list), in the order of the lists."""
    return [
        (opened, line, one)
        for stage in stages
        for opened in stage.lists
        for line, given in [(None, opened.releases), *((line, line.releases) for line in opened.lines)]
        for one in given
        if one.stands and one.released
    ]


def releases(stages: Iterable[StageState], people: Mapping[str, str]) -> tuple[records.Release, ...]:
    """Every release that stands, in a certificate's terms."""
    return tuple(
        records.Release(
            one.reason, line.words if line else None, opened.name, people.get(one.by_id or ""), instant_of(one.at)
        )
        for opened, line, one in let_go(stages)
    )


def left_open(stages: Iterable[StageState], found: Iterable[SnagNow]) -> list[str]:
    """The checks that are not met, in words, hold points first; without those that a snag of `found` stands for."""
    named = {(one.said.list_id, one.said.line_key) for one in found if one.open or one.left}
    lines = sorted(lines_told(stages), key=lambda line: not line.hold)
    return [
        f"{line.words} ({_('%(verdict)s, released', verdict=_(line.verdict)) if line.released else _(line.verdict)})"
        for line in lines
        if line.verdict != MET and (line.list_id, line.key) not in named
    ]


def snags_left(session: Session, piece_id: str, secrets: Sequence[str]) -> tuple[records.SnagLeft, ...]:
    """The snags that are open or accepted as left, the accepted ones first."""
    found = snags(session, piece_id)
    left = [
        records.SnagLeft(
            one.said.words,
            one.said.place,
            _name(one.ended.accepted_by or "", secrets),
            one.ended.said,
            instant_of(one.end.happened_at),
        )
        for one in found
        if one.left and one.ended and one.end
    ]
    return (*left, *(records.SnagLeft(one.said.words, one.said.place) for one in found if one.open))


def coat(state: SessionState, told: Told[Coat], people: Mapping[str, str]) -> records.Coat:
    """One coat with the climate it went on in, that reading corrected since or not."""
    said = told.said
    known = (*state.climates, *(one for one in state.corrected if one.entry.kind == "climate"))
    read: Any = next((one.said for one in known if one.entry.id == said.climate_id), None)
    climate = {
        name: getattr(read, name)
        for name in ("air_c", "relative_humidity", "surface_c", "dew_point_c", "margin_c", "limits_source")
        if read is not None
    }
    return records.Coat(
        product=said.product,
        area=said.zone,
        number=said.number,
        batch=said.batch,
        at=instant_of(told.at),
        by=people.get(told.entry.by_id or ""),
        wet_um=said.wet_um,
        verdict=said.climate_verdict,
        reason=said.reason,
        note=said.note,
        dry_um=said.dry_um,
        dry_low_um=said.dry_low_um,
        target_um=said.target_um,
        film_how=said.film_how,
        film_verdict=said.film_verdict,
        **climate,
    )


def day_of(instant: datetime) -> str:
    """The day of an instant on this laptop, ISO 8601."""
    return instant.astimezone().date().isoformat()


def instant_of(instant: datetime) -> str:
    """An instant on this laptop's clock to the minute, ISO 8601 with its zone."""
    return instant.astimezone().isoformat(timespec="minutes")


def _name(name: str, secrets: Sequence[str]) -> str:
    return _("the client") if says_no_more(name, secrets) else name
