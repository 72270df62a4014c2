"""The first words of `python3 -m siteapp`, on any Python and with nothing installed."""

from __future__ import annotations

import shutil
import subprocess
import sys

import pytest

from siteapp import bootstrap
from siteapp.cli import parser

AS_IF_OLD = "import runpy, sys; sys.version_info = (3, 6, 15); sys.argv = ['siteapp', 'demo']; "
AS_IF_OLD += "runpy.run_module('siteapp', run_name='__main__')"


def run(*words: str, python: str = sys.executable) -> subprocess.CompletedProcess[str]:
    return subprocess.run([python, *words], cwd=bootstrap.CHECKOUT, capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    ("version", "told"), [((2, 7, 18), True), ((3, 10, 13), True), ((3, 11, 0), False), ((4, 0), False)]
)
def test_a_python_before_3_11_is_too_old(version, told):
    assert bool(bootstrap.too_old(version)) is told


def test_a_python_that_is_too_old_is_told_which_one_it_is():
    done = run("-c", AS_IF_OLD)
    assert done.stderr == "Python 3.11 or newer, please (this is 3.6).\n"
    assert done.returncode == 1


@pytest.mark.parametrize("name", ["python2.7", "python3.6", "python3.8", "python3.10"])
def test_a_real_old_python_reads_far_enough_to_say_so(name):
    python = shutil.which(name)
    if python is None or run("-c", "", python=python).returncode:
        pytest.skip(f"no {name} on this machine")
    done = run("-B", "-m", "siteapp", "demo", python=python)
    assert done.stderr.startswith("Python 3.11 or newer, please (this is ")
    assert done.returncode == 1


def test_without_a_command_every_command_is_listed_with_its_line():
    done = run("-m", "siteapp")
    assert done.returncode == 0
    for name, line in bootstrap.COMMANDS:
        assert f"  {name:<8} {line}\n" in done.stdout


def test_an_unknown_command_is_one_sentence_and_no_traceback():
    done = run("-m", "siteapp", "fly")
    assert done.returncode == 2
    assert done.stderr.startswith("There is no command 'fly'; the commands are setup, demo, ")
    assert done.stderr.count("\n") == 1


def test_setup_refuses_words_it_does_not_know():
    done = run("-m", "siteapp", "setup", "--test")
    assert done.returncode == 2
    assert "'--test' is neither" in done.stderr


@pytest.mark.parametrize("name", [name for name, _line in bootstrap.COMMANDS])
def test_every_command_explains_itself_with_nothing_installed(name):
    # -S leaves out the folder of installed packages, so anything but the standard library would fail.
    done = run("-S", "-m", "siteapp", name, "--help")
    assert done.stdout.startswith("usage: python3 -m siteapp " + name), done.stderr
    assert done.returncode == 0


def test_what_runs_before_set_up_imports_the_standard_library_only():
    rooms = "bootstrap, installing, native, running, config"
    assert run("-S", "-c", f"from siteapp import {rooms}").returncode == 0


def test_the_commands_listed_are_the_commands_there_are():
    commands = parser()._subparsers._group_actions[0].choices
    assert list(commands) == [name for name, _line in bootstrap.COMMANDS]
