"""The key that certificates are signed with: made once, for its owner alone, moved only under a passphrase."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from siteapp.keeping import backup
from siteapp.store import signing
from siteapp.store.models import SigningKey
from tests import factories

if TYPE_CHECKING:
    from pathlib import Path

    from siteapp.config import Settings
    from siteapp.store.db import Store

WORDS = "four quiet words here"


def openssl(*words: str, **more: str) -> str:
    """OpenSSL's own reading of a file."""
    done = subprocess.run(["openssl", *words], check=True, capture_output=True, text=True, timeout=30, **more)
    return done.stdout


def test_it_is_made_once_with_the_workshops_name_and_never_ends(settings: Settings) -> None:
    made = signing.ensure(settings, "  Reed   & Tern (invented)  ")
    assert signing.ensure(settings, "Another name") == made
    assert made.name == "Reed & Tern (invented)"
    # Read by OpenSSL: the curve of FIPS 186-5, no last day (RFC 5280, 4.1.2.5), no authority over others.
    said = openssl("x509", "-in", str(signing.key_file(settings)), "-noout", "-text")
    assert "NIST CURVE: P-256" in said
    assert "9999" in said
    assert "CA:FALSE" in said
    assert "Digital Signature, Non Repudiation" in said
    print_of = openssl("x509", "-in", str(signing.key_file(settings)), "-noout", "-fingerprint", "-sha256")
    assert print_of.strip().partition("=")[2].replace(":", "").lower() == made.fingerprint


@pytest.mark.skipif(os.name == "nt", reason="Windows keeps rights elsewhere")
def test_it_is_for_its_owner_alone(settings: Settings, tmp_path: Path) -> None:
    signing.ensure(settings, "Reed")
    assert signing.key_file(settings).stat().st_mode & 0o777 == 0o600
    assert settings.keys.stat().st_mode & 0o777 == 0o700
    signing.save(settings, tmp_path / "key.p12", WORDS)
    assert (tmp_path / "key.p12").stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    ("given", "kept"), [(None, "unnamed workshop"), ("x" * 90, "x" * 64), ("Мастерская «Рис»",) * 2]
)
def test_a_name_that_is_too_long_or_missing_makes_a_key_all_the_same(
    settings: Settings, given: str | None, kept: str
) -> None:
    assert signing.ensure(settings, given).name == kept


def test_of_several_that_want_one_at_once_one_makes_it(settings: Settings) -> None:
    found: list[str] = []
    threads = [
        threading.Thread(target=lambda: found.append(signing.ensure(settings, "Reed").fingerprint)) for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 8
    assert len(set(found)) == 1


def test_it_moves_to_another_laptop_under_its_passphrase_only(settings: Settings, tmp_path: Path) -> None:
    made = signing.ensure(settings, "Reed")
    file = tmp_path / "key.p12"
    signing.save(settings, file, WORDS)
    other = settings.with_(data=tmp_path / "other")
    with pytest.raises(signing.KeyProblem, match="the passphrase is another one"):
        signing.take(other, file, WORDS + "x")
    assert not signing.key_file(other).exists()
    assert signing.take(other, file, WORDS) == made
    # OpenSSL opens it too, so a lost program does not lose the key.
    said = openssl("pkcs12", "-in", str(file), "-passin", f"pass:{WORDS}", "-nokeys")
    assert "BEGIN CERTIFICATE" in said


def test_a_key_that_is_replaced_is_kept_aside(settings: Settings, tmp_path: Path) -> None:
    made = signing.ensure(settings, "Reed")
    other = settings.with_(data=tmp_path / "other")
    before = signing.ensure(other, "Tern")
    signing.save(settings, tmp_path / "key.p12", WORDS)
    signing.take(other, tmp_path / "key.p12", WORDS)
    assert signing.load(other) == made
    aside = other.keys / f"certificates-{before.fingerprint[:16]}.pem"
    assert signing.fingerprint_of_pem(aside.read_text().partition("-----END PRIVATE KEY-----")[2]) == before.fingerprint


def test_what_cannot_be_is_said(settings: Settings, tmp_path: Path) -> None:
    with pytest.raises(signing.KeyProblem, match="has no signing key yet"):
        signing.load(settings)
    signing.ensure(settings, "Reed")
    with pytest.raises(signing.KeyProblem, match="has 5 characters; at least 12 are needed"):
        signing.save(settings, tmp_path / "key.p12", "short")
    (tmp_path / "there").write_text("mine")
    with pytest.raises(signing.KeyProblem, match="is there already; nothing was written over it"):
        signing.save(settings, tmp_path / "there", WORDS)
    assert (tmp_path / "there").read_text() == "mine"
    with pytest.raises(signing.KeyProblem, match="cannot be opened"):
        signing.take(settings, tmp_path / "there", WORDS)
    with pytest.raises(signing.KeyProblem, match="cannot be read: no such file"):
        signing.take(settings, tmp_path / "gone", WORDS)
    signing.key_file(settings).write_text("no key")
    with pytest.raises(signing.KeyProblem, match="cannot be read; take it from where it was saved"):
        signing.load(settings)


def test_its_public_half_is_recorded_once_and_its_private_half_is_in_no_backup(store: Store, tmp_path: Path) -> None:
    key = signing.ensure(store.settings, "Reed")
    for _ in range(2):
        with store.write() as session:
            signing.record(session, factories.a_writer(session), key)
    with store.read() as session:
        assert session.scalars(select(SigningKey.fingerprint)).all() == [key.fingerprint]
        assert signing.known(session) == {key.fingerprint: "Reed"}
    made = backup.make(store.settings, tmp_path / "backups")
    secret = signing.key_file(store.settings).read_text().splitlines()[1].encode()
    assert not any(secret in file.read_bytes() for file in made.rglob("*") if file.is_file())


def test_the_command_saves_shows_and_takes_it(settings: Settings, tmp_path: Path) -> None:
    key = signing.ensure(settings, "Reed")

    def run(*words: str, data: Path, said: str = "") -> subprocess.CompletedProcess[str]:
        environ = {**os.environ, "SITEAPP_DATA": str(data)}
        command = [
            sys.executable,
            "-c",
            "import sys; from siteapp.cli import main; sys.exit(main(sys.argv[1:]))",
            "key",
        ]
        return subprocess.run(
            [*command, *words], check=False, capture_output=True, text=True, input=said, env=environ, timeout=60
        )

    shown = run("show", data=settings.data)
    assert "".join(shown.stdout.split("\n")[1].split()) == key.fingerprint
    assert run("save", str(tmp_path / "k.p12"), data=settings.data, said=f"{WORDS}\n").returncode == 0
    taken = run("take", str(tmp_path / "k.p12"), data=tmp_path / "other", said=f"{WORDS}\n")
    assert taken.returncode == 0, taken.stderr
    assert key.fingerprint in taken.stdout
    wrong = run("take", str(tmp_path / "k.p12"), data=tmp_path / "third", said="not these words\n")
    assert wrong.returncode == 1
    assert wrong.stderr.count("\n") == 1
