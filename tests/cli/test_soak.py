"""The command of the long runs: which it knows, what it answers, what it leaves behind."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest

from siteapp import cli
from tests.soak.runs import RUNS, Came


@pytest.fixture(params=[True, False])
def trial(request, monkeypatch, tmp_path):
    """A run that ends well or not; gives what it was given."""
    given = {"sound": request.param}

    def run(options, folder, progress):
        given.update(options=options, folder=folder)
        (folder / "left").write_text("something")
        progress(1, 1, "done")
        return Came(["3 entries"], sound=request.param)

    monkeypatch.setitem(RUNS, "trial", run)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return given


def test_a_run_is_given_its_options_and_keeps_what_it_worked_on_only_when_something_was_found(trial, capsys):
    code = cli.main(["soak", "trial", "--seed", "5", "--entries", "3", "--minutes", "0.5"])
    said = capsys.readouterr().out
    options, folder = trial["options"], trial["folder"]
    assert (options.seed, options.entries, options.photos, options.longest_s) == (5, 3, 20, 30)
    assert "3 entries" in said
    assert code == (0 if trial["sound"] else 1)
    assert Path(folder).exists() is not trial["sound"]
    assert ("trial met" in said) is trial["sound"]
    assert (str(folder) in said) is not trial["sound"]


def test_a_run_that_does_not_exist_is_refused_with_those_that_do(capsys):
    assert cli.main(["soak", "nothing"]) == 2
    assert "waiting, store" in capsys.readouterr().err
