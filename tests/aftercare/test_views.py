"""Aftercare as a maker and a fitter meet it, and what nobody else ever sees of it."""

from __future__ import annotations

import io
import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from siteapp.aftercare import services
from siteapp.web.dates import day_words, today
from tests import factories
from tests.aftercare import support
from tests.documents import reading
from tests.handover import support as journey

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

SECRETS = ("B. Buyer", "buyer@nowhere.example", "7 Elsewhere Lane", "Carriers (invented)")


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece handed over, beside another with a keeper of its own."""
    with store.write() as session:
        support.hand_over(session, noise.piece)
        support.keeper(session, noise.piece, name="N. Noise (invented)")
        return support.handed_over(session)


def a_jpeg() -> io.BytesIO:
    made = io.BytesIO()
    Image.new("RGB", (64, 48), (120, 90, 60)).save(made, "JPEG")
    made.seek(0)
    return made


def test_a_care_date_is_set_answered_by_a_visit_and_comes_round(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    home = f"/p/{piece.number}/aftercare"
    assert "No care date is set" in fitter.get(home).get_data(as_text=True)
    late = today() - timedelta(days=3)
    answer = maker.post(f"{home}/care-date", {"what": "Nuts & joint", "due_on": late.isoformat(), "every_months": "24"})
    assert (answer.status_code, answer.location) == (303, f"{home}#dates")
    page = fitter.get(home).get_data(as_text=True)
    assert f"Overdue by 3 days: it was due on {day_words(late)}." in page
    assert "Every 24 months after it was done" in page
    asked = re.search(rf'href="({home}/visit\?answers=[0-9a-f-]+)"', page)
    assert asked
    form = fitter.get(asked[1]).get_data(as_text=True)
    chosen = re.search(r'<option value="([0-9a-f-]{36})" selected>Nuts &amp; joint', form)
    assert chosen
    assert 'value="Fitter"' in form
    said = {"what": "inspected", "done_on": today().isoformat(), "done_by": "Fitter", "found": "all <tight>"}
    answer = fitter.post(f"{home}/visit", said | {"care_date_id": chosen[1], "photos": (a_jpeg(), "nut.jpg")})
    assert (answer.status_code, answer.location) == (303, f"{home}#visits")
    page = fitter.get(home).get_data(as_text=True)
    for told in ("all &lt;tight&gt;", "Nuts &amp; joint", f"last done on {day_words(today())}", "/320"):
        assert told in page
    assert "Overdue" not in page
    with store.read() as session:
        (care,) = services.care_dates(session, piece.piece_id)
    assert care.due_on is not None
    assert (care.due_on.year - today().year) == 2


BAD = [
    ("care-date", {"what": "", "due_on": "2027-01-01"}, "What is to be done:", "2027-01-01"),
    ("care-date", {"what": "Kept words", "due_on": ""}, "Next on:", "Kept words"),
    ("care-date", {"what": "Kept words", "due_on": "31/12/2027"}, "Next on: “31/12/2027” is not taken.", "Kept words"),
    (
        "care-date",
        {"what": "Kept words", "due_on": "2027-01-01", "every_months": "601"},
        "“601” is not taken. Give a whole number from 1 to 600.",
        "Kept words",
    ),
    (
        "care-date",
        {"what": "Kept words", "due_on": "2027-01-01", "every_months": "1.5"},
        "“1.5” is not taken.",
        "Kept words",
    ),
    ("visit", {"what": "", "done_on": "2026-01-01", "done_by": "Kept name"}, "What was done: choose one.", "Kept name"),
    (
        "visit",
        {"what": "admired", "done_on": "2026-01-01", "done_by": "Kept name"},
        "What was done: “admired” is not taken.",
        "Kept name",
    ),
    (
        "visit",
        {"what": "cleaned", "done_on": "2199-01-01", "done_by": "Kept name"},
        "Day: “2199-01-01” is not taken.",
        "Kept name",
    ),
    (
        "visit",
        {"what": "cleaned", "done_on": "2026-01-01", "done_by": "Kept name", "care_date_id": "of another piece"},
        "Care date that it answers: “of another piece” is not taken.",
        "Kept name",
    ),
    (
        "visit",
        {"what": "cleaned", "done_on": "2026-01-01", "done_by": "", "found": "Kept find"},
        "By whom",
        "Kept find",
    ),
    ("move", {"place": "", "moved_on": "2026-01-01", "address": "Kept lane"}, "Place", "Kept lane"),
    ("move", {"place": "x" * 201, "moved_on": "2026-01-01", "address": "Kept lane"}, "201 characters", "Kept lane"),
    ("move", {"place": "a hall", "moved_on": "2199-01-01", "address": "Kept lane"}, "Day: “2199-01-01”", "Kept lane"),
    ("keeper", {"name": "", "since": "2026-01-01", "contact": "Kept contact"}, "Name", "Kept contact"),
    ("keeper", {"name": "B", "since": "yesterday", "contact": "Kept contact"}, "“yesterday”", "Kept contact"),
    ("keeper", {"name": "B\x07", "since": "2026-01-01", "contact": "Kept contact"}, "U+0007", "Kept contact"),
]


def test_what_cannot_be_kept_is_named_and_everything_typed_stays(maker: Browser, store: Store, piece: PieceNow) -> None:
    for form, typed, told, kept in BAD:
        answer = maker.post(f"/p/{piece.number}/aftercare/{form}", typed)
        page = answer.get_data(as_text=True)
        assert answer.status_code == 422, (form, typed)
        assert told in page, (form, typed)
        assert kept in page, (form, typed)
    with store.read() as session:
        for read in (services.care_dates, services.later_visits, services.moves, services.keepers):
            assert read(session, piece.piece_id) == []  # type: ignore[operator] # each reads a piece


def test_a_file_that_is_no_photo_is_refused_beside_its_field(fitter: Browser, piece: PieceNow) -> None:
    said = {"what": "cleaned", "done_on": "2026-01-01", "done_by": "Kept name", "photos": (io.BytesIO(b"no"), "a.jpg")}
    answer = fitter.post(f"/p/{piece.number}/aftercare/visit", said)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert 'id="photos-error"' in page
    assert "Kept name" in page


def test_a_piece_not_handed_over_says_so_and_keeps_no_visit(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    home = f"/p/{piece.number}/aftercare"
    assert "has not been handed over yet" in maker.get(home).get_data(as_text=True)
    said = {"what": "cleaned", "done_on": "2026-01-01", "done_by": "Kept name"}
    answer = maker.post(f"{home}/visit", said)
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert "aftercare begins with the handover" in page
    assert "Kept name" in page


def test_every_form_puts_right_what_it_said_and_who_comes_second_is_told(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    home = f"/p/{piece.number}/aftercare"
    with store.write() as session:
        ids = {
            "care-date": support.care(session, piece),
            "visit": support.visit(session, piece),
            "move": support.move(session, piece),
            "keeper": support.keeper(session, piece),
        }
    typed = {
        "care-date": {"what": "Mine", "due_on": "2027-02-01"},
        "visit": {"what": "cleaned", "done_on": "2026-01-02", "done_by": "Mine"},
        "move": {"place": "Mine", "moved_on": "2026-03-02"},
        "keeper": {"name": "Mine", "since": "2026-04-03"},
    }
    shown = {"care-date": "Nut marks", "visit": "T. Hale", "move": "7 Elsewhere Lane", "keeper": "buyer@nowhere"}
    for form, entry_id in ids.items():
        page = maker.get(f"{home}/{form}?corrects={entry_id}").get_data(as_text=True)
        assert f'name="corrects" value="{entry_id}"' in page
        assert shown[form] in page
        assert maker.post(f"{home}/{form}", typed[form] | {"corrects": entry_id}).status_code == 303
        late = maker.post(f"{home}/{form}", typed[form] | {"corrects": entry_id})
        assert late.status_code == 409
        assert "Somebody else changed this" in late.get_data(as_text=True)
        assert maker.get(f"{home}/{form}?corrects={entry_id}").status_code == 404
        assert maker.get(f"{home}/{form}?corrects=nonsense").status_code == 404
    page = maker.get(home).get_data(as_text=True)
    assert page.count("Corrected once") == 1
    assert "it said:" in page


def test_a_date_is_dropped_only_by_a_revision_and_only_the_maker_still_sees_it(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    home = f"/p/{piece.number}/aftercare"
    with store.write() as session:
        care_id = support.care(session, piece, what="Polish it")
    assert "Not wanted any more" not in maker.get(f"{home}/care-date").get_data(as_text=True)
    page = maker.get(f"{home}/care-date?corrects={care_id}").get_data(as_text=True)
    assert "Not wanted any more" in page
    said = {"what": "Polish it", "due_on": "2026-01-31", "dropped": "yes", "corrects": care_id}
    assert maker.post(f"{home}/care-date", said).status_code == 303
    assert "Polish it" in maker.get(home).get_data(as_text=True)
    assert "Polish it" not in fitter.get(home).get_data(as_text=True)


def test_a_visit_that_waited_on_a_phone_while_its_date_was_revised_is_taken(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    home = f"/p/{piece.number}/aftercare"
    with store.write() as session:
        first = support.care(session, piece, every_months=6)
    said = {"what": "Nuts, joint, face", "due_on": "2026-02-15", "every_months": "12", "corrects": first}
    assert maker.post(f"{home}/care-date", said).status_code == 303
    visit = {"what": "inspected", "done_on": "2026-02-14", "done_by": "Fitter", "care_date_id": first}
    assert fitter.post(f"{home}/visit", visit).status_code == 303
    with store.read() as session:
        (care,) = services.care_dates(session, piece.piece_id)
    assert care.due_on is not None
    assert care.due_on.isoformat() == "2027-02-14"


def test_after_it_was_sold_on_only_the_makers_history_knows_who_had_it(
    maker: Browser, fitter: Browser, store: Store
) -> None:
    with store.write() as session:
        job_id = factories.a_job(session, client="A. First (invented)", address="1 First Row (invented)")
        piece = factories.a_piece(session, job_id=job_id)
        support.hand_over(session, piece)
    home = f"/p/{piece.number}/aftercare"
    assert "A. First (invented)" in fitter.get(home).get_data(as_text=True)
    for name, since in (("S. Second (invented)", "2026-01-05"), ("T. Third (invented)", "2026-02-06")):
        answer = maker.post(f"{home}/keeper", {"name": name, "contact": f"{name} by post", "since": since})
        assert answer.status_code == 303
    move = {"place": "a school hall", "address": "3 Third Lane (invented)", "moved_on": "2026-02-07"}
    assert maker.post(f"{home}/move", move).status_code == 303
    page = fitter.get(home).get_data(as_text=True)
    for told in ("T. Third (invented)", "3 Third Lane", "a school hall"):
        assert told in page
    for gone in ("A. First", "S. Second", "1 First Row"):
        assert gone not in page
    history = maker.get(home).get_data(as_text=True)
    assert "History, for makers only" in history
    assert "S. Second (invented)" in history
    for address in (f"{home}/visit", "/aftercare?days=3650"):
        page = fitter.get(address).get_data(as_text=True)
        assert not any(gone in page for gone in ("A. First", "S. Second"))


def test_nothing_of_keepers_and_addresses_leaves_for_strangers_labels_or_certificates(
    maker: Browser, stranger: Browser, store: Store
) -> None:
    from siteapp.handover.issuing import issue_certificate

    with store.write() as session:
        piece = journey.ready(session)
        journey.hand_over(session, piece)
    public = [f"/p/{piece.number}"]
    before = [stranger.get(path).get_data(as_text=True) for path in public]
    with store.write() as session:
        support.move(session, piece)
        support.keeper(session, piece)
        support.visit(session, piece, found="spoke to B. Buyer (invented)")
        number = issue_certificate(session, factories.a_writer(session), piece=piece, choices=journey.CHOICES)
    # The device's page says the time of the laptop; nothing else of it may differ.
    clock = re.compile(r'data-now="[^"]*"|[0-9a-f]{64}')
    after = [stranger.get(path).get_data(as_text=True) for path in public]
    assert [clock.sub("", page) for page in after] == [clock.sub("", page) for page in before]
    texts = [*after, stranger.get(f"/c/{number}").get_data(as_text=True)]
    texts.append(maker.get(f"/p/{piece.number}/certificate.json").get_data(as_text=True))
    for path in ("label.pdf?form=set&sheet=A4", "certificate.pdf"):
        answer = maker.get(f"/p/{piece.number}/{path}")
        assert answer.status_code == 200
        texts.append(reading.text(answer.data))
    for text in texts:
        assert not any(secret in text for secret in SECRETS)


def test_what_is_due_over_all_pieces_is_listed_overdue_first(fitter: Browser, store: Store, piece: PieceNow) -> None:
    assert "Nothing comes due" in fitter.get("/aftercare").get_data(as_text=True)
    with store.write() as session:
        for what, days in (("later on", 40), ("soon", 5), ("long ago", -400), ("now", 0)):
            support.care(session, piece, what=what, due_on=(today() + timedelta(days=days)).isoformat())
    page = fitter.get("/aftercare").get_data(as_text=True)
    places = [page.index(what) for what in ("<h2>Overdue</h2>", "long ago", "Within 30 days", "today", "soon")]
    assert places == sorted(places)
    assert "400 days overdue" in page
    assert "later on" not in page
    assert "later on" in fitter.get("/aftercare?days=40").get_data(as_text=True)


@pytest.mark.parametrize("days", ["-1", "3651", "many", "1.5"])
def test_days_that_cannot_be_are_named(fitter: Browser, days: str) -> None:
    answer = fitter.get(f"/aftercare?days={days}")
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert f"Days ahead: “{days}” is not taken. Give a whole number from 0 to 3650." in page.replace("\u202f", "")
    assert f'value="{days}"' in page
