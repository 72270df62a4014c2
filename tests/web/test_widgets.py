"""What the macros write: labels and messages tied to their fields, typed text escaped and kept, weight and contrast."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from werkzeug.datastructures import MultiDict
from wtforms import Form

from siteapp.web import i18n, parts
from siteapp.web.fields import (
    Choice,
    Day,
    Figure,
    Instant,
    Lines,
    Photos,
    RoomForm,
    Secret,
    Signature,
    Tick,
    VerdictChoice,
    Whole,
    Words,
)

ROOT = Path(__file__).resolve().parents[2]
CSS = ROOT / "static/css/siteapp.css"
HOSTILE = "\"><script>alert(1)</script>'&"
MOST_CONTRAST, LEAST_ON_WORKING_PAGES = 21, 7


class Layer(Form):
    material = Words("Material", required=True)
    thick_mm = Figure("Thickness", unit="mm", low=0.1, high=50)


class Everything(RoomForm):
    title = Words("Title", required=True, hint="Short.")
    note = Words("Note", rows=4)
    mass_kg = Figure("Weight", unit="kg", low=0.1, high=5000)
    people = Whole("People", low=1, high=20)
    role = Choice("Role", choices=[("a", "A"), ("b", "B")])
    paper = Choice("Paper", choices=[("a4", "A4"), ("letter", "Letter")], look="select")
    answer = VerdictChoice("Flat on the wall", required=True, hint="Look behind it.")
    confirm = Tick("I looked")
    made = Day("Made")
    read_at = Instant("Read at")
    pin = Secret("PIN", digits=True)
    layers = Lines(Layer, "Build-up", hint="From the face.")
    photos = Photos("Photos")
    drawn = Signature("Signature")
    signed_name = Words("Name")
    back_to = Words("", hidden=True)


PAGE = """{% import "web/widgets.html" as w %}{{ w.form_head(form, "/save") }}
{% for f in form if f.name not in ("form_id", "at", "revises", "corrects", "confirm", "drawn", "signed_name") %}
{{ w.field(f) }}{% endfor %}{{ w.signature(form.drawn, form.signed_name) }}{{ w.hold(form.confirm, "Hold") }}
{{ w.form_foot() }}{{ w.submit("Save") }}"""


@pytest.fixture(scope="module")
def pages() -> Environment:
    loader = FileSystemLoader(ROOT / "siteapp/templates")
    environment = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    i18n.install(environment)
    parts.install(environment)
    environment.globals["csrf_token"] = lambda: "a-token"
    return environment


class Elements(HTMLParser):
    """Every start tag with its attributes."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def named(self, name: str) -> dict[str, str | None]:
        return next(attrs for _tag, attrs in self.found if attrs.get("name") == name)


def drawn(pages: Environment, form: RoomForm) -> str:
    return pages.from_string(PAGE).render(form=form)


def refused(**typed: str) -> Everything:
    form = Everything(MultiDict({"form_id": "0b54e2a4-94a5-4b9d-9a5a-0a6e2c7f4b11", **typed}))
    form.validate()
    return form


TEXTS = ("title", "note", "mass_kg", "people", "made", "read_at", "back_to", "layers-0-material", "layers-0-thick_mm")


@pytest.mark.parametrize("name", TEXTS)
def test_what_was_typed_comes_back_escaped(pages: Environment, name: str) -> None:
    html = drawn(pages, refused(**{name: HOSTILE}))
    assert "<script>alert" not in html
    kept = Elements(html).named(name)
    assert name == "note" or kept["value"] == HOSTILE
    assert name != "note" or "\n&#34;&gt;&lt;script&gt;alert(1)&lt;/script&gt;&#39;&amp;</textarea>" in html


def test_a_secret_does_not_come_back(pages: Environment) -> None:
    html = drawn(pages, refused(pin="987654321"))
    assert "987654321" not in html
    assert "value" not in Elements(html).named("pin")


def test_every_input_has_a_label_and_every_description_exists(pages: Environment) -> None:
    elements = Elements(
        drawn(pages, refused(mass_kg="-3", answer="x", made="1899-01-01", **{"layers-0-thick_mm": "x"}))
    )
    ids = [str(attrs["id"]) for _tag, attrs in elements.found if attrs.get("id")]
    assert len(ids) == len(set(ids))
    labelled = {attrs.get("for") for tag, attrs in elements.found if tag == "label"}
    for tag, attrs in elements.found:
        if tag in ("input", "select", "textarea") and attrs.get("type") not in ("hidden", "radio"):
            assert attrs["id"] in labelled, attrs
        for other in (attrs.get("aria-describedby") or "").split():
            assert other in ids, attrs


def test_a_refused_field_says_so_to_everybody(pages: Environment) -> None:
    html = drawn(pages, refused(title="x", mass_kg="-3"))
    field = Elements(html).named("mass_kg")
    assert field["aria-invalid"] == "true"
    assert field["aria-describedby"] == "mass_kg-unit mass_kg-error"
    assert '<a href="#mass_kg">Weight: “-3” is not taken.' in html
    assert Elements(html).named("title").get("aria-invalid") is None
    assert "Nothing is lost" in html


def test_a_refused_date_comes_back_in_a_plain_field_that_can_show_it(pages: Environment) -> None:
    elements = Elements(drawn(pages, refused(made="31/12/1899")))
    assert (elements.named("made")["type"], elements.named("made")["value"]) == ("text", "31/12/1899")
    assert elements.named("read_at")["type"] == "datetime-local"


def test_photos_on_the_laptop_come_back_as_ticked_hashes(pages: Environment) -> None:
    form = refused(photos_sha="ab" * 32)
    html = drawn(pages, form)
    assert f'name="photos_sha" value="{"ab" * 32}" checked' in html


def test_the_form_carries_what_every_form_carries(pages: Environment) -> None:
    form = Everything(data={"revises": "7d1f6c1e-3a51-4f0e-8a53-6a35d9b3a4c2"})
    html = drawn(pages, form)
    elements = Elements(html)
    head = next(attrs for tag, attrs in elements.found if tag == "form")
    assert "data-keep" in head
    assert (head["method"], head["enctype"]) == ("post", "multipart/form-data")
    assert elements.named("csrf")["value"] == "a-token"
    assert elements.named("form_id")["value"] == form.form_id.data
    assert elements.named("at")["value"] == ""
    assert elements.named("revises")["value"] == "7d1f6c1e-3a51-4f0e-8a53-6a35d9b3a4c2"
    assert "data-problems" not in html


def test_a_clash_offers_a_correction_before_the_empty_field_of_the_same_name(pages: Environment) -> None:
    form = refused()
    form.clash_with("entry-1", "/p/1")
    html = drawn(pages, form)
    assert Elements(html).named("corrects")["value"] == "entry-1"
    assert 'href="/p/1"' in html


def test_pages_hold_nothing_that_the_strict_policy_forbids(pages: Environment) -> None:
    # What becomes a PDF is never served as a page.
    served = [file for file in (ROOT / "siteapp/templates").rglob("*.html") if file.parent.name != "documents"]
    sources = "".join(file.read_text() for file in served)
    assert not re.search(
        r"<style|\sstyle=|\son[a-z]+=|javascript:|<script(?! type=\"application/json\")(?![^>]*\bsrc=)", sources
    )


@pytest.mark.parametrize("verdict", ["met", "not met", "cannot tell", None])
def test_a_verdict_is_a_word_and_a_shape(pages: Environment, verdict: str | None) -> None:
    page = '{% import "web/parts.html" as parts %}{{ parts.verdict_mark(v) }}'
    html = pages.from_string(page).render(v=verdict)
    assert "<svg" in html
    assert re.sub("<[^>]*>", "", html).strip() == (verdict or "not answered yet")


def test_a_percent_sign_in_a_message_stands_for_itself(pages: Environment) -> None:
    assert pages.from_string('{{ _("50 % and <b>") }}').render() == "50 % and &lt;b&gt;"
    assert pages.from_string('{{ _("%(a)s", a="<b>") }}').render() == "&lt;b&gt;"
    assert pages.from_string("{% trans n=2 %}{{ n }} is 50 %{% endtrans %}").render() == "2 is 50 %"


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (w3.org/TR/WCAG22, `relative luminance`)."""
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, two: str) -> float:
    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_has_the_contrast_that_the_guideline_gives() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(MOST_CONTRAST)  # WCAG 2.2: from 1:1 to 21:1


@pytest.mark.parametrize("theme", [0, 1], ids=["light", "dark"])
def test_text_stands_out_seven_to_one_by_day_and_by_night(theme: int) -> None:
    block = CSS.read_text().split(":root {")[theme + 1].split("}")[0]
    colours: dict[str, Any] = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", block))
    pairs = [(text, ground) for text in ("ink", "quiet", "accent", "stop", "caution") for ground in ("paper", "sheet")]
    pairs += [("on-accent", "accent"), ("accent", "tint"), ("ink", "tint"), ("stop", "stop-tint"), ("ink", "stop-tint")]
    pairs += [("caution", "caution-tint"), ("paper", "ink"), ("quiet", "tint")]
    weak = {pair: round(contrast(colours[pair[0]], colours[pair[1]]), 2) for pair in pairs}
    assert not {pair: ratio for pair, ratio in weak.items() if ratio < LEAST_ON_WORKING_PAGES}
