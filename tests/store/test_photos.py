"""Photos on disk: there once, whole, and never lost once acknowledged."""

from __future__ import annotations

import concurrent.futures
import hashlib
import io
import os
import random
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PIL import Image

from siteapp.store.hashed import TEMPORARY, NoRoom, write_whole
from siteapp.store.photos import PhotoFolder

DATA = b"bytes of a photo " * 1000
SHA = hashlib.sha256(DATA).hexdigest()
KILLS, KILL_SEED = 10, 18004
REPOSITORY = Path(__file__).parents[2]


@pytest.fixture
def folder(tmp_path: Path) -> PhotoFolder:
    return PhotoFolder(tmp_path / "photos", tmp_path / "cache")


def _files(root: Path) -> list[Path]:
    return sorted(file for file in root.rglob("*") if file.is_file())


def _picture(size: tuple[int, int] = (1600, 1200)) -> bytes:
    out = io.BytesIO()
    Image.effect_noise(size, 30).convert("RGB").save(out, "JPEG")
    return out.getvalue()


def test_a_photo_put_twice_is_there_once(folder: PhotoFolder) -> None:
    assert folder.put(DATA) == folder.put(DATA) == SHA
    assert _files(folder.root) == [folder.path(SHA)]
    assert folder.exists(SHA)
    assert folder.read(SHA) == DATA
    assert list(folder.hashes()) == [SHA]


def test_a_photo_put_by_many_at_once_is_there_once(folder: PhotoFolder) -> None:
    with concurrent.futures.ThreadPoolExecutor(8) as pool:
        assert set(pool.map(lambda _: folder.put(DATA), range(40))) == {SHA}
    assert _files(folder.root) == [folder.path(SHA)]


@pytest.mark.parametrize("damaged", [b"", DATA[:-1], DATA[:-1] + b"?", DATA + b"more"])
def test_a_damaged_file_is_replaced_and_not_believed(folder: PhotoFolder, damaged: bytes) -> None:
    folder.put(DATA)
    folder.path(SHA).write_bytes(damaged)
    assert folder.put(DATA) == SHA
    assert folder.read(SHA) == DATA


def test_no_photo_at_all_is_a_missing_file(folder: PhotoFolder) -> None:
    assert not folder.exists(SHA)
    assert list(folder.hashes()) == []
    with pytest.raises(FileNotFoundError):
        folder.read(SHA)
    with pytest.raises(FileNotFoundError):
        folder.derivative(SHA, 320)


@pytest.mark.parametrize(
    "foreign",
    [
        "",
        "..",
        "../../etc/passwd",
        SHA[:-1],
        SHA + "0",
        SHA.upper(),
        SHA + "\n",
        "/" + SHA[1:],
        SHA[:-1] + "\0",
        "é" * 64,
    ],
)
def test_what_is_no_hash_names_no_file(folder: PhotoFolder, foreign: str) -> None:
    for look in (folder.path, folder.exists, folder.read, lambda sha: folder.derivative(sha, 320)):
        with pytest.raises(ValueError, match="is not a SHA-256"):
            look(foreign)


def test_names_that_are_no_hashes_are_not_listed(folder: PhotoFolder) -> None:
    folder.put(DATA)
    (folder.root / SHA[:2] / "notes.txt").write_text("not ours")
    (folder.root / SHA[:2] / f"{SHA}.0{TEMPORARY}").write_text("half")
    (folder.root / "zz").mkdir()
    assert list(folder.hashes()) == [SHA]


def test_a_smaller_one_is_made_once_and_stays_the_same(folder: PhotoFolder) -> None:
    sha = folder.put(_picture())
    first = folder.derivative(sha, 320)
    assert Image.open(io.BytesIO(first)).size == (320, 240)
    (cached,) = _files(folder.cache)
    assert cached.read_bytes() == first
    made_at = cached.stat().st_mtime_ns
    assert folder.derivative(sha, 320) == first
    assert cached.stat().st_mtime_ns == made_at
    cached.unlink()
    assert folder.derivative(sha, 320) == first


@pytest.mark.parametrize("left", [b"", bytes(5000), b"\xff\xd8 cut"])
def test_a_cached_one_that_a_power_cut_spoilt_is_made_again(folder: PhotoFolder, left: bytes) -> None:
    sha = folder.put(_picture())
    first = folder.derivative(sha, 320)
    (cached,) = _files(folder.cache)
    cached.write_bytes(left)
    assert folder.derivative(sha, 320) == first
    assert cached.read_bytes() == first


def test_a_cache_that_cannot_be_written_is_no_reason_not_to_show(folder: PhotoFolder) -> None:
    sha = folder.put(_picture())
    folder.cache.parent.mkdir(parents=True, exist_ok=True)
    folder.cache.write_bytes(b"a file where the folder should be")
    assert Image.open(io.BytesIO(folder.derivative(sha, 320))).size == (320, 240)


@pytest.mark.parametrize("px", [0, -1, 319, 100_000])
def test_only_the_three_sizes_are_made(folder: PhotoFolder, px: int) -> None:
    with pytest.raises(ValueError, match=rf"size is {px}; allowed are 320, 1280, 2000"):
        folder.derivative(SHA, px)


def test_sweeping_takes_old_temporaries_and_leaves_young_ones(folder: PhotoFolder) -> None:
    sha = folder.put(_picture())
    folder.derivative(sha, 320)
    kept = _files(folder.root) + _files(folder.cache)
    old, young = (folder.path(sha).with_name(f"{sha}.{name}{TEMPORARY}") for name in ("old", "young"))
    old_cached = _files(folder.cache)[0].with_name(f"x.old{TEMPORARY}")
    for file in (old, young, old_cached):
        file.write_bytes(b"half")
    for file in (old, old_cached):
        os.utime(file, (time.time() - 7200, time.time() - 7200))
    assert folder.sweep(3600) == 2
    assert _files(folder.root) + _files(folder.cache) == sorted([*kept[:1], young]) + kept[1:]
    assert folder.sweep(3600) == 0


def test_sweeping_a_folder_that_is_not_there_yet_is_nothing(folder: PhotoFolder) -> None:
    assert folder.sweep(0) == 0


def test_a_write_that_fails_leaves_no_temporary(tmp_path: Path) -> None:
    target = tmp_path / "taken"
    (target / "inside").mkdir(parents=True)
    with pytest.raises(OSError, match="directory"):
        write_whole(target, b"data")
    assert _files(tmp_path) == []


ON_A_FULL_DISK = """
import sys
from pathlib import Path
from siteapp.store.hashed import NoRoom
from siteapp.store.photos import PhotoFolder
root = Path(sys.argv[1])
folder = PhotoFolder(root / "photos", root / "cache")
kept = folder.put(b"small")
try:
    folder.put(bytes(600_000))
except NoRoom as error:
    print(error)
print(folder.read(kept), [file.name == kept for file in root.rglob("*") if file.is_file()])
print(len(folder.put(b"also small")))
"""


def _run(words: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(words, check=False, capture_output=True, text=True, cwd=REPOSITORY)


@pytest.mark.skipif(sys.platform != "linux", reason="needs a namespace of its own to mount a small disk in")
def test_a_full_disk_is_said_and_leaves_what_was_there(tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    mounting = f'mount -t tmpfs -o size=256k none "{small}"'
    own = ["unshare", "--mount"] if os.geteuid() == 0 else ["unshare", "--user", "--map-root-user", "--mount"]
    if not shutil.which("unshare") or _run([*own, "sh", "-c", mounting]).returncode:
        pytest.skip("this system does not let us mount a small disk")
    words = [*own, "sh", "-c", f'{mounting} && exec "$@"', "sh", sys.executable, "-c", ON_A_FULL_DISK, str(small)]
    done = _run(words)
    assert done.stderr == ""
    said, kept, later = done.stdout.splitlines()
    assert "disk is full" in said
    assert kept == "b'small' [True]"
    assert later == "64"


def test_a_full_disk_is_an_error_of_the_store() -> None:
    from siteapp.store.errors import StoreError

    assert issubclass(NoRoom, StoreError)


@pytest.fixture
def order(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is synced and renamed, in order; the system's own calls are made all the same."""
    seen: list[str] = []
    fsync, rename = os.fsync, os.replace

    def noted_fsync(handle: int) -> None:
        seen.append(f"sync {Path(f'/proc/self/fd/{handle}').readlink().name}")
        fsync(handle)

    def noted_rename(source: str, target: str, **more: int) -> None:
        seen.append(f"name {Path(target).name}")
        rename(source, target, **more)

    monkeypatch.setattr(os, "fsync", noted_fsync)
    monkeypatch.setattr(os, "replace", noted_rename)
    return seen


@pytest.mark.skipif(sys.platform != "linux", reason="what a handle is open on is asked of /proc")
def test_bytes_then_name_then_folders_are_synced_before_a_photo_is_acknowledged(
    folder: PhotoFolder, order: list[str]
) -> None:
    folder.put(DATA)
    named = order.index(f"name {SHA}")
    assert any(step.startswith(f"sync {SHA}.") for step in order[:named])
    assert {f"sync {SHA[:2]}", "sync photos"} <= set(order[named:])
    # Put again, it is not written again; but the first process may have been stopped before it synced the name.
    order.clear()
    folder.put(DATA)
    assert set(order) == {f"sync {SHA[:2]}", "sync photos"}


PUTTING = """
import random, sys
from pathlib import Path
from siteapp.store.photos import PhotoFolder
root, seed = Path(sys.argv[1]), int(sys.argv[2])
folder, random_ = PhotoFolder(root / "photos", root / "cache"), random.Random(seed)
print("ready", flush=True)
while True:
    print(folder.put(random_.randbytes(random_.randrange(1, 400_000))), flush=True)
"""


def test_every_acknowledged_photo_survives_kills_at_random_moments(tmp_path: Path) -> None:
    """Two processes put photos, some the same, and are killed; what they said was kept is there, and nothing is half.

    A kill is no power cut, which would lose what is not synced: the test before this one is about that.
    """
    random_ = random.Random(KILL_SEED)
    acknowledged: set[str] = set()
    for _ in range(KILLS // 2):
        seeds = [random_.randrange(3) for _ in range(2)]
        started = [
            subprocess.Popen(
                [sys.executable, "-c", PUTTING, tmp_path, str(seed)], stdout=subprocess.PIPE, text=True, cwd=REPOSITORY
            )
            for seed in seeds
        ]
        for process in started:
            assert process.stdout is not None
            assert process.stdout.readline() == "ready\n"
        time.sleep(random_.uniform(0.01, 0.2))
        for process in started:
            process.kill()
        for process in started:
            assert process.stdout is not None
            lines = process.stdout.read().split("\n")
            acknowledged.update(line for line in lines[:-1])
            process.stdout.close()
            process.wait()
    folder = PhotoFolder(tmp_path / "photos", tmp_path / "cache")
    assert len(acknowledged) > KILLS
    found = set(folder.hashes())
    assert acknowledged <= found
    for sha in found:
        assert hashlib.sha256(folder.read(sha)).hexdigest() == sha
    folder.sweep(-1)
    assert {file.name for file in _files(folder.root)} == found
