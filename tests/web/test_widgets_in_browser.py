"""What the small scripts do, in a real browser under the policy that every page has."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from flask import Flask, render_template_string
from werkzeug.serving import make_server
from wtforms import Form

from siteapp.web import i18n, parts, still, waiting
from siteapp.web.fields import Figure, Lines, Photos, RoomForm, Signature, Tick, Words, typed
from siteapp.web.security import POLICY
from tests.support import chromium as real

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Response
    from playwright.sync_api import Browser, Page

ROOT = Path(__file__).resolve().parents[2]
pytestmark = real.needed

PAGE = """{% extends "base.html" %}{% import "web/widgets.html" as w %}
{% block main %}<h1>Sheet</h1>{{ w.form_head(form, "/") }}
{% for name in ("title", "wide_mm", "layers", "photos") %}{{ w.field(form[name]) }}{% endfor %}
{{ w.signature(form.drawn) }}{{ w.hold(form.confirm, "Hold") }}{{ w.form_foot() }}{% endblock %}
{% block next %}{{ w.submit("Save") }}{% endblock %}"""


class Layer(Form):
    material = Words("Material")


class Sheet(RoomForm):
    title = Words("Title", required=True)
    wide_mm = Figure("Width", unit="mm", low=1, high=100)
    layers = Lines(Layer, "Layers", spare=2)
    photos = Photos("Photos")
    drawn = Signature("Signature")
    confirm = Tick("I looked")


class Site:
    """A page with every scripted widget; `sent` gathers what arrives."""

    def __init__(self) -> None:
        self.sent: list[Sheet] = []
        self.drawn = b""
        app = Flask("siteapp", root_path=str(ROOT / "siteapp"), static_folder=None)
        still.serve(app, ROOT / "static")
        app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
        i18n.install(app.jinja_env)
        parts.install(app.jinja_env)
        app.jinja_env.globals.update(csrf_token=lambda: "t", who=lambda: None)
        app.jinja_env.globals.update(page_data=lambda: "", waiting_words=waiting.words)
        app.add_url_rule("/sign-in", "people.sign_in", lambda: "")
        app.add_url_rule("/", "page", self.page, methods=["GET", "POST"])
        app.after_request(self.guard)
        self.server = make_server("127.0.0.1", 0, app, threaded=True)
        self.address = f"http://127.0.0.1:{self.server.server_port}/"
        self.thread = threading.Thread(target=self.server.serve_forever)
        self.thread.start()

    def page(self) -> str:
        form = Sheet()
        if "form_id" in typed():
            form = Sheet(typed())
            form.validate()
            self.sent.append(form)
            self.drawn = b"".join(file.stream.read() for file in form.drawn.files)
        return render_template_string(PAGE, form=form)

    @staticmethod
    def guard(response: Response) -> Response:
        response.headers["Content-Security-Policy"] = POLICY
        response.headers["Cache-Control"] = "no-store"
        return response

    def stop(self) -> None:
        self.server.shutdown()
        self.thread.join()
        self.server.server_close()


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    running = Site()
    yield running
    running.stop()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with real.chromium() as browser:
        yield browser


@pytest.fixture
def page(site: Site, chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 360, "height": 740})
    opened = context.new_page()
    said: list[str] = []
    opened.on("console", lambda message: said.append(message.text))
    opened.on("pageerror", lambda error: said.append(str(error)))
    site.sent.clear()
    opened.goto(site.address)
    opened.wait_for_selector("[data-pad]:not([hidden])")
    opened.wait_for_function("document.querySelector('[name=confirm]').closest('label').hidden")
    opened.wait_for_function("document.querySelector('[name=wide_mm]').inputMode == 'decimal'")
    yield opened
    real.end(context)
    assert not said


def save(page: Page) -> None:
    with page.expect_navigation():
        page.click(".next button")


def photo(name: str) -> dict[str, object]:
    return {"name": name, "mimeType": "image/jpeg", "buffer": name.encode()}


def test_a_second_photo_joins_the_first_and_one_can_be_taken_out(site: Site, page: Page) -> None:
    page.set_input_files("[name=photos]", [photo("a.jpg")])
    page.set_input_files("[name=photos]", [photo("b.jpg")])
    page.set_input_files("[name=photos]", [photo("c.jpg")])
    page.click("[aria-label='Take out: b.jpg']")
    save(page)
    assert [file.filename for file in site.sent[0].photos.files] == ["a.jpg", "c.jpg"]


def test_a_drawn_signature_arrives_as_a_png(site: Site, page: Page) -> None:
    page.locator("canvas").scroll_into_view_if_needed()
    place = page.locator("canvas").bounding_box()
    assert place
    page.mouse.move(place["x"] + 20, place["y"] + 20)
    page.mouse.down()
    page.mouse.move(place["x"] + 200, place["y"] + 60, steps=4)
    page.mouse.up()
    assert page.inner_text("[data-pad-says]") == "Signature drawn."
    save(page)
    assert len(site.sent[0].drawn.files) == 1
    assert site.drawn[:8] == b"\x89PNG\r\n\x1a\n"  # PNG signature: ISO/IEC 15948, 5.2


def test_a_cleared_signature_is_not_sent(site: Site, page: Page) -> None:
    page.click("canvas")
    page.click("[data-clear]")
    save(page)
    assert site.sent[0].drawn.is_blank()


def test_a_line_is_added_on_the_page_and_arrives(site: Site, page: Page) -> None:
    page.fill("[name=layers-1-material]", "Glass mat")
    page.click("[data-more]")
    assert page.evaluate("document.activeElement.name") == "layers-102-material"
    page.keyboard.type("Gelcoat")
    save(page)
    assert site.sent[0].layers.rows() == [{"material": "Glass mat"}, {"material": "Gelcoat"}]


def test_a_tap_on_the_unit_brings_the_letters_back(page: Page) -> None:
    page.click("#wide_mm-unit")
    assert page.evaluate("document.activeElement.inputMode") == "text"


def test_a_hold_point_is_confirmed_by_holding_and_not_by_a_tap(site: Site, page: Page) -> None:
    button = page.locator("button.hold")
    button.click()
    assert page.is_visible("[name=confirm]")
    assert not site.sent
    place = button.bounding_box()
    assert place
    page.mouse.move(place["x"] + 50, place["y"] + 20)
    with page.expect_navigation():
        page.mouse.down()
    page.mouse.up()
    assert site.sent[0].confirm.data


def test_by_keyboard_a_hold_point_is_ticked_and_sent(site: Site, page: Page) -> None:
    page.focus("button.hold")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.name") == "confirm"
    page.keyboard.press("Space")
    page.focus("button.hold")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert site.sent[0].confirm.data


def test_three_quick_presses_send_once_with_the_devices_time(site: Site, page: Page) -> None:
    with page.expect_navigation():
        page.evaluate("for (let n = 0; n < 3; n += 1) document.querySelector('.next button').click()")
    [form] = site.sent
    assert form.at.data is not None


def test_back_and_sent_again_a_form_keeps_its_id(site: Site, page: Page) -> None:
    page.fill("[name=title]", "Turnstones")
    save(page)
    page.go_back()
    page.fill("[name=title]", "Turnstones, five")
    save(page)
    one, two = site.sent
    assert one.form_id.data == two.form_id.data


def test_a_refused_form_puts_the_focus_on_what_is_wrong(page: Page) -> None:
    page.fill("[name=wide_mm]", "-3")
    save(page)
    assert page.evaluate("document.activeElement.className") == "problems"
    page.click("text=“-3” is not taken >> nth=0")
    assert page.evaluate("document.activeElement.name || location.hash") in ("wide_mm", "#wide_mm")
    assert page.input_value("[name=wide_mm]") == "-3"


def test_without_scripts_lines_are_added_by_the_laptop(site: Site, chromium: Browser) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site.address)
    page.fill("[name=layers-0-material]", "Gelcoat")
    page.click("[data-more]")
    assert page.locator("[data-rows] .line-row").count() == 4
    assert page.input_value("[name=layers-0-material]") == "Gelcoat"
    assert page.locator("[data-problems]").count() == 0
    real.end(context)
