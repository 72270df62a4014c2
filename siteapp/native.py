"""What must come from the operating system: libraries for documents; for tests a browser and a database server.

Root on Debian and its relatives: installed with apt. Everybody else is told the line to type. Standard library only.
"""

from __future__ import annotations

import ctypes
import glob
import importlib.util
import os
import re
import shutil
import sys
from typing import TYPE_CHECKING, NamedTuple

from siteapp.bootstrap import Stopped
from siteapp.running import explain, run, running

if TYPE_CHECKING:
    from siteapp.running import Progress


class Need(NamedTuple):
    """Something that this machine must have, and what it is called where it is had from."""

    words: str
    apt: str
    brew: str | None


PANGO = Need("Pango", "libpango-1.0-0", "pango")
PANGO_FT2 = Need("Pango for FreeType", "libpangoft2-1.0-0", "pango")
HARFBUZZ_SUBSET = Need("HarfBuzz subset", "libharfbuzz-subset0", "harfbuzz")
LIBRARIES = {
    "libpango-1.0.so.0": PANGO,
    "libpangoft2-1.0.so.0": PANGO_FT2,
    "libharfbuzz-subset.so.0": HARFBUZZ_SUBSET,
}
VENV = Need("Python's venv", f"python{sys.version_info.major}.{sys.version_info.minor}-venv", "python")
CHROMIUM = Need("Chromium", "chromium", None)
POSTGRESQL = Need("PostgreSQL server", "postgresql", "postgresql")
NETWORKS = Need("iproute2, which makes networks", "iproute2", None)
# A second engine, the kin of the one on iPhones, and a screen for it.
WEBKIT = Need("WebKit with its driver", "webkit2gtk-driver", None)
SCREEN = Need("a screen for WebKit", "xvfb", None)
# Another hand that looks at the signatures of certificates.
OPENSSL = Need("OpenSSL", "openssl", "openssl")
FOR_PHONES = {"ip": NETWORKS, "WebKitWebDriver": WEBKIT, "Xvfb": SCREEN}

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
POSTGRES_FOLDERS = ("/usr/lib/postgresql/*/bin", "/opt/homebrew/opt/postgresql*/bin", "/usr/local/opt/postgresql*/bin")
SNAP_STUB_BYTES = 4096
# A cluster that starts with the machine is nobody's wish here: tests make and remove their own.
CLUSTER_DROP_IN = "/etc/postgresql-common/createcluster.d/siteapp-setup.conf"


def missing(*, tests: bool) -> list[Need]:
    """The needs that this machine does not meet yet."""
    needs = [need for library, need in LIBRARIES.items() if not loads(library)]
    if not can_make_venv():
        needs.insert(0, VENV)
    if tests and postgres_folder() is None:
        needs.append(POSTGRESQL)
    # On Debian itself; its relatives have a browser in no package of theirs, so Playwright brings one.
    if tests and os_release().get("ID") == "debian" and chromium_path() is None:
        needs.append(CHROMIUM)
    if tests and shutil.which("openssl") is None:
        needs.append(OPENSSL)
    if tests:
        needs += wanted_for_phones(os_release(), root=is_root())
    return needs


def wanted_for_phones(release: dict[str, str], *, root: bool) -> list[Need]:
    """What tests with phones in networks of their own still need; only root can make those, so only root is asked."""
    if not root or not is_debian(release):
        return []
    return [need for program, need in FOR_PHONES.items() if shutil.which(program) is None]


def is_root() -> bool:
    """Whether this account may do everything."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def loads(library: str) -> bool:
    """Whether the dynamic linker finds a library, under its Linux name or the one it has on macOS."""
    names = [library]
    if sys.platform == "darwin":
        plain = re.sub(r"\.so\.(\d+)$", r".\1.dylib", library)
        names = [os.path.join(folder, plain) for folder in ("/opt/homebrew/lib", "/usr/local/lib", "")]
    for name in names:
        try:
            ctypes.CDLL(name)
        except OSError:
            continue
        return True
    return False


def can_make_venv() -> bool:
    """Whether `python -m venv` would work: Debian keeps half of it in a package of its own."""
    return importlib.util.find_spec("ensurepip") is not None and importlib.util.find_spec("venv") is not None


def chromium_path() -> str | None:
    """The system's Chromium, or None; the tests' browser then is the one Playwright keeps for itself."""
    for name in BROWSERS:
        path = shutil.which(name)
        # Ubuntu's chromium-browser is a few lines of shell that ask for a snap.
        if path and not (name == "chromium-browser" and os.path.getsize(os.path.realpath(path)) < SNAP_STUB_BYTES):
            return path
    return None


def postgres_folder() -> str | None:
    """The folder that holds `initdb` and `postgres`, the newest if there are several, or None."""
    found = [folder for pattern in POSTGRES_FOLDERS for folder in glob.glob(pattern)]
    found = sorted((folder for folder in found if os.path.exists(os.path.join(folder, "postgres"))), key=_version)
    if found:
        return found[-1]
    path = shutil.which("initdb")
    return os.path.dirname(os.path.realpath(path)) if path else None


def _version(folder: str) -> list[int]:
    return [int(number) for number in re.findall(r"\d+", folder)]


def os_release() -> dict[str, str]:
    """/etc/os-release as a dictionary; empty where there is none."""
    try:
        with open("/etc/os-release") as lines:
            return parse_os_release(lines.read())
    except OSError:
        return {}


def parse_os_release(text: str) -> dict[str, str]:
    """The NAME=value lines of an os-release file, quotes taken off."""
    pairs = (line.strip().split("=", 1) for line in text.splitlines() if "=" in line and not line.startswith("#"))
    return {name: value.strip("\"'") for name, value in pairs}


def is_debian(release: dict[str, str]) -> bool:
    """Whether an os-release describes Debian or one of its relatives."""
    return bool({"debian", "ubuntu"} & {release.get("ID", ""), *release.get("ID_LIKE", "").split()})


def line_to_type(needs: list[Need], platform: str, release: dict[str, str]) -> str:
    """What to tell a person who has to install the needs themselves, with the line for their system."""
    words = ", ".join(need.words for need in needs)
    if is_debian(release):
        packages = " ".join(need.apt for need in needs)
        line = "sudo apt-get update && sudo apt-get install --no-install-recommends " + packages
    elif platform == "darwin":
        line = "brew install " + " ".join(sorted({need.brew for need in needs if need.brew}))
    else:
        return f"Please install with this system's own package manager, then start again: {words}."
    return f"Please type this line, then start again ({words} must be installed first):\n  {line}"


def see_to(needs: list[Need], progress: Progress, held: int | None) -> None:
    """Install the needs when this is root on Debian, else raise Stopped with the line that does."""
    if not needs:
        return
    release = os_release()
    if not (is_root() and is_debian(release)):
        raise Stopped(line_to_type(needs, sys.platform, release))
    made = _no_cluster() if POSTGRESQL in needs else []
    try:
        apt_install([need.apt for need in needs], progress, held)
    finally:
        for path in made:
            (os.rmdir if os.path.isdir(path) else os.remove)(path)


def _no_cluster() -> list[str]:
    """Keep the server's package from making and starting a cluster; returns what to remove again, in order."""
    folder = os.path.dirname(CLUSTER_DROP_IN)
    fresh = not os.path.isdir(folder)
    if fresh:
        os.makedirs(folder)
    with open(CLUSTER_DROP_IN, "w") as note:
        note.write("# There only while siteapp sets up its tests.\ncreate_main_cluster = false\n")
    return [CLUSTER_DROP_IN, folder] if fresh else [CLUSTER_DROP_IN]


def apt_install(packages: list[str], progress: Progress, held: int | None) -> None:
    """Install Debian packages; the lists are fetched anew only when they do not lead to the packages."""
    progress.show(f"Installing {len(packages)} system packages and what they need")
    code, text = _apt(["install", "--no-install-recommends", *packages], progress, held)
    if code != 0:
        progress.show("Fetching the lists of system packages")
        _apt(["update"], progress, held)
        code, text = _apt(["install", "--no-install-recommends", *packages], progress, held)
    if code != 0:
        explain(text, f"apt-get could not install {' '.join(packages)}")
    progress.end()


def _apt(words: list[str], progress: Progress, held: int | None) -> tuple[int, str]:
    environment = {"DEBIAN_FRONTEND": "noninteractive", "NEEDRESTART_SUSPEND": "1"}
    command = ["apt-get", "-y", "-q", "-o", "DPkg::Lock::Timeout=300", "-o", "APT::Status-Fd=1", *words]
    kept = []
    with running(command, held, environment) as (process, lines):
        for line in lines:
            status = re.match(r"(?:dl|pm)status:[^:]*:([0-9.]+):(.*)", line or "")
            if status:
                progress.show(f"System packages {float(status[1]):.0f}%: {status[2]}", keep=False)
            elif line:
                kept.append(line)
    return process.returncode, "\n".join(kept[-40:])


def see_to_browser(python: str, progress: Progress, held: int | None) -> None:
    """Where the system has no Chromium of its own to install, let Playwright keep one."""
    if chromium_path() is not None:
        return
    progress.show("Fetching a browser for the tests")
    extra = ["--with-deps"] if sys.platform == "linux" and os.geteuid() == 0 else []
    command = [python, "-m", "playwright", "install", *extra, "chromium"]
    run(command, held, "Playwright could not fetch Chromium")
    progress.end()
