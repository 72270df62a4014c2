"""Particulars brought in from the keyboard, as a process of its own."""

from __future__ import annotations

import pytest

from siteapp.config import Settings
from siteapp.people.services import add_person
from siteapp.pieces.services import pieces_of
from siteapp.store.db import Store
from siteapp.store.migrate import upgrade
from siteapp.store.models import Entry
from tests import factories
from tests.cli.test_edge import one_sentence, run

TWO = "title;object_type;mass_kg;mass_origin\nHeron;relief;31,4;weighed\nTern;relief;;\n"


@pytest.fixture
def place(tmp_path):
    """A data folder with a job, a maker and a fitter, its settings, and the job's id."""
    settings = Settings(data=tmp_path / "data")
    settings.data.mkdir(mode=0o700)
    upgrade(settings)
    store = Store(settings)
    store.begin_laptop()
    with store.write() as session:
        job = factories.a_job(session, title="Stair (invented)")
        for name, role in (("Ada (invented)", "maker"), ("Bo (invented)", "fitter")):
            add_person(session, factories.a_writer(session), name=name, role=role, passphrase="four quiet words here")
    yield store, job, {"SITEAPP_DATA": str(settings.data)}
    store.close()


@pytest.fixture
def two(tmp_path):
    path = tmp_path / "two.csv"
    path.write_text(TWO)
    return str(path)


def titles(store):
    with store.read() as session:
        return [said.title for _id, _number, said in pieces_of(session)]


def test_a_file_is_checked_brought_in_and_brought_in_once(place, two):
    store, job, data = place
    looked = run("bring-in", two, "--job", "stair (INVENTED)", "--check", **data)
    assert (looked.returncode, looked.stderr) == (0, "")
    assert "line 2: new: Heron\nline 3: new: Tern\n2 new, 0 revised, 0 as they are\n" in looked.stdout
    assert titles(store) == []
    done = run("bring-in", two, "--job", job, "--as", "ada (invented)", **data)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.endswith("Brought in.\n")
    assert titles(store) == ["Heron", "Tern"]
    with store.read() as session:
        by = {entry.by_id for entry in session.query(Entry).where(Entry.kind == "particulars")}
    assert None not in by
    again = run("bring-in", two, "--job", job, **data)
    assert again.returncode == 0
    assert "This very file was brought into this job on" in again.stdout
    assert titles(store) == ["Heron", "Tern"]


def test_every_problem_is_printed_with_its_line_and_nothing_is_made(place, two, tmp_path):
    store, job, data = place
    bad = tmp_path / "bad.toml"
    bad.write_text('[[piece]]\ntitle = "Good"\nobject_type = "relief"\n\n[[piece]]\ntitle = "Bad"\nwidth_mm = 0\n')
    done = run("bring-in", str(bad), "--job", job, **data)
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.replace("\u202f", " ").splitlines() == [
        "Line 5: Bad: Type of object: this is needed.",
        "Line 7: Bad: Width: “0” is not taken. Give a number from 1 to 20 000 mm.",
        "Nothing was brought in.",
    ]
    assert titles(store) == []


def test_what_cannot_be_is_one_sentence(place, two, tmp_path):
    store, job, data = place
    assert "'No such job'" in one_sentence(run("bring-in", two, "--job", "No such job", **data))
    assert "'Nobody'" in one_sentence(run("bring-in", two, "--job", job, "--as", "Nobody", **data))
    assert "a maker may" in one_sentence(run("bring-in", two, "--job", job, "--as", "Bo (invented)", **data))
    assert "no such file" in one_sentence(run("bring-in", str(tmp_path / "none.csv"), "--job", job, **data))
    latin = tmp_path / "latin.csv"
    latin.write_bytes("Höhe".encode("cp1252"))
    assert "perhaps Windows-1252" in one_sentence(run("bring-in", str(latin), "--job", job, **data))
    with store.write() as session:
        factories.a_job(session, title="Stair (invented)")
    assert "2 jobs are called" in one_sentence(run("bring-in", two, "--job", "Stair (invented)", **data))
    assert titles(store) == []
