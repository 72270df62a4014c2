"""The page that brings particulars in: looked at first, refused, brought in once."""

from __future__ import annotations

import html
import io
import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.pieces import services
from tests import factories

if TYPE_CHECKING:
    from siteapp.store.db import Store
    from tests.web_support import Browser

TWO = "title;object_type;width_mm\nHeron <one>;relief;1200,5\nTern;relief;800\n"


@pytest.fixture
def job(store: Store, noise: factories.Noise) -> str:
    with store.write() as session:
        return factories.a_job(session)


def send(browser: Browser, job: str, do: str = "look", **fields: Any) -> Any:
    return browser.post(f"/jobs/{job}/bring-in", {"do": do, **fields})


def page_of(answer: Any) -> str:
    return html.unescape(answer.get_data(as_text=True)).replace("\u202f", " ")


def seen(answer: Any) -> str:
    found = re.search(r'name="seen" value="([0-9a-f]{64})"', answer.get_data(as_text=True))
    assert found
    return found[1]


def titles(store: Store, job: str) -> list[str]:
    with store.read() as session:
        return [said.title for _id, _number, said in services.pieces_of(session, job)]


def test_a_file_is_looked_at_and_then_brought_in_once(maker: Browser, store: Store, job: str) -> None:
    look = send(maker, job, file=(io.BytesIO(b"\xef\xbb\xbf" + TWO.encode()), "pieces.csv"))
    assert look.status_code == 200
    assert "2 new pieces." in page_of(look)
    assert "Heron &lt;one&gt;" in look.get_data(as_text=True)
    assert "1 200.5 mm" in page_of(look)
    assert titles(store, job) == []
    done = send(maker, job, "bring", text=TWO, seen=seen(look))
    assert (done.status_code, done.location) == (303, f"/jobs/{job}")
    assert titles(store, job) == ["Heron <one>", "Tern"]
    # The same file from a page opened anew, with the ends of lines that browsers send.
    again = send(maker, job, "bring", text=TWO.replace("\n", "\r\n"), seen=seen(look))
    assert (again.status_code, again.location) == (303, f"/jobs/{job}")
    assert titles(store, job) == ["Heron <one>", "Tern"]
    assert "was brought into this job already" in page_of(send(maker, job, text=TWO))


def test_another_maker_is_told_that_the_file_is_in_already(maker: Browser, store: Store, job: str) -> None:
    from siteapp.people.services import add_person
    from tests.web_support import PASSPHRASE, Browser

    look = send(maker, job, text=TWO)
    send(maker, job, "bring", text=TWO, seen=seen(look))
    with store.write() as session:
        add_person(session, factories.a_writer(session), name="Second", role="maker", passphrase=PASSPHRASE)
    second = Browser(maker.app).sign_in("Second")
    answer = send(second, job, "bring", text=TWO, seen=seen(look))
    assert answer.status_code == 409
    assert "already, on" in page_of(answer)
    assert "by Maker" in page_of(answer)
    assert len(titles(store, job)) == 2


def test_nothing_is_brought_in_that_was_not_looked_at(maker: Browser, store: Store, job: str) -> None:
    answer = send(maker, job, "bring", text=TWO)
    assert answer.status_code == 200
    assert "2 new pieces" in page_of(answer)
    assert titles(store, job) == []


def test_what_a_colleague_revised_meanwhile_is_shown_before_it_is_written_over(
    maker: Browser, store: Store, job: str
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, job_id=job, title="Heron")
    text = f"number;title\n{piece.number};Mine\n"
    look = send(maker, job, text=text)
    assert "Title:" in page_of(look)
    with store.write() as session:
        facts: services.PieceFacts = {
            "fields": {"title": "Theirs", "object_type": "relief"},
            "build_up": [],
            "hanging_points": [],
            "photos": [],
        }
        writer = factories.a_writer(session)
        services.revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
    late = send(maker, job, "bring", text=text, seen=seen(look))
    assert late.status_code == 409
    assert "Somebody revised one of these pieces" in page_of(late)
    assert "Theirs" in page_of(late)
    assert titles(store, job) == ["Theirs"]
    assert send(maker, job, "bring", text=text, seen=seen(late)).status_code == 303
    assert titles(store, job) == ["Mine"]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"text": " \n "}, "File: choose one, or paste its text."),
        ({"text": "title;object_type;width_mm\nA;b;wide"}, "Line 2: A: Width: “wide” is not taken. Give a number"),
        ({"text": "[[piece]]\ntitle = "}, "Line 2: this is not TOML"),
        ({"text": "a\x00b"}, "cannot be kept"),
        ({"file": "Höhe".encode("cp1252")}, "perhaps Windows-1252"),
        ({"file": b"\x89PNG\r\n\x1a\n"}, "this is not UTF-8"),
        ({"file": b""}, "File: choose one, or paste its text."),
    ],
)
def test_a_file_that_cannot_come_in_is_refused_with_its_lines(
    maker: Browser, store: Store, job: str, fields: dict[str, Any], words: str
) -> None:
    for do in ("look", "bring"):
        sent = {"file": (io.BytesIO(fields["file"]), "a.csv")} if "file" in fields else fields
        answer = send(maker, job, do, **sent)
        assert answer.status_code == 422
        assert words in page_of(answer)
        assert fields.get("text", "").strip().replace("\x00", "") in page_of(answer).replace("\x00", "")
        assert titles(store, job) == []


@pytest.mark.parametrize("kind", ["toml", "semicolons", "commas"])
def test_an_example_comes_back_in_as_it_is(maker: Browser, store: Store, job: str, kind: str) -> None:
    answer = maker.get(f"/jobs/{job}/bring-in/example/{kind}")
    assert answer.headers["Content-Disposition"].startswith("attachment; filename=")
    look = send(maker, job, file=(io.BytesIO(answer.data), "example"))
    assert look.status_code == 200
    assert "2 new pieces" in page_of(look)
    shown = re.search(r'<textarea id="text"[^>]*>\n(.*?)</textarea>', look.get_data(as_text=True), re.DOTALL)
    assert shown
    done = send(maker, job, "bring", text=html.unescape(shown[1]), seen=seen(look))
    assert done.status_code == 303
    assert titles(store, job) == ["Example heron (invented)", "Example overmantel (invented)"]


def test_a_job_or_an_example_that_is_not_there_is_not_found(maker: Browser, job: str) -> None:
    assert maker.get("/jobs/00000000-0000-4000-8000-000000000000/bring-in").status_code == 404
    assert maker.get(f"/jobs/{job}/bring-in/example/docx").status_code == 404


def test_the_page_names_every_field_and_the_job_leads_to_it(maker: Browser, fitter: Browser, job: str) -> None:
    page = page_of(maker.get(f"/jobs/{job}/bring-in"))
    assert all(f">{name}</th>" in page for name in ("number", "mass_kg", "near_heat", "thickness_mm", "hole_mm"))
    assert f'href="/jobs/{job}/bring-in"' in maker.get(f"/jobs/{job}").get_data(as_text=True)
    assert "bring-in" not in fitter.get(f"/jobs/{job}").get_data(as_text=True)
