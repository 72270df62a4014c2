"""Style sheet, scripts and icons: kept for good by a browser, and never of two versions at once."""

import re


def address_of(browser, name):
    page = browser.get("/sign-in").get_data(as_text=True)
    return re.search(rf'"(/static/[0-9a-f]{{12}}/{re.escape(name)})"', page)[1]


def test_a_script_may_be_kept_for_good_under_the_address_that_pages_name(maker):
    answer = maker.get(address_of(maker, "js/start.js"))
    assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert answer.headers["Content-Type"] == "text/javascript; charset=utf-8"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_a_page_of_an_earlier_version_still_finds_its_scripts_and_keeps_none_of_them(maker):
    answer = maker.get("/static/000000000000/js/outbox.js")
    assert answer.status_code == 200
    assert "max-age=0" in answer.headers["Cache-Control"]


def test_nothing_beside_the_folder_is_served(maker):
    for path in ("../README.md", "%2e%2e/pyproject.toml", "js/none.js", "js"):
        assert maker.get(f"/static/000000000000/{path}").status_code == 404, path


def test_scripts_come_without_comments(maker):
    text = maker.get(address_of(maker, "js/start.js")).get_data(as_text=True)
    assert "//" not in text.replace("://", "")
