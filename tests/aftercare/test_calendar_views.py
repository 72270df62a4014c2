"""Care dates as calendar files, as a crew gets them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import icalendar

from siteapp.aftercare.services import record_visit, set_care_date
from tests import factories
from tests.handover.support import hand_over, ready

if TYPE_CHECKING:
    from siteapp.store.db import Store
    from tests.web_support import Browser


def test_a_pieces_dates_and_those_of_all_pieces(maker: Browser, fitter: Browser, store: Store) -> None:
    with store.write() as session:
        job_id = factories.a_job(session, client="Z. Quillfeather", address="77 Nowhere Row")
        first, second = ready(session, job_id=job_id), factories.a_piece(session)
        hand_over(session, first)
        writer = factories.a_writer(session)
        done = set_care_date(session, writer, piece=first, what="Nuts", due_on="2026-01-31", every_months=24)
        record_visit(
            session,
            factories.a_writer(session),
            piece=first,
            what="inspected",
            done_on="2026-02-10",
            done_by="A. Smith",
            care_date_id=done,
        )
        set_care_date(session, factories.a_writer(session), piece=second, what="Dust", due_on="2027-03-04")
        set_care_date(
            session, factories.a_writer(session), piece=second, what="Never", due_on="2027-03-04", dropped=True
        )
    answer = fitter.get(f"/p/{first.number}/aftercare/calendar.ics")
    assert answer.content_type == "text/calendar; charset=utf-8"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="care-{first.number}.ics"'
    (event,) = icalendar.Calendar.from_ical(answer.data).walk("VEVENT")
    assert event["DTSTART"].dt.isoformat() == "2028-02-10"
    assert event["UID"] == done
    both = icalendar.Calendar.from_ical(maker.get("/aftercare/calendar.ics").data).walk("VEVENT")
    assert {str(one["SUMMARY"]).partition(" – ")[0] for one in both} == {"Nuts", "Dust"}
    for data in (answer.data, maker.get("/aftercare/calendar.ics").data):
        assert b"Quillfeather" not in data
        assert b"Nowhere" not in data
    assert fitter.get("/aftercare/calendar.ics").status_code == 403
    assert "calendar.ics" in fitter.get(f"/p/{first.number}/aftercare").get_data(as_text=True)
