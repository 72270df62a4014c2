"""Figures and waits on a phone whose network is gone: what is typed is worked out, what counts down comes to an end."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from siteapp.finishing import services
from siteapp.trade.climate import dew_point_c
from tests import factories
from tests.finishing.support import PRODUCT, a_product, batch, climate, coat
from tests.hanging.anchors import support as anchors
from tests.support import chromium as real
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page, Route

    from siteapp.store.db import Store

PHONE = {"width": 360, "height": 740}
pytestmark = real.needed


@pytest.fixture
def page(chromium: Browser, address: str) -> Iterator[Page]:
    context = chromium.new_context(viewport=PHONE, locale="en-GB")
    opened = context.new_page()
    wrong: list[str] = []
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.goto(f"{address}/sign-in")
    opened.fill("#name", "Fitter")
    opened.fill("#passphrase", PASSPHRASE)
    opened.click(".next button")
    opened.wait_for_url(f"{address}/")
    yield opened
    real.end(context)
    assert wrong == []


def a_session(store: Store, *, coat_hours_ago: float | None = None, recoat_hours: float = 4.0) -> tuple[str, str]:
    """Paths of a piece and of its finishing session; with a coat in it when asked."""
    with store.write() as session:
        piece = factories.a_piece(session)
        begun = services.start_session(
            session, factories.a_writer(session), piece=piece, zone="left wing", purpose=None
        )
        told = {"piece": piece, "session_id": begun}
        if coat_hours_ago is not None:
            at = datetime.now(UTC) - timedelta(hours=coat_hours_ago)
            services.record_climate(session, factories.a_writer(session, at=at), facts=climate(), **told)
            facts = coat(recoat_hours=recoat_hours)
            services.apply_coat(session, factories.a_writer(session, at=at), facts=facts, **told)
    return f"/p/{piece.number}", f"/p/{piece.number}/finishing/{begun}"


def out(page: Page, name: str) -> str:
    return page.locator(f"[data-out={name}]").inner_text()


def verdict(page: Page) -> str:
    marks = page.locator("[data-verdict]:not([hidden])")
    return marks.inner_text() if marks.count() else ""


def fill(page: Page, **typed: str) -> None:
    for name, text in typed.items():
        page.fill(f"[name={name}]", text)


GOOD = {
    "air_c": "20",
    "relative_humidity": "50",
    "surface_c": "20,5",
    "instrument": "hygrometer 2",
    "product": "Matt glaze",
    "limits_source": "data sheet of March 2026",
    "air_min_c": "8",
    "air_max_c": "30",
    "surface_min_c": "8",
    "surface_max_c": "86 °F",
    "humidity_min": "30",
    "humidity_max": "75 %",
    "margin_limit_c": "3",
}


def test_the_climate_is_worked_out_as_it_is_typed_with_the_network_off(page: Page, address: str, store: Store) -> None:
    _piece, home = a_session(store)
    page.goto(f"{address}{home}/climate")
    expect(page.locator("[data-away=climate]")).to_be_visible()
    page.context.set_offline(True)
    assert (verdict(page), out(page, "dew")) == ("cannot tell", "not known")
    fill(page, **GOOD)
    dew_c = dew_point_c(20, 50)
    assert out(page, "dew") == f"{dew_c:.1f}"
    assert out(page, "margin") == f"{20.5 - dew_c:.2f}"
    assert verdict(page) == "met"
    assert page.locator("[data-verdict=met] svg").is_visible()  # a shape stands beside the word
    # What nobody named, and every figure that is missing, cannot be met.
    for name in ("instrument", "product", "limits_source", "humidity_min", "margin_limit_c", "surface_max_c", "air_c"):
        fill(page, **{name: ""})
        assert verdict(page) == "cannot tell", name
        fill(page, **{name: GOOD[name]})
        assert verdict(page) == "met", name
    fill(page, relative_humidity="96")
    assert verdict(page) == "not met"
    fill(page, surface_error_c="")
    assert (verdict(page), out(page, "low")) == ("not met", "not known")


def test_what_the_page_cannot_read_leaves_nothing_standing(page: Page, address: str, store: Store) -> None:
    _piece, home = a_session(store)
    page.goto(f"{address}{home}/climate", wait_until="networkidle")
    page.context.set_offline(True)
    fill(page, **GOOD)
    for name, text in {"air_c": "1,234", "surface_c": "cold", "humidity_max": "140", "air_max_c": "7"}.items():
        fill(page, **{name: text})
        assert (verdict(page), out(page, "dew"), out(page, "margin")) == ("", "not known", "not known"), text
        expect(page.locator("[data-away=climate] [data-beyond]")).to_be_visible()
        fill(page, **{name: GOOD[name]})
    assert verdict(page) == "met"
    expect(page.locator("[data-away=climate] [data-beyond]")).to_be_hidden()


def test_the_page_says_what_the_laptop_then_records(page: Page, address: str, store: Store) -> None:
    _piece, home = a_session(store)
    page.goto(f"{address}{home}/climate")
    fill(page, **GOOD)
    told = [out(page, name) for name in ("dew", "margin", "low")]
    page.click(".next button")
    page.wait_for_url(f"{address}{home}")
    figures = page.locator(".facts .figure b")
    assert [figures.nth(at).inner_text() for at in range(3)] == told
    assert "met" in page.locator("main .verdict").first.inner_text()


def test_a_mix_is_worked_out_beside_the_coat_with_the_network_off(page: Page, address: str, store: Store) -> None:
    _piece, home = a_session(store)
    page.goto(f"{address}{home}/coat", wait_until="networkidle")
    page.context.set_offline(True)
    page.get_by_text("Mix: grams of each part").click()
    fill(page, total_g="742", part_a="100", part_b="18,5", part_thinner="5")
    # The same figures as tests/finishing/test_mix.py has from the laptop.
    assert [out(page, f"grams_{name}") for name in ("a", "b", "thinner")] == ["600.8", "111.1", "30"]
    assert [out(page, f"scale_{name}") for name in ("a", "b", "thinner")] == ["600.8", "712", "742"]
    page.get_by_label("by volume").check()
    assert out(page, "grams_a") == "not known"
    page.get_by_text("Densities, needed").click()
    fill(page, total_g="1 kg", part_a="4", part_b="1", part_thinner="", density_a="1.35", density_b="1.02")
    assert [out(page, "grams_a"), out(page, "grams_b")] == ["841.1", "158.9"]
    fill(page, resin_g="1000", catalyst_percent="2", catalyst_density="1.15")
    assert [out(page, "catalyst_g"), out(page, "catalyst_ml")] == ["20", "17.4"]
    for percent in ("0.9", "4.5", "20"):
        fill(page, catalyst_percent=percent)
        assert (out(page, "catalyst_g"), out(page, "grams_a")) == ("not known", "841.1")
        expect(page.get_by_text("Refused: catalyst outside 1 to 4 %")).to_be_visible()
    page.get_by_role("button", name="Work it out").click()  # asks the laptop nothing while the page does it
    assert page.url == f"{address}{home}/coat"


def test_a_choice_from_the_list_brings_limits_hours_and_hazards_with_the_network_off(
    page: Page, address: str, store: Store
) -> None:
    with store.write() as session:
        primer, open_tin = a_product(session, batch())
        wax, *_rest = a_product(session, name="Wax (invented)", hazards="H226", recoat_hours=None)
    _piece, home = a_session(store)
    page.goto(f"{address}{home}/climate", wait_until="networkidle")
    page.context.set_offline(True)
    expect(page.get_by_role("button", name="Bring its limits")).to_be_hidden()
    fill(page, air_c="20", relative_humidity="50", surface_c="20,5", instrument="hygrometer 2", air_max_c="12")
    page.select_option("#listed", primer)
    assert verdict(page) == "met"
    words = f"{PRODUCT['name']} ({PRODUCT['maker']})"
    brought = {"product": words, "limits_source": PRODUCT["sheet"], "air_max_c": "30", "surface_max_c": "32"}
    assert {name: page.input_value(f"[name={name}]") for name in brought} == brought
    page.context.set_offline(False)
    page.goto(f"{address}{home}/coat", wait_until="networkidle")
    page.context.set_offline(True)
    assert page.locator("[data-tin]:visible").count() == 0
    fill(page, product="Something else", recoat_hours="99")
    page.select_option("#listed", f"{primer}:{open_tin}")
    assert (page.input_value("[name=product]"), page.input_value("[name=recoat_hours]")) == ("", "8")
    expect(page.get_by_text("H317 May cause")).to_be_visible()
    page.select_option("#listed", wax)
    assert page.input_value("[name=recoat_hours]") == ""
    expect(page.get_by_text("H226")).to_be_visible()
    expect(page.get_by_text("H317 May cause")).to_be_hidden()
    page.select_option("#listed", f"{primer}:{open_tin}")
    fill(page, reason="No meter here.")
    page.get_by_role("button", name="Keep the coat").click()
    expect(page.locator("[data-away=wait] [data-left]")).to_contain_text(re.compile("^[78]:"), timeout=3000)
    page.context.set_offline(False)
    page.wait_for_url(f"{address}{home}", timeout=60_000)
    expect(page.get_by_text("EP-0417")).to_be_visible()


def test_the_countdown_comes_to_its_end_with_the_network_off_and_raises_the_alarm(
    page: Page, address: str, store: Store
) -> None:
    piece, home = a_session(store, coat_hours_ago=3.5)
    page.clock.install(time=datetime.now(UTC))
    page.add_init_script("navigator.vibrate = (pattern) => { window.shaken = pattern.length; return true; };")
    for path in (home, piece):
        page.goto(address + path, wait_until="networkidle")
        page.context.set_offline(True)
        expect(page.locator("[data-left]")).to_contain_text(re.compile(r"^0:(30:00|29:\d\d)$"))
        assert page.locator("[data-over]").is_hidden()
        page.get_by_role("button", name="Ring me").click()
        expect(page.get_by_text("will ring while this page stays open")).to_be_visible()
        title = page.title()
        page.clock.fast_forward("29:00")
        assert page.get_by_role("alert").inner_text() == ""
        page.clock.fast_forward("01:01")
        expect(page.get_by_role("alert")).to_contain_text("The wait on “left wing” is over")
        expect(page.locator("[data-over]")).to_be_visible()
        assert page.locator("[data-pending]").is_hidden()
        assert page.title() == f"Time is over – {title}"
        assert page.evaluate("window.shaken") == 5
        page.context.set_offline(False)


def test_a_phone_that_was_shut_says_so_once_when_it_is_opened_again(page: Page, address: str, store: Store) -> None:
    _piece, home = a_session(store, coat_hours_ago=3.5)
    page.goto(address + home)
    expect(page.locator("[data-left]")).to_contain_text("0:")
    keys = page.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('siteapp not before'))")
    assert len(keys) == 1
    # The laptop's clock half an hour on, as the page tells it: the phone slept over the end.
    later = (datetime.now(UTC) + timedelta(hours=1)).isoformat()
    page.route(f"**{home}", lambda route: _told_later(route, later))
    page.reload()
    expect(page.get_by_role("alert")).to_contain_text("is over")
    page.reload()
    expect(page.locator("[data-over]")).to_be_visible()
    assert page.get_by_role("alert").inner_text() == ""


def _told_later(route: Route, later: str) -> None:
    answer = route.fetch()
    route.fulfill(response=answer, body=re.sub(r'data-now="[^"]*"', f'data-now="{later}"', answer.text()))


def test_a_coat_kept_on_the_phone_counts_down_without_the_laptop(page: Page, address: str, store: Store) -> None:
    _piece, home = a_session(store)
    page.goto(f"{address}{home}/coat", wait_until="networkidle")
    page.context.set_offline(True)
    fill(page, product="Matt glaze", recoat_hours="1,5", reason="No meter here.")
    page.get_by_role("button", name="Keep the coat").click()
    expect(page.locator("[data-away=wait] [data-left]")).to_have_text("1:30:00", timeout=3000)
    page.get_by_role("button", name="Ring me").click()


def test_without_scripts_the_same_pages_say_the_same(chromium: Browser, address: str, store: Store) -> None:
    _piece, home = a_session(store, coat_hours_ago=3.5)
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/sign-in")
    page.fill("#name", "Fitter")
    page.fill("#passphrase", PASSPHRASE)
    page.click(".next button")
    page.goto(address + home)
    assert "Next coat not before" in page.inner_text("main")
    assert page.locator("[data-ring]").is_hidden()
    page.goto(f"{address}{home}/climate")
    assert page.locator("[data-away=climate]").is_hidden()
    page.goto(f"{address}{home}/coat")
    page.get_by_text("Mix: grams of each part").click()
    fill(page, total_g="742", part_a="100", part_b="18,5", part_thinner="5")
    page.get_by_role("button", name="Work it out").click()
    page.wait_for_url(f"{address}/mix?**")
    assert out(page, "scale_b") == "712"
    real.end(context)


def test_an_anchor_kept_on_the_phone_counts_down_to_when_it_may_carry(page: Page, address: str, store: Store) -> None:
    with store.write() as session:
        piece = anchors.a_piece(session)
    home = f"{address}/p/{piece.number}/anchors"
    page.goto(f"{home}/set?label=A", wait_until="networkidle")
    page.select_option("[name=anchor_kind]", "resin")
    page.context.set_offline(True)
    fill(page, product=anchors.PRODUCT, wall_c="12,5", curing="5 °C: 4 h\n10 120\n20: 60 min")
    page.get_by_role("button", name="Keep the anchor").click()
    # Two hours: the row from 10 °C up, not something between it and the next.
    expect(page.locator("[data-cure] [data-left]")).to_contain_text(re.compile(r"^(2:00:00|1:59:)"), timeout=3000)
    page.context.set_offline(False)
    page.wait_for_url(home, timeout=60_000)
    expect(page.locator("[data-not-before] [data-left]")).to_contain_text(re.compile(r"^(2:00:00|1:5\d:)"))
    page.reload()
    page.context.set_offline(True)
    expect(page.locator("[data-not-before] [data-left]")).to_contain_text(re.compile(r"^1:5\d:"))
