"""What a certificate freezes of the rooms before, and what of the client must not be on it."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from siteapp.checks import services as checks
from siteapp.finishing.touch_up import recipe
from siteapp.handover import issuing, pdf
from siteapp.handover.models import Certificate
from siteapp.handover.never import never_in, never_in_record
from siteapp.handover.offers import certificate_offer
from siteapp.handover.services import FurtherSignature
from siteapp.heat.condition import NO_FIRE
from siteapp.jobs.redaction import LEFT_OUT
from siteapp.pieces.services import agree
from siteapp.snags.services import accept_snag, clear_snag, raise_snag
from siteapp.store.entries import PhotoUse
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.documents import reading
from tests.handover.support import CHOICES, answer_all, arrive, finish, hand_over
from tests.hanging.proved import a_hung_piece
from tests.hanging.walls import find_wall

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

CLIENT = "Z. Quillfeather"
JOB = {
    "client": CLIENT,
    "address": "Hollow House, 77 Nowhere Row\nSomewhere",
    "access_notes": "Key under the blue pot.",
}
SECRET = ("quillfeather", "nowhere row", "hollow house", "blue pot")
# Words that never stand on a certificate; from the project's own rules.
FORBIDDEN = re.compile(r"\b(un)?safe|\bsafety|guarantee|\bprice|insur|valu(e|ation)\b", re.IGNORECASE)


def agreed(session: Session, piece: PieceNow, **facts: Any) -> None:
    said = {"about": "stage", "agreed_by": None, "said": None, "evidence": None, "agreed_on": "2026-01-22"}
    agree(session, factories.a_writer(session), piece=piece, facts=said | facts)  # type: ignore[arg-type]


def snag(session: Session, piece: PieceNow, words: str, place: str | None = None) -> str:
    return raise_snag(session, factories.a_writer(session), piece=piece, words=words, place=place)


def filled(session: Session, *, said_of: str) -> PieceNow:
    """A piece handed over on the way to which everybody says `said_of`."""
    by_id = factories.a_person(session, name="F. Fitter (invented)")
    job_id = factories.a_job(session, **JOB)
    piece = factories.a_piece(session, job_id=job_id, near_heat=True, fire_covers="The shell; not the wall.")
    agreed(session, piece, what="Model in clay", agreed_by=CLIENT, evidence=f"letter to {said_of}")
    agreed(
        session, piece, about="change", what=f"Longer, for {said_of}", said=f"Yes, {said_of}.", agreed_on="2026-02-01"
    )
    arrive(session, piece)
    answer_all(session, piece, but="anchors-proved", by_id=by_id)
    line = next(one for one in checks.state(session, piece).lines if one.key == "anchors-proved")
    told = {"piece": piece, "list_id": line.list_id, "line_key": line.key}
    checks.answer(session, factories.a_writer(session, by_id=by_id), verdict="not met", **told)
    reason = f"Pulled by the contractor; sheet with {said_of}."
    checks.release(session, factories.a_writer(session, by_id=by_id), reason=reason, **told)
    left = snag(session, piece, f"Scratch, seen by {said_of}", f"near {said_of}")
    writer = factories.a_writer(session)
    accept_snag(session, writer, piece=piece, snag_id=left, accepted_by=CLIENT, said=f"{said_of} leaves it.")
    done = snag(session, piece, "Dust in the corner")
    photos = [PhotoUse(factories.a_photo_row(session))]
    clear_snag(session, factories.a_writer(session), piece=piece, snag_id=done, said="Wiped.", photos=photos)
    snag(session, piece, f"Seal short, says {said_of}")
    finish(session, piece)
    hand_over(
        session,
        piece,
        signed_name=CLIENT,
        conditions=[str(NO_FIRE), f"Ask {said_of} before it is moved."],
        further=[FurtherSignature(CLIENT, f"for {said_of}"), FurtherSignature("M. Maker (invented)", "maker")],
        note=f"With {said_of}.",
    )
    return piece


def frozen(session: Session, piece: PieceNow, why: str | None = None) -> dict[str, Any]:
    writer = factories.a_writer(session)
    number = issuing.issue_certificate(session, writer, piece=piece, choices=CHOICES, why=why)
    found: dict[str, Any] = json.loads(session.scalars(select(Certificate.record).filter_by(number=number)).one())
    return found


def test_everything_on_the_way_is_frozen_in_its_place(database: Store) -> None:
    with database.write() as session:
        record = frozen(session, filled(session, said_of="somebody"))
    assert record["conditions"] == [str(NO_FIRE), "Ask somebody before it is moved."]
    first, second, third = record["agreed"]
    assert first == {"what": "Model in clay", "on": "2026-01-22", "evidence": "letter to somebody", "by": "the client"}
    assert (second["on"], second["said"]) == ("2026-02-01", "Yes, somebody.")
    assert (third["what"], third["said"]) == ("Finish of left wing", "Yes, gladly.")
    (release,) = record["releases"]
    assert release["by"] == "F. Fitter (invented)"
    assert release["reason"] == "Pulled by the contractor; sheet with somebody."
    assert release["line"].startswith("The anchors in the wall were pulled")
    (answer,) = [one for one in record["checks"] if one.get("released_by")]
    assert (answer["verdict"], answer["released_by"]) == ("not met", "F. Fitter (invented)")
    left, raised, still_open = record["snags"]
    assert (left["accepted_by"], left["said"]) == ("the client", "somebody leaves it.")
    assert release["line"] in raised["words"]
    assert still_open == {"words": "Seal short, says somebody"}
    # The check that raised a snag is told once, by the snag.
    assert not any("anchor" in one for one in record.get("left_open", []))
    assert [one["name"] for one in record["further_signatures"]] == [CLIENT, "M. Maker (invented)"]
    assert record["fire"]["covers"] == "The shell; not the wall."


@pytest.mark.parametrize("secret", [CLIENT, "z.  quillfeather", "77 Nowhere Row", "Hollow House, 77 Nowhere Row"])
def test_nothing_of_the_client_comes_in_by_the_new_words(store: Store, secret: str) -> None:
    with store.write() as session:
        piece = filled(session, said_of=secret)
        frozen(session, piece)
        record = frozen(session, piece, why=f"{secret} wrote. Key under the blue pot.")
    signed = [record["signature"].pop("name"), record["further_signatures"][0].pop("name")]
    assert signed == [CLIENT, CLIENT]
    text = json.dumps(record, ensure_ascii=False).casefold()
    assert [word for word in SECRET if word in " ".join(text.split())] == []
    assert record["supersedes"]["why"] == f"{LEFT_OUT} wrote. {LEFT_OUT}"
    assert record["conditions"][1] == f"Ask {LEFT_OUT} before it is moved."


def test_the_pdf_says_it_all_and_nothing_that_it_must_not(store: Store) -> None:
    with store.write() as session:
        piece = filled(session, said_of=CLIENT)
        frozen(session, piece)
        certificate = session.scalars(select(Certificate)).one()
    settings = store.settings
    made = pdf.certificate_file(certificate, PhotoFolder(settings.photos, settings.cache), settings)
    said = reading.text(made)
    for words in (
        "Conditions in writing",
        str(NO_FIRE),
        "Agreed on the way",
        "22 January 2026",
        "Released, and why",
        "Faults and snags left",
        "left as it is, accepted by the client",
        "to be put right",
        "What the evidence covers, and what not The shell; not the wall.",
        "M. Maker (invented), maker",
        "Still to be put right: – ",
    ):
        assert words in said
    # Drawn as typed names and on the lines below: the client's name stands at signatures and nowhere else.
    assert said.count(CLIENT) == 4
    assert [word for word in SECRET[1:] if word in said.casefold()] == []
    assert FORBIDDEN.findall(said) == []


def test_the_form_offers_the_recipe_and_the_condition_that_was_agreed(store: Store) -> None:
    with store.write() as session:
        piece = filled(session, said_of="somebody")
        offer = certificate_offer(session, piece, maker="M. Maker (invented)")
        assert offer["touch_up"] == recipe(session, piece.piece_id)
        assert "Matt glaze (invented)" in offer["touch_up"]
        assert offer["fire_condition"] == str(NO_FIRE)
        frozen(session, piece)
        assert certificate_offer(session, piece, maker=None)["maker"] == CHOICES.maker


PROMISES = ("It is safe.", "Safely hung", "guaranteed for ten years", "price on request", "£ 900", "900 EUR", "insured")
PLAIN = ("unsaved", "safeguarding rail", "valued by its owner", "insular", "60 °C at most", "EUROPE", None)


@pytest.mark.parametrize("words", PROMISES)
def test_words_that_promise_too_much_and_prices_are_found(words: str) -> None:
    assert never_in(words)
    plain = {"maker": {"name": words}, "snags": [{"words": words}], "proof": {"how": [words]}}
    assert [text for _word, text in never_in_record(plain)] == [words]


@pytest.mark.parametrize("words", PLAIN)
def test_other_words_are_left_alone(words: str | None) -> None:
    assert never_in(words) is None


def test_what_was_recorded_with_such_a_word_is_shown_before_a_certificate_is_issued(
    maker: Browser, store: Store
) -> None:
    with store.write() as session:
        piece = filled(session, said_of="somebody")
        snag(session, piece, "Looks safe to me")
    path = f"/p/{piece.number}/handover/certificate"
    page = maker.get(path).get_data(as_text=True)
    assert "have no place on a certificate" in page
    assert "Looks safe to me" in page
    answer = maker.post(path, {"maker": "M. Maker (invented)", "expected_wear": "None, guaranteed."})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Wear to expect: “guaranteed” has no place on a certificate." in page
    assert "None, guaranteed." in page


def test_a_release_that_was_taken_back_is_on_no_certificate(store: Store) -> None:
    with store.write() as session:
        piece = filled(session, said_of="somebody")
        (given,) = checks.releases(session, piece.piece_id)
        told: dict[str, Any] = {"piece": piece, "list_id": given.list_id, "line_key": given.line_key}
        writer = factories.a_writer(session)
        checks.release(session, writer, reason="Too early.", released=False, corrects=[given.entry_id], **told)
        record = frozen(session, piece)
    assert "releases" not in record
    assert not any(one.get("released_by") for one in record["checks"])


def taken_over(session: Session, piece: PieceNow) -> PieceNow:
    """The piece once it arrived, was checked and handed over."""
    arrive(session, piece)
    answer_all(session, piece)
    hand_over(session, piece)
    return piece


def test_what_hanging_says_of_the_client_is_taken_out(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, job_id=factories.a_job(session, **JOB))
        find_wall(session, piece, found_by=CLIENT, material_words="brick, behind it Hollow House, 77 Nowhere Row")
        said = frozen(session, taken_over(session, piece))
    assert said["wall"]["found_by"] == LEFT_OUT
    told = json.dumps({name: value for name, value in said.items() if "signature" not in name}).casefold()
    assert [one for one in SECRET if one in told] == []


def test_wall_anchors_balance_and_lift_are_frozen_and_nothing_of_the_house_beyond_them(store: Store) -> None:
    with store.write() as session:
        said = frozen(session, taken_over(session, a_hung_piece(session)))
    wall = said["wall"]
    assert (wall["material"], wall["material_words"]) == ("solid masonry", "stock brick in lime mortar")
    assert wall["found_by"].startswith("B. Builder")
    # Who agreed, where pipes run and which survey was made stay in the house.
    assert not {"consent", "consent_by", "asbestos", "services_words", "note"} & set(wall)
    assert said["anchors_asked"]["designed_by"] == "E. Engineer (invented)"
    assert [one["label"] for one in said["anchors"]] == ["A", "B", "C", "D"]
    for one in said["anchors"]:
        assert one["set_by"] == "F. Fitter (invented)"
        (test,) = one["tests"]
        assert (test["load_kn"], test["held_s"], test["by"]) == (1.5, 60.0, "T. Tester (invented)")
    assert (said["balance"]["x_mm"], said["balance"]["x_how"]) == (pytest.approx(600), "weighed")
    assert said["lift_points"] == ["by the lower rail; never by the edges"]
    assert said["nuts"] == ["A, then B, each by hand; then A"]


def test_a_piece_of_which_nothing_was_recorded_of_its_hanging_says_nothing_of_it(store: Store) -> None:
    with store.write() as session:
        said = frozen(session, taken_over(session, factories.a_piece(session)))
    assert not {"wall", "anchors", "anchors_asked", "lift_points", "nuts"} & set(said)
