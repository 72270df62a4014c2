"""`verify` at the command line: one line of answer, and a code that a script can read."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from siteapp.store import signing
from tests import factories
from tests.handover.support import answer_all, arrive, file_of, hand_over, issued

if TYPE_CHECKING:
    from pathlib import Path

    from siteapp.store.db import Store

COMMAND = "import sys; from siteapp.cli import main; sys.exit(main(sys.argv[1:]))"


def run(data: Path, *words: str) -> subprocess.CompletedProcess[str]:
    environ = {**os.environ, "SITEAPP_DATA": str(data)}
    command = [sys.executable, "-c", COMMAND, "verify", *words]
    return subprocess.run(command, check=False, capture_output=True, text=True, env=environ, timeout=90)


@pytest.fixture
def certificate(store: Store, tmp_path: Path) -> Path:
    with store.write() as session:
        piece = factories.a_piece(session)
        arrive(session, piece)
        answer_all(session, piece)
        hand_over(session, piece)
    file = tmp_path / "certificate.pdf"
    file.write_bytes(file_of(store, issued(store, piece)))
    return file


def test_a_certificate_is_told_from_an_altered_and_an_unknown_one(
    store: Store, certificate: Path, tmp_path: Path
) -> None:
    data = store.settings.data
    done = run(data, str(certificate))
    assert (done.returncode, done.stdout.splitlines()[0]) == (0, "certificate.pdf: as issued, and stands"), done.stderr
    assert "does not show that\n  what it says is true" in done.stdout
    altered = bytearray(certificate.read_bytes())
    altered[len(altered) // 2] ^= 1
    (tmp_path / "altered.pdf").write_bytes(bytes(altered))
    done = run(data, str(tmp_path / "altered.pdf"))
    assert (done.returncode, done.stdout.splitlines()[0]) == (1, "altered.pdf: altered")
    # On a machine where nothing is kept, a fingerprint from paper says whose it is, and no more.
    key = signing.load(store.settings).fingerprint
    spaced = " ".join(key[at : at + 8] for at in range(0, 64, 8)).upper()
    done = run(tmp_path / "nothing", str(certificate), "--fingerprint", spaced)
    assert (done.returncode, done.stdout.splitlines()[0]) == (3, "certificate.pdf: cannot tell")
    assert not (tmp_path / "nothing").exists()


def test_what_cannot_be_looked_at_is_one_sentence(tmp_path: Path) -> None:
    done = run(tmp_path / "data", str(tmp_path / "gone.pdf"))
    assert done.returncode == 1
    assert done.stderr == f"{tmp_path / 'gone.pdf'} cannot be read: no such file or directory.\n"
    done = run(tmp_path / "data", str(tmp_path), "--fingerprint", "abc")
    assert done.returncode == 2
    assert "give 64 hexadecimal digits" in done.stderr
