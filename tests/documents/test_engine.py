"""The engine: what a document may reach, what happens when its worker hangs, dies or grows."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from siteapp.documents import engine as engine_module
from siteapp.documents import worker
from siteapp.documents.engine import CHECKOUT, Engine, PdfError
from tests.documents import invented, reading

PLAIN = "<title>Plain</title><style>html{font-family:'Paper Sans'}</style><p>A turnstone</p>"
SLOW = PLAIN + "<p>" + "turnstone " * 200_000


def gone(pid: int, within_s: float = 10) -> bool:
    """Whether a process has ended; a defunct one has."""
    until = time.monotonic() + within_s
    while time.monotonic() < until:
        try:
            state = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0]
        except (FileNotFoundError, ProcessLookupError):
            return True
        if state == "Z":
            return True
        time.sleep(0.05)
    return False


def test_a_document_becomes_a_pdf(engine):
    pdf = engine.render(PLAIN, {}, title="Plain")
    assert reading.text(pdf).strip() == "A turnstone"
    assert pypdf.PdfReader(BytesIO(pdf)).metadata.title == "Plain"


def test_importing_the_designs_loads_no_weasyprint():
    code = (
        "import sys, siteapp.documents.label.pdf, siteapp.documents.certificate.pdf;"
        "print(sorted({'weasyprint', 'fontTools', 'uharfbuzz', 'PIL', 'qrcode'} & set(sys.modules)))"
    )
    told = subprocess.run([sys.executable, "-c", code], cwd=CHECKOUT, capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/passwd",
        "http://127.0.0.1:9/x.png",
        "https://birds.invalid/x.png",
        "data:image/png;base64,iVBORw0KGgo=",
        "ftp://127.0.0.1/x",
        "res:not/there",
        "//127.0.0.1/x.png",
        "passwd",
        "RES:../../etc/passwd",
    ],
)
@pytest.mark.parametrize(
    "markup",
    [
        "<img src='{}'>",
        "<link rel=stylesheet href='{}'>",
        "<style>@import url({});</style>",
        "<p style='background:url({})'>x</p>",
        "<link rel=attachment href='{}'>",
        "<object data='{}'></object>",
    ],
)
def test_what_did_not_come_with_a_document_is_refused(engine, address, markup):
    with pytest.raises(PdfError, match="did not come with it"):
        engine.render(PLAIN + markup.format(address), {}, title="Curious")


def test_a_picture_within_a_picture_fetches_nothing(engine):
    svg = b"<svg xmlns='http://www.w3.org/2000/svg'><image href='file:///etc/hostname' width='9' height='9'/></svg>"
    with pytest.raises(PdfError, match="did not come with it"):
        engine.render(PLAIN + "<img src='res:a.svg'>", {"a.svg": ("image/svg+xml", svg)}, title="Nested")


def test_a_picture_that_came_with_the_document_is_shown(engine):
    pdf = engine.render(
        PLAIN + "<img src='res:a b/ü.jpg'>", {"a%20b/%C3%BC.jpg": ("image/jpeg", invented.photo(1))}, title="Photo"
    )
    assert len(pypdf.PdfReader(BytesIO(pdf)).pages[0].images) == 1


def test_the_same_input_gives_the_same_bytes_from_two_workers(engine):
    first = engine.render(PLAIN, {}, title="Plain")
    engine.render(PLAIN + "<p>another</p>", {}, title="Other")
    again = engine.render(PLAIN, {}, title="Plain")
    other = Engine()
    try:
        assert first == again == other.render(PLAIN, {}, title="Plain")
    finally:
        other.close()


def test_a_worker_killed_in_the_middle_is_an_error_and_the_next_document_is_made(engine):
    engine.warm()
    (pid,) = engine.pids()
    threading.Timer(0.5, os.kill, (pid, signal.SIGKILL)).start()
    with pytest.raises(PdfError, match="was not finished"):
        engine.render(SLOW, {}, title="Long")
    assert reading.text(engine.render(PLAIN, {}, title="Plain")).strip() == "A turnstone"
    assert engine.pids() != [pid]


def test_a_worker_killed_between_documents_is_replaced_unnoticed(engine):
    engine.warm()
    (pid,) = engine.pids()
    os.kill(pid, signal.SIGKILL)
    assert gone(pid)
    assert engine.render(PLAIN, {}, title="Plain").startswith(b"%PDF")


def test_a_document_that_takes_too_long_is_stopped(engine):
    engine.warm()
    (pid,) = engine.pids()
    started = time.monotonic()
    with pytest.raises(PdfError, match=r"“Long” took longer than 0\.\d+ s"):
        engine.render(SLOW, {}, title="Long", timeout_s=0.6)
    assert time.monotonic() - started < 5
    assert gone(pid)
    assert engine.render(PLAIN, {}, title="Plain").startswith(b"%PDF")


def test_waiting_for_a_worker_counts_as_time(engine):
    engine.warm()
    with ThreadPoolExecutor(1) as pool:
        long = pool.submit(engine.render, SLOW, {}, title="Long", timeout_s=3)
        time.sleep(0.3)
        with pytest.raises(PdfError, match="has to wait"):
            engine.render(PLAIN, {}, title="Plain", timeout_s=0.3)
        assert isinstance(long.exception(), PdfError)


def test_many_threads_get_their_own_documents():
    two = Engine(workers=2)
    try:
        with ThreadPoolExecutor(6) as pool:
            made = list(pool.map(lambda n: two.render(f"{PLAIN} number {n}", {}, title=str(n)), range(12)))
        assert [reading.text(pdf).split()[-1] for pdf in made] == [str(n) for n in range(12)]
        assert len(two.pids()) <= 2
    finally:
        two.close()


def test_a_worn_worker_is_replaced(monkeypatch):
    monkeypatch.setattr(engine_module, "MOST_DOCUMENTS", 2)
    worn = Engine()
    try:
        worn.warm()
        first = worn.pids()
        worn.render(PLAIN, {}, title="Plain")
        assert worn.pids() == first
        worn.render(PLAIN, {}, title="Plain")
        worn.render(PLAIN, {}, title="Plain")
        assert worn.pids() != first
    finally:
        worn.close()


def test_closing_ends_the_workers_and_makes_no_more():
    closed = Engine()
    closed.warm()
    (pid,) = closed.pids()
    closed.close()
    assert gone(pid, 1)
    with pytest.raises(PdfError, match="stopping"):
        closed.render(PLAIN, {}, title="Plain")


def test_a_worker_ends_with_a_parent_that_was_killed(tmp_path):
    code = (
        "import sys, time, threading; from siteapp.documents.engine import Engine; e = Engine(); e.warm();"
        f"print(*e.pids(), flush=True); e.render({PLAIN!r} + '<p>' + 'knot ' * 300000, {{}}, title='Long')"
    )
    parent = subprocess.Popen(
        [sys.executable, "-c", code], cwd=CHECKOUT, stdout=subprocess.PIPE, env={**os.environ, "TMPDIR": str(tmp_path)}
    )
    pid = int(parent.stdout.readline())
    time.sleep(0.5)
    parent.kill()
    parent.wait()
    parent.stdout.close()
    assert gone(pid)
    assert not list(tmp_path.iterdir())


def test_a_machine_without_the_libraries_is_told_so():
    code = (
        "import json, struct, sys; h = json.dumps({'ready': False, 'reason': 'no Pango', 'blocks': []}).encode();"
        "sys.stdout.buffer.write(struct.pack('>I', len(h)) + h)"
    )
    lacking = Engine(command=[sys.executable, "-c", code])
    with pytest.raises(PdfError, match="cannot be made on this machine: no Pango"):
        lacking.render(PLAIN, {}, title="Plain")


def test_a_worker_that_does_not_start_is_an_error():
    broken = Engine(command=[sys.executable, "-c", "raise SystemExit(3)"])
    with pytest.raises(PdfError, match=r"ended \(code 3\)"):
        broken.render(PLAIN, {}, title="Plain")


@pytest.mark.parametrize(
    "deed",
    [
        "import socket; socket.create_connection(('127.0.0.1', 9))",
        "import socket; socket.socket()",
        "import subprocess; subprocess.run(['true'])",
        "import os; os.system('true')",
        "open('/etc/passwd')",
        "open('made', 'w')",
        "import os; os.open('made', os.O_CREAT | os.O_WRONLY)",
        "import os; os.remove('kept')",
    ],
)
def test_a_locked_worker_may_not(tmp_path, deed):
    (tmp_path / "kept").write_text("kept")
    own = tmp_path / "own"
    own.mkdir()
    code = (
        "import sys; from pathlib import Path; from siteapp.documents.worker import Lock;"
        f"lock = Lock(Path({str(own)!r})); lock.close()\n"
        f"try:\n    {deed}\nexcept PermissionError as refused:\n    print('refused', refused)\n"
    )
    environ = {**os.environ, "PYTHONPATH": str(CHECKOUT)}
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=environ, capture_output=True, text=True, check=False
    )
    assert told.stdout.startswith("refused the document worker may not"), told.stderr
    assert (tmp_path / "kept").exists()
    assert not (tmp_path / "made").exists()


def test_a_locked_worker_may_use_its_own_folder(tmp_path):
    lock = worker.Lock(tmp_path)
    lock._allow(str(tmp_path / "face.ttf"), "w", os.O_WRONLY)
    lock._allow(worker.__file__, "r", os.O_RDONLY)
    with pytest.raises(PermissionError):
        lock._allow(str(tmp_path.parent / "else.ttf"), "w", os.O_WRONLY)
