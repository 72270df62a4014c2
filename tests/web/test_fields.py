"""Words, choices, ticks, dates, secrets, files and the form around them."""

from __future__ import annotations

import io
import json
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import CombinedMultiDict, FileStorage, MultiDict
from wtforms import Form

from siteapp.web import dates
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
    Words,
)

ID = "0b54e2a4-94a5-4b9d-9a5a-0a6e2c7f4b11"
OTHER_ID = "7d1f6c1e-3a51-4f0e-8a53-6a35d9b3a4c2"
SHA = "ab" * 32


class Layer(Form):
    material = Words("Material", required=True, longest=20)
    thick_mm = Figure("Thickness", unit="mm", low=0.1, high=50)


class Everything(RoomForm):
    kind = "particulars"

    title = Words("Title", longest=20)
    note = Words("Note", rows=4)
    role = Choice("Role", choices=[("maker", "Maker"), ("fitter", "Fitter")])
    answer = VerdictChoice("Flat on the wall")
    active = Tick("May sign in")
    made = Day("Made")
    read_at = Instant("Read at")
    due = Day("Due", future=True)
    pin = Secret("Day PIN", digits=True)
    layers = Lines(Layer, "Build-up", spare=2, most=3)
    photos = Photos("Photos", slot="back", most=2)
    drawn = Signature("Signature")


def sent(*pairs: tuple[str, str], files: tuple[tuple[str, FileStorage], ...] = ()) -> Everything:
    return Everything(CombinedMultiDict([MultiDict([("form_id", ID), *pairs]), MultiDict(files)]))


def part(name: str, data: bytes = b"x") -> FileStorage:
    return FileStorage(io.BytesIO(data), filename=name)


def messages(form: RoomForm) -> list[str]:
    return [message for _label, message, _where in form.problems()]


@pytest.mark.parametrize("text", ["🪶 سنونو \u200fעם\u200e ﷽", "e\u0301", "a\tb", "  leading kept in a note"])
def test_words_keep_emoji_and_right_to_left_text_as_typed(text: str) -> None:
    form = sent(("note", text + "  \r\n"))
    assert form.validate()
    assert form.note.data == text


def test_line_ends_become_line_feeds_and_a_title_has_one_line() -> None:
    form = sent(("note", "a\r\nb\rc"), ("title", " a\r\nb "))
    assert (form.note.data, form.title.data) == ("a\nb\nc", "a b")


@pytest.mark.parametrize(("sign", "code"), [("\x00", "U+0000"), ("\ud800", "U+D800"), ("\x0b", "U+000B")])
def test_a_character_that_cannot_be_kept_is_named_with_its_place(sign: str, code: str) -> None:
    form = sent(("note", f"ab{sign}c"))
    assert not form.validate()
    assert messages(form) == [f"Note: the character at place 3 ({code}) cannot be kept. Take it out."]


def test_a_note_of_ten_thousand_characters_is_kept_and_a_longer_one_stays_as_typed() -> None:
    assert sent(("note", "é" * 10_000)).validate()
    form = sent(("note", "é" * 10_001))
    assert not form.validate()
    assert messages(form) == ["Note: 10\u202f001 characters are too many. Give at most 10\u202f000."]
    assert form.note.shown == "é" * 10_001


def test_the_first_of_two_values_counts_and_unknown_fields_do_not() -> None:
    form = sent(("title", "one"), ("title", "two"), ("price", "3"))
    assert form.validate()
    assert form.title.data == "one"
    assert "price" not in form.values()


def test_a_choice_must_be_one_of_those_offered() -> None:
    form = sent(("role", "owner"), ("answer", "perhaps"))
    assert not form.validate()
    assert messages(form) == [
        "Role: “owner” is not taken. Choose one of: Maker, Fitter.",
        "Flat on the wall: “perhaps” is not taken. Choose one of: met, not met, cannot tell.",
    ]


@pytest.mark.parametrize(("text", "ticked"), [("yes", True), ("on", True), ("", False), ("no", False), ("0", False)])
def test_a_tick_is_a_yes_or_a_no(text: str, ticked: bool) -> None:
    assert sent(("active", text)).active.data is ticked


@pytest.mark.parametrize("text", ["2026-02-03", "3.2.2026", "03. 02. 2026", "3 Feb 2026", "3 February 2026"])
def test_a_date_is_read_when_everybody_reads_it_the_same_way(text: str) -> None:
    assert dates.read_day(text) == date(2026, 2, 3)


@pytest.mark.parametrize("text", ["1899-12-31", "2999-01-01", "0001-01-01", "3/2/2026", "2026-02-30", "yesterday", "²"])
def test_a_date_outside_its_limits_is_refused_with_the_limits(text: str) -> None:
    form = sent(("made", text))
    assert not form.validate()
    today = dates.day_words(dates.today())
    assert messages(form) == [f"Made: “{text}” is not taken. Give a date from 1 Jan 1900 to today, {today}."]
    assert form.made.shown == text


def test_a_date_ahead_is_taken_where_it_is_asked_for() -> None:
    ahead = dates.today() + timedelta(days=30)
    form = sent(("due", ahead.isoformat()))
    assert form.validate()
    assert form.due.data == ahead


def test_a_time_is_read_on_this_laptops_clock_and_not_taken_from_the_future() -> None:
    now = datetime.now().astimezone().replace(second=0, microsecond=0)
    assert sent(("read_at", f"{now:%Y-%m-%dT%H:%M}")).read_at.data == now.astimezone(UTC)
    form = sent(("read_at", f"{now + timedelta(hours=2):%Y-%m-%dT%H:%M}"))
    assert not form.validate()
    assert "Give a date and a time from 1 Jan 1900 to now" in messages(form)[0]


@given(st.text(max_size=50))
def test_any_text_for_a_date_is_a_date_or_a_message(text: str) -> None:
    form = sent(("made", text), ("read_at", text), ("due", text))
    form.validate()
    for field in (form.made, form.read_at, form.due):
        assert (field.data is None) == (bool(field.errors) or not text.strip())


def test_a_secret_is_never_shown_back_and_leaves_no_trace() -> None:
    form = sent(("pin", "12"))
    assert not form.validate()
    assert messages(form) == ["Day PIN: give 4 to 8 digits."]
    assert form.pin.shown == ""
    assert "pin" not in sent(("pin", "1234")).values()


def test_blank_rows_are_dropped_and_a_wrong_one_is_named_by_its_line() -> None:
    form = sent(
        ("layers-0-material", " "),
        ("layers-1-material", "Gelcoat"),
        ("layers-1-thick_mm", "0,8"),
        ("layers-4-thick_mm", "1e999"),
        ("layers-²-material", "odd digit"),
        ("layers-99999999999-material", "far too far"),
    )
    assert not form.validate()
    assert form.layers.rows()[0] == {"material": "Gelcoat", "thick_mm": 0.8}
    assert messages(form) == [
        "Build-up, line 3: Material: this is needed.",
        "Build-up, line 3: Thickness: “1e999” is not taken. Give a number from 0.1 to 50 mm.",
    ]


def test_too_many_rows_are_refused_not_cut_off() -> None:
    form = sent(*((f"layers-{row}-material", "x") for row in range(4)))
    assert not form.validate()
    assert messages(form) == ["Build-up: 4 lines are too many. Give at most 3."]
    assert len(form.layers.entries) == 4


def test_asking_for_more_rows_saves_nothing_and_complains_of_nothing() -> None:
    form = sent(("more", "layers"), ("layers-0-material", "x"), ("made", "rubbish"))
    assert not form.validate()
    assert messages(form) == []
    assert len(form.layers.entries) == 3
    assert form.made.shown == "rubbish"


def test_photos_come_as_parts_or_as_hashes_and_empty_ones_are_named() -> None:
    form = sent(("photos_sha", SHA), files=(("photos", part("a.jpg")), ("photos", part("", b""))))
    assert form.validate()
    assert (form.photos.hashes, [file.filename for file in form.photos.files]) == ([SHA], ["a.jpg"])
    assert form.photos.files[0].stream.read() == b"x"
    form.photos.take("cd" * 32)
    assert form.values()["photos"] == [SHA, "cd" * 32]
    assert messages_of(sent(files=(("photos", part("b.jpg", b"")),))) == ["Photos: the file “b.jpg” is empty."]
    assert messages_of(sent(("photos_sha", "../../x"))) == ["Photos: a photo was damaged on its way. Choose it again."]
    too_many = sent(files=tuple(("photos", part(f"{number}.jpg")) for number in range(3)))
    assert messages_of(too_many) == ["Photos: 3 photos are too many. Give at most 2."]


def messages_of(form: RoomForm) -> list[str]:
    form.validate()
    return messages(form)


def test_a_new_signature_takes_the_place_of_the_one_before() -> None:
    assert sent(("drawn_sha", SHA)).drawn.sha == SHA
    form = sent(("drawn_sha", SHA), files=(("drawn", part("s.png")),))
    assert form.validate()
    assert (form.drawn.sha, len(form.drawn.files)) == (None, 1)


def test_the_forms_id_is_minted_for_a_page_and_kept_when_it_comes_back() -> None:
    assert Everything().form_id.data != Everything().form_id.data
    assert sent().form_id.data == ID
    for bad in ("", "x", ID + "0", f"{{{ID}}}"):
        form = Everything(MultiDict({"form_id": bad}))
        assert messages_of(form) == ["This form came without its number. Send it once more."]
        assert form.form_id.shown != bad


@pytest.mark.parametrize(
    ("text", "instant"),
    [
        ("2026-11-25T10:00:00.000Z", datetime(2026, 11, 25, 10, tzinfo=UTC)),
        ("1970-01-01T00:00:00Z", datetime(1970, 1, 1, tzinfo=UTC)),
        ("2026-11-25T10:00:00", None),
        ("0001-01-01T00:00:00+14:00", None),
        ("soon", None),
        ("", None),
        ("9" * 500, None),
    ],
)
def test_a_devices_time_is_kept_however_odd_and_never_refused(text: str, instant: datetime | None) -> None:
    form = sent(("at", text))
    assert form.validate()
    assert form.at.data == instant


def test_values_are_the_same_whenever_and_however_often_a_form_is_sent() -> None:
    pairs = (("title", "Turnstones"), ("made", "2026-02-03"), ("layers-0-material", "x"), ("csrf", "t"))
    one, two = sent(*pairs, ("at", "2026-11-25T10:00:00Z")), Everything(MultiDict([("form_id", OTHER_ID), *pairs]))
    assert one.values() == two.values()
    assert json.loads(json.dumps(one.values())) == one.values()
    assert {"form_id", "at", "csrf"}.isdisjoint(one.values())


def test_a_refusal_by_another_field_survives_that_fields_own_check() -> None:
    form = sent()
    form.note.refuse("Note: say why.")
    assert not form.validate()
    assert messages(form) == ["Note: say why."]


def test_a_clash_and_an_overtaking_are_told_and_lead_on() -> None:
    form = sent(("revises", OTHER_ID))
    form.overtaken_by(("entry-new",))
    assert form.revises.shown == "entry-new"
    assert "Somebody else changed this" in messages(form)[0]
    form = sent()
    form.clash_with("entry", "/p/1")
    assert form.clash is not None
    assert "was saved before" in messages(form)[0]


@given(
    st.dictionaries(st.sampled_from([*Everything()._fields, "layers-0-material", "more", "x"]), st.text(max_size=60))
)
def test_no_text_in_any_field_raises(fields: dict[str, str]) -> None:
    form = Everything(MultiDict(fields))
    form.validate()
    form.values()
    assert all(message and "None" not in label for label, message, _where in form.problems())
