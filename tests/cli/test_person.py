"""People from the keyboard of the machine itself."""

from __future__ import annotations

import pytest

from tests.cli.test_edge import one_sentence, run

PASSPHRASE = "heron over still water\n"


@pytest.fixture
def data(tmp_path):
    return {"SITEAPP_DATA": str(tmp_path / "data")}


def test_a_person_is_added_listed_and_given_another_passphrase(data):
    assert run("person", "list", **data).stdout == "Nobody yet.\n"
    assert run("person", "add", "Tove Lindqvist", "--role", "maker", typed=PASSPHRASE, **data).returncode == 0
    assert run("person", "list", **data).stdout == "Tove Lindqvist  maker\n"
    done = run("person", "passphrase", "tove lindqvist", typed="a tern on the wind\n", **data)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_second_person_of_one_name_is_refused(data):
    run("person", "add", "Tove Lindqvist", "--role", "maker", typed=PASSPHRASE, **data)
    done = run("person", "add", " TOVE lindqvist", "--role", "fitter", typed=PASSPHRASE, **data)
    assert "called" in one_sentence(done)


def test_a_short_passphrase_is_refused_and_nobody_is_made(data):
    done = run("person", "add", "Tove Lindqvist", "--role", "maker", typed="short\n", **data)
    assert "10" in one_sentence(done)
    assert run("person", "list", **data).stdout == "Nobody yet.\n"


@pytest.mark.parametrize("name", ["", "   ", "a\nb", "x" * 201, "bell\x07"])
def test_a_name_that_cannot_be_one_is_refused_with_the_range(name, data):
    assert "1 to 200" in one_sentence(run("person", "add", name, "--role", "maker", typed=PASSPHRASE, **data))


def test_a_passphrase_for_nobody_names_who_was_meant(data):
    assert "'Nobody Here'" in one_sentence(run("person", "passphrase", "Nobody Here", typed=PASSPHRASE, **data))
