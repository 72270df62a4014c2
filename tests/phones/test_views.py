"""The set-up card, the address's code, reports, and the phones on the start page."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import UTC, datetime

import pytest
import zxingcpp
from PIL import Image
from sqlalchemy import select

from siteapp.phones import services
from siteapp.phones.models import Phone
from siteapp.web.current import EXTENSION
from siteapp.web.security import trust_hosts
from tests.web_support import Browser

ADDRESS = "192.168.4.1"
UNDER = f"http://{ADDRESS}:8765"


class OnTheLan(Browser):
    """A phone that comes over the network, under the laptop's address there."""

    def get(self, path, **kwargs):
        return super().get(path, base_url=UNDER, environ_base={"REMOTE_ADDR": "192.168.4.23"}, **kwargs)

    def post(self, path, data=None, **kwargs):
        return super().post(path, data, base_url=UNDER, environ_base={"REMOTE_ADDR": "192.168.4.23"}, **kwargs)


@pytest.fixture
def lan(app):
    """The application as `serve --lan` runs it, at one address."""
    program = app.extensions[EXTENSION]
    settings = program.settings.with_(lan=True, host="0.0.0.0")
    app.extensions[EXTENSION] = replace(program, settings=settings)
    trust_hosts(app, (*settings.trusted_hosts, ADDRESS))
    move(app, ADDRESS)
    return app


def move(app, *addresses):
    program = app.extensions[EXTENSION]
    with program.store.write() as session:
        services.note_addresses(session, laptop_id=program.laptop_id, addresses=addresses, now=datetime.now(UTC))


def phones(app):
    with app.extensions[EXTENSION].store.read() as session:
        return [(row.host, row.waiting, row.look) for row in session.scalars(select(Phone))]


def report(browser, **fields):
    return browser.post("/waiting/report", fields)


@pytest.fixture
def phone(lan):
    """A fitter's phone."""
    return OnTheLan(lan).sign_in("Fitter")


def text(answer):
    assert answer.status_code == 200
    return answer.get_data(as_text=True)


def test_a_report_is_kept_and_acknowledged_in_json(app, fitter):
    answer = report(fitter, waiting="2", look="1")
    assert answer.get_json() == {"saved": True}
    assert phones(app) == [("localhost", 2, 1)]


def test_a_phone_is_kept_with_the_address_it_came_by(lan, phone):
    report(phone, waiting="2", look="1")
    assert phones(lan) == [(ADDRESS, 2, 1)]


def test_a_strangers_report_is_answered_and_not_kept(app, stranger):
    answer = report(stranger, waiting="2", look="0")
    assert (answer.status_code, answer.get_json()["saved"]) == (200, True)
    assert phones(app) == []


def test_a_report_counts_after_signing_out(app, fitter):
    report(fitter, waiting="0", look="0")
    fitter.post("/sign-out")
    assert report(fitter, waiting="3", look="0").get_json() == {"saved": True}
    assert phones(app) == [("localhost", 3, 0)]


@pytest.mark.parametrize("number", ["", "-1", "1.5", "10001", "many", "٣", " 1", "1e3", "0" * 400])
def test_a_report_that_is_no_number_in_range_is_refused_in_json(app, fitter, number):
    answer = report(fitter, waiting=number, look="0")
    assert answer.status_code == 422
    body = answer.get_json()
    assert body["saved"] is False
    (problem,) = body["problems"]
    assert problem["field"] == "waiting"
    assert problem["message"].startswith("waiting: ")
    assert "0 to 10000" in problem["message"]
    assert phones(app) == []


@pytest.mark.parametrize("number", ["0", "10000"])
def test_a_report_at_the_ends_of_its_range_is_kept(app, fitter, number):
    assert report(fitter, waiting=number, look=number).status_code == 200
    assert phones(app) == [("localhost", int(number), int(number))]


def test_a_report_without_the_pages_token_is_refused(app, fitter):
    assert report(fitter, waiting="1", look="0", csrf="0" * 64).status_code == 403
    assert phones(app) == []


def test_the_code_on_the_card_leads_to_the_address_that_is_printed_beside_it(lan, stranger):
    page = text(stranger.get("/phones"))
    assert f"{UNDER}/" in page
    assert f'src="/phones/{ADDRESS}.png"' in page
    # zxing-cpp, an independent reader; the picture has a pixel a module, so it is enlarged as the page does.
    answer = stranger.get(f"/phones/{ADDRESS}.png")
    assert answer.content_type == "image/png"
    picture = Image.open(io.BytesIO(answer.data)).convert("L")
    read = zxingcpp.read_barcode(picture.resize((picture.width * 8, picture.height * 8), Image.Resampling.NEAREST))
    assert read.text == f"{UNDER}/"


@pytest.mark.parametrize("address", ["10.42.0.1", "rebound.example", "127.0.0.1"])
def test_no_code_is_made_for_an_address_that_the_laptop_does_not_have(lan, stranger, address):
    assert stranger.get(f"/phones/{address}.png").status_code == 404


def test_a_second_address_is_on_the_card_too(lan, stranger):
    move(lan, ADDRESS, "192.168.20.7")
    page = text(stranger.get("/phones"))
    assert page.index(f"{UNDER}/") < page.index("http://192.168.20.7:8765/")


def test_the_card_without_an_address_says_what_to_do(lan, stranger):
    move(lan)
    page = text(stranger.get("/phones"))
    assert "no address for phones at the moment" in page
    assert "Mobile hotspot" in page


def test_the_start_page_on_the_laptop_shows_the_address_before_anybody_signed_in(lan, stranger):
    page = text(stranger.get("/"))
    assert f"{UNDER}/" in page
    assert 'href="/phones"' in page


def test_whoever_has_not_signed_in_sees_no_names(lan, stranger, phone):
    report(phone, waiting="2", look="0")
    assert "Fitter" not in text(stranger.get("/"))


def test_a_stranger_over_the_network_sees_nothing_of_phones(lan):
    assert "Phones" not in text(OnTheLan(lan).get("/"))


def test_a_fitter_on_a_phone_sees_the_way_to_the_card_and_nobodys_numbers(lan, phone):
    report(phone, waiting="2", look="0")
    main = text(phone.get("/")).split("<main")[1].split("</main>")[0]
    assert 'href="/phones"' in main
    assert " waiting" not in main


def test_a_maker_sees_on_any_device_which_phones_have_something_waiting(lan, maker, phone):
    report(phone, waiting="2", look="1")
    for device in (maker, OnTheLan(lan).sign_in("Maker")):
        page = text(device.get("/"))
        assert "Fitter’s phone" in page
        assert "2 waiting, 1 needs a look, said " in page
    report(phone, waiting="0", look="0")
    assert "all sent, " in text(maker.get("/"))


def test_a_changed_address_is_said_on_the_start_page_with_what_waits_under_the_old_one(lan, maker, phone):
    report(phone, waiting="2", look="0")
    move(lan, "10.42.0.1")
    page = " ".join(text(maker.get("/")).split())
    assert f"The address changed from {ADDRESS} to 10.42.0.1 at" in page
    assert f"What phones kept under {ADDRESS} is still on them." in page
    assert f"Last heard under {ADDRESS}: Fitter’s phone, 2 waiting, said " in page
    move(lan)
    assert f"The address {ADDRESS} was lost at" not in text(maker.get("/"))
    assert "The address 10.42.0.1 was lost at" in text(maker.get("/"))


def test_a_laptop_that_is_not_serving_phones_says_how(app, maker):
    page = text(maker.get("/"))
    assert "serve --lan" in page
    assert "/phones/" not in page.replace('href="/phones"', "")


def test_behind_another_server_the_address_that_was_asked_for_is_the_one_shown(app, maker):
    app.config["TRUSTED_HOSTS"].append("laptop.example")
    page = text(maker.get("/phones", base_url="http://laptop.example"))
    assert "http://laptop.example/" in page
