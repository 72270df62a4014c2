"""Set-up on checkouts of our own, with real environments, real pip and a package made here. No network."""

from __future__ import annotations

import hashlib
import os
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from siteapp import bootstrap, installing

SET_UP = "import sys; from siteapp import bootstrap\ntry: bootstrap.set_up(sys.argv[1], tests=False)\n"
SET_UP += "except bootstrap.Stopped as stop: sys.exit(str(stop))"


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A folder of one wheel, in the form of the Binary Distribution Format (PEP 427)."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    with zipfile.ZipFile(folder / "sparrowhook-1.0-py3-none-any.whl", "w") as wheel:
        wheel.writestr("sparrowhook.py", "WEIGHT_KG = 4\n")
        info = "sparrowhook-1.0.dist-info/"
        wheel.writestr(info + "METADATA", "Metadata-Version: 2.1\nName: sparrowhook\nVersion: 1.0\n")
        wheel.writestr(info + "WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
        wheel.writestr(info + "RECORD", f"sparrowhook.py,,\n{info}METADATA,,\n{info}WHEEL,,\n{info}RECORD,,\n")
    return folder


@pytest.fixture
def checkout(tmp_path: Path, shelf: Path) -> Path:
    """A checkout whose locks name that one package."""
    folder = tmp_path / "checkout"
    folder.mkdir()
    wheel = next(shelf.iterdir())
    lock = f"sparrowhook==1.0 \\\n    --hash=sha256:{hashlib.sha256(wheel.read_bytes()).hexdigest()}\n"
    for name in bootstrap.LOCKS.values():
        (folder / name).write_text(lock)
    return folder


def start(checkout: Path, shelf: Path | None, python: str = sys.executable) -> subprocess.Popen[str]:
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PIP_")}
    environment["PIP_CONFIG_FILE"] = os.devnull
    # With no shelf pip looks on a port of this machine where nobody answers (9 is "discard", RFC 863).
    environment |= (
        {"PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(shelf)}
        if shelf
        else {"PIP_INDEX_URL": "http://127.0.0.1:9/", "PIP_RETRIES": "1"}
    )
    return subprocess.Popen(
        [python, "-c", SET_UP, str(checkout)],
        cwd=bootstrap.CHECKOUT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def set_up(checkout: Path, shelf: Path | None) -> tuple[int, str, str]:
    with start(checkout, shelf) as process:
        out, err = process.communicate(timeout=90)
    return process.returncode, out, err


def weight_in(checkout: Path) -> str:
    python = bootstrap.python_of(bootstrap.venv_of(str(checkout)))
    return subprocess.check_output(
        [python, "-c", "import sparrowhook; print(sparrowhook.WEIGHT_KG)"], text=True
    ).strip()


def ready(checkout: Path, *, tests: bool = False) -> bool:
    return bootstrap.is_ready(str(checkout), tests)


def test_set_up_installs_what_the_lock_names_and_is_then_quick(checkout, shelf):
    code, out, err = set_up(checkout, shelf)
    assert (code, err) == (0, "")
    assert "Fetching 1 of 1: sparrowhook\n" in out
    assert "Installed 1 of 1 packages\n" in out
    assert weight_in(checkout) == "4"
    assert ready(checkout)
    assert not ready(checkout, tests=True)
    assert set_up(checkout, None) == (0, "", "")


def test_without_a_network_it_says_so_and_the_next_set_up_goes_on(checkout, shelf):
    code, _out, err = set_up(checkout, None)
    assert code == 1
    assert err.strip().startswith("Cannot reach the package sources: the first set-up needs the internet once.")
    assert not ready(checkout)
    code, out, _err = set_up(checkout, shelf)
    assert code == 0
    assert "Making .venv" not in out  # what was done already was kept
    assert ready(checkout)


def test_a_package_that_is_not_what_the_lock_says_is_refused(checkout, shelf):
    lock = checkout / "requirements.txt"
    lock.write_text(lock.read_text().replace("sha256:", "sha256:0", 1)[:-2] + "\n")
    code, _out, err = set_up(checkout, shelf)
    assert code == 1
    assert "Traceback" not in err
    assert not ready(checkout)


def test_killed_anywhere_it_is_never_marked_ready_and_the_next_one_finishes(checkout, shelf):
    for pause_s in (0.5, 1.5, 2.5):
        process = start(checkout, shelf)
        time.sleep(pause_s)
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        if ready(checkout):
            break
    assert set_up(checkout, shelf)[0] == 0
    assert weight_in(checkout) == "4"


def test_two_set_ups_at_once_make_one_environment(checkout, shelf):
    first = start(checkout, shelf)
    while bootstrap.read_state(bootstrap.venv_of(str(checkout))) is None:
        assert first.poll() is None
        time.sleep(0.02)
    code, out, err = set_up(checkout, shelf)
    assert first.wait(timeout=90) == 0
    assert (code, out, err) == (0, "Another set-up is running here; waiting for it.\n", "")
    first.communicate()
    assert ready(checkout)


def test_a_package_cut_short_is_put_in_again(checkout, shelf):
    assert set_up(checkout, shelf)[0] == 0
    venv = bootstrap.venv_of(str(checkout))
    packages = Path(installing.mend(venv))
    (packages / "sparrowhook.py").unlink()
    (packages / "sparrowhook-1.0.dist-info" / "RECORD").write_text("sparrowhook.py,,\n")
    installing.write_state(venv, "installing", bootstrap.fingerprint(str(checkout)), "runtime")
    assert set_up(checkout, shelf)[0] == 0
    assert weight_in(checkout) == "4"


def test_another_lock_means_an_environment_made_anew(checkout, shelf):
    assert set_up(checkout, shelf)[0] == 0
    lock = checkout / "requirements-tests.txt"
    lock.write_text(lock.read_text() + "# changed\n")
    assert not ready(checkout)
    code, out, _err = set_up(checkout, shelf)
    assert code == 0
    assert "Making .venv" in out


def test_an_environment_made_anew_from_within_itself_is_whole(checkout, shelf):
    assert set_up(checkout, shelf)[0] == 0
    lock = checkout / "requirements-tests.txt"
    lock.write_text(lock.read_text() + "# changed\n")
    with start(checkout, shelf, bootstrap.python_of(bootstrap.venv_of(str(checkout)))) as process:
        _out, err = process.communicate(timeout=90)
    assert (process.returncode, err) == (0, "")
    assert ready(checkout)
    assert weight_in(checkout) == "4"


def test_an_environment_of_somebody_else_is_left_alone(checkout, shelf):
    kept = checkout / ".venv" / "mine"
    kept.parent.mkdir()
    kept.write_text("kept")
    code, _out, err = set_up(checkout, shelf)
    assert code == 1
    assert "was made by something else; move or delete it" in err
    assert kept.read_text() == "kept"


@pytest.mark.parametrize("damage", ["", "ready", "\x00\xff", "ready abc tests"])
def test_a_damaged_word_of_the_state_is_no_state(checkout, damage):
    (checkout / ".venv").mkdir()
    (checkout / ".venv" / "siteapp-setup").write_text(damage)
    assert not ready(checkout)


def test_a_folder_that_cannot_be_written_is_one_sentence(checkout, shelf):
    # A file where a folder must be made: refused to root as well, which permissions are not.
    (checkout / ".venv").write_text("in the way")
    code, _out, err = set_up(checkout, shelf)
    assert code == 1
    assert err.startswith(f"Cannot set up in {checkout}: ")
    assert err.count("\n") == 1
