"""`serve` and `demo` as a person runs them: an address that answers, and an end that is clean."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import socket
import sqlite3
import subprocess
import time
import urllib.request
from contextlib import contextmanager

import pytest

from siteapp.bootstrap import CHECKOUT
from tests.cli.test_edge import COMMAND, run


@contextmanager
def started(*words: str, **environment: str):
    """A command that serves: (process, its address, what it printed up to its last line)."""
    every = {**os.environ, "PYTHONUTF8": "1", **environment}
    with subprocess.Popen(
        [*COMMAND, *words, "--port", "0"],
        cwd=CHECKOUT,
        env=every,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
    ) as process:
        try:
            printed = ""
            while "Ctrl-C stops.\n" not in printed:
                line = process.stdout.readline()
                assert line, process.stderr.read()
                printed += line
            yield process, re.search(r"Open (http://\S+)", printed)[1], printed
        finally:
            if process.poll() is None:
                process.kill()


def stop(process: subprocess.Popen[str], by: signal.Signals) -> tuple[int, str, float]:
    began = time.monotonic()
    process.send_signal(by)
    rest, errors = process.communicate(timeout=20)
    assert errors == ""
    return process.returncode, rest, time.monotonic() - began


@pytest.mark.parametrize("by", [signal.SIGINT, signal.SIGTERM])
def test_serve_answers_at_the_address_it_prints_and_stops_cleanly(by, tmp_path):
    with started("serve", SITEAPP_DATA=str(tmp_path / "data")) as (process, address, printed):
        with urllib.request.urlopen(address + "health") as answer:  # follows redirects
            assert answer.status == 200
        code, rest, seconds = stop(process, by)
    assert "▄" in printed  # the code for a phone's camera
    assert "Nobody can sign in yet: the first page makes the first person." in printed
    assert rest.endswith("\nStopped.\n")
    assert code == 0
    assert seconds < 3


def test_serve_does_not_speak_of_a_first_person_when_there_is_one(tmp_path):
    data = {"SITEAPP_DATA": str(tmp_path / "data")}
    run("person", "add", "Tove Lindqvist", "--role", "maker", typed="heron over still water\n", **data)
    with started("serve", **data) as (process, _address, printed):
        _code, rest, _seconds = stop(process, signal.SIGINT)
    assert "Nobody" not in printed + rest


def test_what_is_not_as_it_was_written_is_said_after_the_start(tmp_path):
    data = {"SITEAPP_DATA": str(tmp_path / "data")}
    run("person", "add", "Tove Lindqvist", "--role", "maker", typed="heron over still water\n", **data)
    with contextlib.closing(sqlite3.connect(tmp_path / "data" / "siteapp.db")) as database:
        database.execute("DROP TRIGGER recorded_job_update")
    with started("serve", **data) as (process, _address, _printed):
        told = [process.stdout.readline(), process.stdout.readline()]
        assert stop(process, signal.SIGINT)[0] == 0
    assert told[0] == "Not as it was written: the trigger recorded_job_update is missing or switched off\n"
    assert told[1].startswith("1 found by a quick look")


def test_an_open_connection_does_not_hold_up_the_end(tmp_path):
    with started("serve", SITEAPP_DATA=str(tmp_path / "data")) as (process, address, _printed):
        port = int(re.search(r":(\d+)/", address)[1])
        with socket.create_connection(("127.0.0.1", port)) as client:
            client.sendall(b"POST /people HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 90\r\n\r\nhalf")
            time.sleep(0.3)
            code, _rest, seconds = stop(process, signal.SIGTERM)
    assert code == 0
    assert seconds < 4


def test_a_demo_killed_while_it_fills_begins_again_and_is_then_whole(tmp_path):
    data = tmp_path / "demo"
    environment = {"SITEAPP_DEMO_DATA": str(data)}
    filling = tmp_path / "demo-filling"
    with subprocess.Popen(
        [*COMMAND, "demo", "--port", "0"],
        cwd=CHECKOUT,
        env={**os.environ, **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    ) as process:
        while not (filling / "siteapp.db").exists():
            assert process.poll() is None, process.stdout.read()
            time.sleep(0.02)
        time.sleep(0.5)
        process.kill()
    assert not (data / "siteapp.db").exists()
    with started("demo", **environment) as (process, _address, printed):
        assert "Sign in as" in printed
        assert stop(process, signal.SIGINT)[0] == 0
    assert not filling.exists()
    assert run("check", SITEAPP_DATA=str(data)).returncode == 0


def test_a_demo_does_not_move_into_a_folder_of_something_else(tmp_path):
    (tmp_path / "letters.txt").write_text("kept")
    done = run("demo", "--port", "0", SITEAPP_DEMO_DATA=str(tmp_path))
    assert done.returncode == 1
    assert "holds something else" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["letters.txt"]
