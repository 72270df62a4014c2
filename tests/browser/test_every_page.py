"""Every page of the demo in a real browser, at a phone's size: accessible, nothing sideways, nothing from elsewhere."""

import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from sqlalchemy import select

from seed_demo import build
from siteapp.finishing.colour.models import ColourSample
from siteapp.finishing.models import Product
from siteapp.handover.models import Certificate
from siteapp.people.services import all_people
from siteapp.phones import services as phones
from siteapp.pieces.services import find
from siteapp.store.models import Entry
from tests.support import chromium as real

pytestmark = [real.needed, pytest.mark.timeout(400)]
PHONE = {"width": 360, "height": 740}
MOST_BYTES = 60_000
HEAT = ("appliance", "distances", "evidence", "limits", "test")
HANGING = (
    "hanging",
    "build-up",
    "weighing",
    "points",
    "strength",
    "wall",
    "template",
    "pack",
    "holes",
    "holes/ease?label=A",
    "loads",
    "anchors",
    "anchors/set",
    "anchors/prove",
    "anchors/tighten",
    "lift",
    "route",
)
ROOT = Path(__file__).resolve().parents[2]


def two_phones_and_a_changed_address(store):
    """What the start page and the set-up card show of phones, in full."""
    now, laptop = datetime.now(UTC), store.begin_laptop()
    with store.write() as session:
        person = all_people(session)[0].person_id
        for addresses in (["192.168.4.1"], ["10.42.0.1", "192.168.100.100"]):
            phones.note_addresses(session, laptop_id=laptop, addresses=addresses, now=now)
            session.flush()
        for device, host in (("old", "192.168.4.1"), ("new", "10.42.0.1")):
            phones.keep_report(session, phones.Report(device, person, host, waiting=2, look=1), now)


@pytest.fixture(scope="module")
def pages(demo):
    """The demo's address, every page of it for everybody and for the crew, and the number of the piece in its place."""
    two_phones_and_a_changed_address(demo.store)
    with demo.store.read() as session:
        of = {key: find(session, number) for key, number in demo.numbers.items()}
        job = of["dunlins"].job_id

        def first(kind, key):
            query = select(Entry.id).where(Entry.kind == kind, Entry.piece_id == of[key].piece_id)
            return session.scalars(query.order_by(Entry.recorded_at)).first()

        finishing, open_session = (first("finishing_session", key) for key in ("dunlins", "avocets"))
        finished, test = first("finishing_session", "grebes"), first("heat_test", "grebes")
        sample = session.scalars(select(ColourSample.sample_id)).first()
        arrival, snag = first("arrival", "knots"), first("snag", "knots")
        certificate = session.scalars(select(Certificate.number)).first()
        product = session.scalars(select(Product.product_id)).first()
    number = {key: f"/p/{number}" for key, number in demo.numbers.items()}
    whole, curlew, herons, knots = (number[key] for key in ("dunlins", "curlew", "herons", "knots"))
    public = ["/sign-in", "/waiting", "/scan", whole, f"/c/{certificate}", "/p/nothing", "/phones", "/verify"]
    crew = [
        "/",
        "/?find=birds",
        "/waiting",
        "/jobs",
        f"/jobs/{job}",
        "/jobs/new",
        f"/jobs/{job}/edit",
        "/pin",
        "/phones",
    ]
    crew += ["/phones", f"/jobs/{job}/pieces/new", f"/jobs/{job}/bring-in", f"/jobs/{job}/visits"]
    crew += ["/people", "/settings", "/settings/lists", whole, f"{whole}/particulars", f"{whole}/edit"]
    crew += [f"{whole}/agreed", f"{whole}/agreed/new", f"{whole}/label", f"{whole}/dispatch", f"{herons}/dispatch"]
    crew += [f"{whole}/arrival", f"{herons}/arrival", f"{knots}/arrival", f"{knots}/marks/{arrival}"]
    crew += [f"{curlew}/checks", f"{herons}/checks", f"{herons}/checks?stage=fixed", f"{whole}/checks?stage=arrived"]
    crew += [f"{whole}/{page}" for page in HANGING] + [f"{knots}/holes", f"{herons}/hanging", f"{herons}/loads"]
    crew += [f"{number['avocets']}/{page}" for page in ("hanging", "anchors", "points")] + ["/area"]
    crew += [f"{number['whelk']}/checks?stage=ready", f"{number['avocets']}/checks?stage=fixed"]
    crew += [f"{whole}/snags", f"{whole}/snags?raise=1", f"{knots}/snags/{snag}"]
    crew += ["/products", f"/products/{product}", f"{whole}/finishing", f"{whole}/finishing/{finishing}"]
    crew += [f"{curlew}/finishing", "/mix"]
    crew += [f"{number['avocets']}/finishing/{open_session}{page}" for page in ("", "/climate", "/coat", "/close")]
    grebes = number["grebes"]
    crew += [grebes, f"{grebes}/heat", *(f"{grebes}/heat/{page}" for page in HEAT), f"{herons}/heat/distances"]
    crew += [f"{grebes}/heat/test/{test}{page}" for page in ("", "/log", "/end")] + [f"{herons}/heat"]
    crew += [f"{grebes}/finishing/{finished}", f"{grebes}/finishing/zones", f"{whole}/finishing/zones"]
    crew += [f"{grebes}/colour", f"{grebes}/colour/{sample}", f"{grebes}/colour/{sample}/answer", f"{whole}/colour"]
    crew += [
        f"{grebes}/touch-up",
        f"{curlew}/touch-up",
        "/products/new",
        "/products/scan",
        f"/products/{product}/batch",
    ]
    crew += [f"{whole}/condition", f"{knots}/condition", f"{whole}/aftercare", f"{number['turnstone']}/aftercare"]
    crew += ["/aftercare", f"{whole}/handover", f"{curlew}/handover", f"{number['sandpipers']}/handover"]
    crew += [f"{whole}/handover/certificate", number["turnstone"], number["shoal"]]
    crew += [f"/c/{certificate}/{'0' * 32}", f"{whole}/handover/give", "/keeping", "/keeping/key", f"/jobs/{job}/erase"]
    crew += [f"/jobs/{job}/erased"]
    return demo.address, public, crew, demo.numbers["dunlins"]


def sign_in(page, address):
    name, _role, passphrase = build.SIGN_IN[0]
    page.goto(f"{address}/sign-in")
    page.fill("#name", name)
    page.fill("#passphrase", passphrase)
    page.click(".next button")
    page.wait_for_url(f"{address}/")


@dataclass(frozen=True)
class Walked:
    """What was seen on each page: what is wrong with it, and how many bytes of styles and scripts it loads."""

    wrong: dict[str, list[str]]
    bytes: dict[str, int]


def walk(page, address, paths):
    """One look at each of these pages, since a look takes a second."""
    said, loaded = [], []
    page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    page.on("request", lambda sent: None if sent.url.startswith((address, "blob:")) else said.append(sent.url))
    page.on("response", lambda came: loaded.append(came) if came.url.endswith((".js", ".css")) else None)
    walked = Walked({}, {})
    for path in paths:
        said.clear()
        loaded.clear()
        page.set_viewport_size(PHONE)
        status = page.goto(address + path, wait_until="networkidle").status
        walked.bytes[path] = sum({came.url: int(came.headers["content-length"]) for came in loaded}.values())
        found = [one for one in said if "404" not in one]
        if status not in {200, 404}:
            found.append(f"status {status}")
        if page.evaluate("document.documentElement.scrollWidth") > PHONE["width"]:
            found.append("scrolls sideways")
        # As tall as the page: what lies under the bar at the bottom edge would count as hidden.
        page.set_viewport_size({"width": 360, "height": page.evaluate("document.documentElement.scrollHeight") + 200})
        result = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
        found += [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in result.response["violations"]]
        if found:
            walked.wrong[path] = found
    return walked


@pytest.fixture(scope="module")
def crews(pages, chromium):
    """Every page of the crew, walked once."""
    address, _public, crew, _whole = pages
    page = chromium.new_page()
    sign_in(page, address)
    return walk(page, address, crew)


def test_every_page_loads_less_than_sixty_kilobytes_of_styles_and_scripts(crews):
    """The limit is our own, so that a page is there at once on a weak hotspot."""
    assert all(crews.bytes.values())
    assert {path: size for path, size in crews.bytes.items() if size >= MOST_BYTES} == {}


def test_every_public_page_is_accessible_and_keeps_to_itself(pages, chromium):
    address, public, _crew, _whole = pages
    assert walk(chromium.new_page(), address, public).wrong == {}


def test_every_page_of_the_crew_is_accessible_and_keeps_to_itself(crews):
    assert crews.wrong == {}


def test_a_piece_is_found_from_the_start_page_on_a_phone_without_scripts(pages, chromium):
    address, _public, _crew, whole = pages
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    sign_in(page, address)
    page.get_by_role("link", name="Scan a label").click()
    page.get_by_label("Or the number on it").fill(f"{whole[:4].lower()} {whole[4:].lower()}")
    page.get_by_role("button", name="Find the piece").click()
    page.wait_for_url(f"{address}/p/{whole}")
    assert page.get_by_role("heading", level=1).inner_text() == "Three dunlins at the turn of the tide"
    real.end(context)


def test_the_phone_page_of_the_readme_is_what_a_phone_shows(pages, chromium):
    """Writes the README's picture when asked to (SITEAPP_PICTURES=1); always looks at the page it shows."""
    address, _public, _crew, whole = pages
    context = chromium.new_context(viewport=PHONE, device_scale_factor=2)
    page = context.new_page()
    sign_in(page, address)
    page.goto(f"{address}/p/{whole}")
    assert "24.6 kg" in page.inner_text("main")
    picture = page.screenshot()
    if os.environ.get("SITEAPP_PICTURES"):
        (ROOT / "static" / "pictures" / "piece-on-a-phone.png").write_bytes(picture)
    real.end(context)


def test_the_line_about_saving_is_there_to_be_read_on_a_page_without_a_form(pages, chromium):
    address, _public, _crew, _whole = pages
    page = chromium.new_page()
    sign_in(page, address)
    expect(page.locator("[data-saving]")).to_have_text("All saved on the laptop", use_inner_text=True)
