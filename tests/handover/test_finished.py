"""What a certificate's record takes from finishing and from the fire: measured figures, the kit, the condition."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.documents.certificate.records import CertificateRecord
from siteapp.handover import issuing
from siteapp.handover.models import Certificate
from siteapp.handover.offers import certificate_offer
from siteapp.handover.record import Choices
from siteapp.heat.condition import NO_FIRE
from tests import factories
from tests.finishing.test_colour import a_sample, answer, read
from tests.finishing.test_kit import keep
from tests.handover.support import hand_over, ready
from tests.heat import fires

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


def issued(session: Session, piece: PieceNow, why: str | None = None) -> CertificateRecord:
    offer = certificate_offer(session, piece, maker="M. Maker (invented)")
    choices = Choices(maker="M. Maker (invented)", fire_condition=offer["fire_condition"], touch_up=offer["touch_up"])
    writer = factories.a_writer(session)
    number = issuing.issue_certificate(session, writer, piece=piece, choices=choices, why=why)
    record: dict[str, Any] = json.loads(session.scalars(select(Certificate.record).filter_by(number=number)).one())
    return CertificateRecord.from_json(record)


def test_an_untested_piece_carries_the_condition_and_a_tested_one_what_was_measured(store: Store) -> None:
    with store.write() as session:
        piece = ready(session, near_heat=True)
        fires.appliance(session, piece)
        fires.distances(session, piece, {"thing": "the piece", "place": "above", "distance_mm": 640.0})
        hand_over(session, piece, conditions=[str(NO_FIRE)])
        before = issued(session, piece)
        assert before.fire.condition == str(NO_FIRE)
        assert before.conditions == (str(NO_FIRE),)
        assert before.fire.tests == ()
        assert before.fire.appliance
        assert before.fire.appliance.model == "Ember 5 (invented)"
        assert before.fire.appliance.distances[0].asked_mm == 500
        fires.tested(session, piece)
        after = issued(session, piece, why="The heat test was made.")
        assert after.fire.condition is None
        (test,) = after.fire.tests
        assert (test.verdict, test.fuel, test.output) == ("met", "split ash", "rated output")
        assert [(probe.label, probe.spot) for probe in test.probes] == [("P1", "face"), ("P2", "bond")]
        assert test.probes[0].highest_c == 51.0
        assert test.probes[0].plateau_c == 50.0
        assert {one.part: one.limit_c for one in after.fire.limits}["anchor resin"] == 75


def test_a_temperature_that_was_only_extrapolated_is_on_no_certificate(store: Store) -> None:
    with store.write() as session:
        piece = ready(session, near_heat=True)
        fires.limits(session, piece)
        test_id = fires.lit(session, piece)
        for at, celsius in fires.warmed(60.0, range(0, 35, 5), tau=40.0):
            fires.read(session, piece, test_id, at, P1=round(celsius, 1))
        fires.ended(session, piece, test_id)
        hand_over(session, piece, conditions=[str(NO_FIRE)])
        (test,) = issued(session, piece).fire.tests
        probe = test.probes[0]
        assert (probe.plateau_c, test.verdict) == (None, "cannot tell")
        assert probe.highest_c == round(60 - 40 * 2.718281828 ** (-30 / 40), 1)


def test_colours_the_clients_answer_and_the_kit_are_carried(store: Store) -> None:
    with store.write() as session:
        piece = ready(session)
        sample_id = a_sample(session, piece)
        for light in (52.9, 53.0, 53.1):
            read(session, piece, sample_id, light, gloss=9.0, gloss_deg=60)
        answer(session, piece, sample_id, client_words="That one.", light="noon")
        item: Any = {"what": "glaze", "amount": "60 ml", "product_id": None, "batch_id": None, "batch": "B-1"}
        keep(session, piece, items=[item | {"keeps_until": "2027-05-01", "why": "the tin"}], recipe="Dab, twice.")
        hand_over(session, piece)
        record = issued(session, piece)
        (colour,) = record.colours
        assert (colour.sample, colour.client_yes, colour.client_said) == ("Slate", True, "That one.")
        assert (colour.zones[0].count, colour.zones[0].verdict, colour.zones[0].gloss) == (3, "met", 9.0)
        assert record.kit
        assert (record.kit.keeps_until, record.kit.things[0].batch) == ("2027-05-01", "B-1")
        assert record.touch_up == "Dab, twice."
