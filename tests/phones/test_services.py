"""What phones say, and this laptop's addresses over time: on every database."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError

from siteapp.phones import services
from siteapp.phones.models import LanAddress, Phone
from siteapp.phones.services import Report
from tests import factories

NOW = datetime(2026, 11, 25, 13, 40, tzinfo=UTC)
LAPTOP = str(uuid4())
OTHER_LAPTOP = str(uuid4())
OLD, NEW = "192.168.4.1", "10.42.0.1"


def say(store, person_id, *, device="a phone", host=OLD, waiting=0, look=0, at=NOW):
    with store.write() as session:
        return services.keep_report(session, Report(device, person_id, host, waiting, look), at)


def note(store, *addresses, at=NOW, laptop_id=LAPTOP):
    with store.write() as session:
        return services.note_addresses(session, laptop_id=laptop_id, addresses=addresses, now=at)


def look(store, at=NOW, laptop_id=LAPTOP):
    with store.read() as session:
        return services.sheet(session, laptop_id=laptop_id, now=at)


def person(store, name):
    with store.write() as session:
        return factories.a_person(session, name=name)


def minutes(count):
    return timedelta(minutes=count)


def test_a_phones_last_words_are_what_the_start_page_tells(database):
    ana, ben = person(database, "Ana"), person(database, "Ben")
    say(database, ana, device="anas", waiting=3)
    say(database, ben, device="bens", waiting=1, look=1, at=NOW + minutes(1))
    say(database, ana, device="anas", waiting=2, at=NOW + minutes(2))
    told = [(one.name, one.host, one.waiting, one.look, one.seen_at) for one in look(database, NOW + minutes(3)).phones]
    assert told == [("Ana", OLD, 2, 0, NOW + minutes(2)), ("Ben", OLD, 1, 1, NOW + minutes(1))]


def test_a_device_on_which_nobody_ever_signed_in_is_not_kept(database):
    assert not say(database, None, waiting=5)
    assert look(database).phones == ()


def test_a_phone_reports_on_after_its_sign_in_is_over_and_stays_the_same_persons(database):
    ana = person(database, "Ana")
    say(database, ana, waiting=1)
    assert say(database, None, waiting=4, at=NOW + minutes(5))
    (told,) = look(database).phones
    assert (told.name, told.waiting, told.seen_at) == ("Ana", 4, NOW + minutes(5))


def test_a_phone_that_changes_hands_is_then_the_other_persons(database):
    ana, ben = person(database, "Ana"), person(database, "Ben")
    say(database, ana, waiting=1)
    say(database, ben, waiting=1)
    assert [one.name for one in look(database).phones] == ["Ben"]


def test_devices_not_heard_of_for_thirty_days_are_forgotten(database):
    ana = person(database, "Ana")
    say(database, ana, device="long ago", waiting=1)
    say(database, ana, device="a day less", waiting=1, at=NOW + timedelta(days=1))
    say(database, ana, device="now", at=NOW + timedelta(days=30, minutes=1))
    with database.read() as session:
        assert set(session.scalars(select(Phone.device))) == {"a day less", "now"}


def test_the_same_words_again_within_a_minute_are_no_news(store):
    ana, ben = person(store, "Ana"), person(store, "Ben")
    say(store, ana, waiting=1)

    def news(person_id=ana, device="a phone", host=OLD, waiting=1, after=timedelta(seconds=30)):
        with store.read() as session:
            return services.is_news(session, Report(device, person_id, host, waiting, 0), NOW + after)

    assert not news()
    assert not news(None)
    assert not news(None, device="a stranger's")
    assert news(waiting=2)
    assert news(host=NEW)
    assert news(ben)
    assert news(device="another")
    assert news(after=timedelta(seconds=61))


@pytest.mark.parametrize("waiting", [-1, 10_001])
def test_the_database_itself_refuses_a_number_out_of_range(database, waiting):
    ana = person(database, "Ana")
    with pytest.raises(IntegrityError, match="ck_phone_waiting_range"):
        say(database, ana, waiting=waiting)


def test_phones_that_sent_everything_are_shown_for_a_day_and_others_until_they_have(store):
    ana = person(store, "Ana")
    say(store, ana, device="all sent")
    say(store, ana, device="not all", waiting=1)
    assert len(look(store, NOW + timedelta(hours=15)).phones) == 2
    assert [one.waiting for one in look(store, NOW + timedelta(days=9)).phones] == [1]


def test_the_laptops_own_browser_is_told_only_while_something_waits_in_it(store):
    ana = person(store, "Ana")
    say(store, ana, host="127.0.0.1")
    assert look(store).phones == ()
    say(store, ana, host="127.0.0.1", waiting=1)
    (told,) = look(store).phones
    assert told.here


def test_addresses_are_told_the_likeliest_first_and_of_this_laptop_only(database):
    assert note(database, NEW, OLD) == []
    note(database, "192.168.77.1", laptop_id=OTHER_LAPTOP)
    assert look(database).addresses == (NEW, OLD)
    note(database, OLD, NEW)
    with database.read() as session:
        assert services.addresses_now(session, LAPTOP) == (OLD, NEW)


def test_a_change_of_address_is_told_with_what_waits_under_the_old_one(database):
    ana = person(database, "Ana")
    note(database, OLD)
    say(database, ana, device="under the old one", waiting=2)
    assert look(database).change is None
    assert note(database, NEW, at=NOW + minutes(22)) == [OLD]
    say(database, ana, device="under the new one", host=NEW)
    told = look(database, NOW + minutes(23))
    assert told.addresses == (NEW,)
    assert (told.change.gone, told.change.at) == (OLD, NOW + minutes(22))
    assert [(one.name, one.waiting) for one in told.change.said] == [("Ana", 2)]
    assert [one.host for one in told.phones] == [NEW]


def test_a_change_is_told_for_a_day_and_longer_while_something_waits(store):
    ana = person(store, "Ana")
    note(store, OLD)
    say(store, ana, waiting=1)
    note(store, NEW)
    assert look(store, NOW + timedelta(days=9)).change.gone == OLD
    say(store, ana, waiting=0)
    assert look(store, NOW + timedelta(hours=15)).change.gone == OLD
    assert look(store, NOW + timedelta(days=9)).change is None


def test_an_address_that_comes_back_is_no_longer_told_as_gone(store):
    note(store, OLD)
    note(store, NEW, at=NOW + minutes(1))
    assert note(store, OLD, at=NOW + minutes(2)) == [NEW]
    told = look(store, NOW + minutes(3))
    assert told.addresses == (OLD,)
    assert told.change.gone == NEW


def test_a_start_with_the_same_address_changes_nothing(store):
    note(store, OLD)
    assert note(store, OLD, at=NOW + minutes(9)) == []
    assert look(store).change is None


def test_a_wifi_that_comes_and_goes_all_day_fills_nothing(store):
    for count in range(services.STRETCHES_KEPT + 20):
        note(store, *([OLD] if count % 2 else [NEW]), at=NOW + minutes(count))
    with store.read() as session:
        kept = session.scalar(select(func.count()).select_from(LanAddress))
    assert kept == services.STRETCHES_KEPT + 1
    assert look(store).addresses == (OLD,)
