"""What must come from the operating system: libraries for documents; for tests a browser and a database server.

Root on Debian and its relatives: installed with apt. Everybody else is told the line to type. Standard library only.
"""

import ctypes
import glob
import os
import re
import shutil
import sys
import tempfile

from siteapp.bootstrap import Stopped

# What is needed: (words for it, file to load or program to find, apt package, brew formula)
PANGO = ("Pango", "libpango-1.0.so.0", "libpango-1.0-0", "pango")
PANGO_FT2 = ("Pango for FreeType", "libpangoft2-1.0.so.0", "libpangoft2-1.0-0", "pango")
HARFBUZZ_SUBSET = ("HarfBuzz subset", "libharfbuzz-subset.so.0", "libharfbuzz-subset0", "harfbuzz")
VENV = ("Python's venv", "ensurepip", "python%d.%d-venv" % sys.version_info[:2], "python")
CHROMIUM = ("Chromium", "chromium", "chromium", None)
POSTGRESQL = ("PostgreSQL server", "postgres", "postgresql", "postgresql")

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
POSTGRES_FOLDERS = ("/usr/lib/postgresql/*/bin", "/opt/homebrew/opt/postgresql*/bin", "/usr/local/opt/postgresql*/bin")
# A cluster that starts with the machine is nobody's wish here: tests make and remove their own.
CLUSTER_DROP_IN = "/etc/postgresql-common/createcluster.d/siteapp-setup.conf"


def missing(tests):
    """The needs (tuples as above) that this machine does not meet yet."""
    needs = [need for need in (PANGO, PANGO_FT2, HARFBUZZ_SUBSET) if not loads(need[1])]
    if not can_make_venv():
        needs.insert(0, VENV)
    if tests and postgres_folder() is None:
        needs.append(POSTGRESQL)
    if tests and os_release().get("ID") == "debian" and chromium_path() is None:
        needs.append(CHROMIUM)
    return needs


def loads(library):
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


def can_make_venv():
    """Whether `python -m venv` would work: Debian keeps half of it in a package of its own."""
    import importlib.util

    return importlib.util.find_spec("ensurepip") is not None and importlib.util.find_spec("venv") is not None


def chromium_path():
    """The system's Chromium, or None; the tests' browser then is the one Playwright keeps for itself."""
    for name in BROWSERS:
        path = shutil.which(name)
        # Ubuntu's chromium-browser is a few lines of shell that ask for a snap.
        if path and not (name == "chromium-browser" and os.path.getsize(os.path.realpath(path)) < 4096):
            return path
    return None


def postgres_folder():
    """The folder that holds `initdb` and `postgres`, the newest if there are several, or None."""
    found = [folder for pattern in POSTGRES_FOLDERS for folder in glob.glob(pattern)]
    found = sorted((folder for folder in found if os.path.exists(os.path.join(folder, "postgres"))), key=_version)
    if found:
        return found[-1]
    path = shutil.which("initdb")
    return os.path.dirname(os.path.realpath(path)) if path else None


def _version(folder):
    return [int(number) for number in re.findall(r"\d+", folder)]


def os_release():
    """/etc/os-release as a dictionary; empty where there is none."""
    try:
        with open("/etc/os-release") as lines:
            return parse_os_release(lines.read())
    except OSError:
        return {}


def parse_os_release(text):
    """The NAME=value lines of an os-release file, quotes taken off."""
    pairs = (line.strip().split("=", 1) for line in text.splitlines() if "=" in line and not line.startswith("#"))
    return dict((name, value.strip("\"'")) for name, value in pairs)


def line_to_type(needs, platform, release, uid):
    """How this system gets the needs: ("run", [packages]) for apt as root, else ("say", a sentence with the line)."""
    words = ", ".join(need[0] for need in needs)
    family = [release.get("ID", "")] + release.get("ID_LIKE", "").split()
    if "debian" in family or "ubuntu" in family:
        packages = [need[2] for need in needs]
        if uid == 0:
            return "run", packages
        line = "sudo apt-get update && sudo apt-get install --no-install-recommends " + " ".join(packages)
        return "say", "%s must be installed first. Type this line, then start again:\n  %s" % (words, line)
    if platform == "darwin":
        formulas = sorted(set(need[3] for need in needs if need[3]))
        line = "brew install " + " ".join(formulas)
        return "say", "%s must be installed first. Type this line, then start again:\n  %s" % (words, line)
    return "say", "Please install with this system's own package manager, then start again: %s." % words


def see_to(needs, progress, held):
    """Install the needs, or raise Stopped with the line that does."""
    if not needs:
        return
    how, what = line_to_type(needs, sys.platform, os_release(), os.geteuid() if hasattr(os, "geteuid") else 1)
    if how == "say":
        raise Stopped(what)
    if not os.path.exists("/usr/bin/apt-get"):
        raise Stopped("apt-get is not there; please install: %s." % " ".join(what))
    made = _no_cluster() if POSTGRESQL in needs else []
    try:
        apt_install(what, progress, held)
    finally:
        for path in made:
            (os.rmdir if os.path.isdir(path) else os.remove)(path)


def _no_cluster():
    """Keep the server's package from making and starting a cluster; returns what to remove again, in order."""
    folder = os.path.dirname(CLUSTER_DROP_IN)
    fresh = not os.path.isdir(folder)
    if fresh:
        os.makedirs(folder)
    with open(CLUSTER_DROP_IN, "w") as note:
        note.write("# There only while siteapp sets up its tests.\ncreate_main_cluster = false\n")
    return [CLUSTER_DROP_IN, folder] if fresh else [CLUSTER_DROP_IN]


def apt_install(packages, progress, held):
    """Install Debian packages; the lists are fetched anew only when they do not lead to the packages."""
    from siteapp import installing

    progress.show("Installing %d system packages and what they need" % len(packages))
    code, text = _apt(["install", "--no-install-recommends"] + packages, progress, held)
    if code != 0:
        progress.show("Fetching the lists of system packages")
        _apt(["update"], progress, held)
        code, text = _apt(["install", "--no-install-recommends"] + packages, progress, held)
    if code != 0:
        installing.explain(text, "apt-get could not install %s" % " ".join(packages))
    progress.end()


def _apt(words, progress, held):
    from siteapp import installing

    environment = {"DEBIAN_FRONTEND": "noninteractive", "NEEDRESTART_SUSPEND": "1"}
    command = ["apt-get", "-y", "-q", "-o", "DPkg::Lock::Timeout=300", "-o", "APT::Status-Fd=1"] + words
    kept = []
    with installing.running(command, held, environment=environment, cwd=tempfile.gettempdir()) as (process, lines):
        for line in lines:
            status = re.match(r"(?:dl|pm)status:[^:]*:([0-9.]+):(.*)", line or "")
            if status:
                progress.show("System packages %d%%: %s" % (float(status.group(1)), status.group(2)), keep=False)
            elif line:
                kept.append(line)
    return process.returncode, "\n".join(kept[-40:])


def see_to_browser(python, progress, held):
    """Where the system has no Chromium of its own to install, let Playwright keep one."""
    from siteapp import installing

    if chromium_path() is not None:
        return
    progress.show("Fetching a browser for the tests")
    extra = ["--with-deps"] if sys.platform == "linux" and os.geteuid() == 0 else []
    command = [python, "-m", "playwright", "install"] + extra + ["chromium"]
    installing.run(command, held, "Playwright could not fetch Chromium")
    progress.end()
