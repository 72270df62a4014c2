"""From a fresh checkout to a running command: makes `.venv`, fills it from the lock, and starts again inside it.

Standard library only, and no syntax newer than Python 2.7 at the top level, so that any Python can say what it lacks.
A second start costs one small file read and one hash of the locks; everything else is imported when it is needed.

What `.venv/siteapp-setup` says, in one line of four words (state, fingerprint, extent, path of the Python):
    making      the environment itself is not finished: it is thrown away and made again
    installing  packages are going in: the next set-up goes on from there
    ready       everything in the lock is installed
"""

import os
import sys

OLDEST = (3, 11)
CHECKOUT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
COMMANDS = (
    ("setup", "install what the program needs into .venv (--tests: and what its tests need)"),
    ("demo", "fill an invented workshop into a folder of its own and serve it"),
    ("test", "lint, types, import direction and tests; further words go to pytest"),
    ("serve", "serve the workshop's own jobs to this machine and the crew's phones"),
    ("person", "add a person, list people, set a passphrase"),
    ("bring-in", "make and revise a job's pieces from a TOML or CSV file (--check: only say what it would do)"),
    ("backup", "write a copy of everything that is kept"),
    ("restore", "bring a copy back, as a new laptop"),
    ("verify", "say whether a file is a certificate as it was issued, and whether it stands"),
    ("key", "the key that certificates are signed with: show, save, take"),
    ("check", "walk through records, photos and their chains and name what is not as it was written"),
    ("soak", "the long runs: a day of phones on a bad network, power cuts, kills; from a seed"),
)
# What needs more installed than the program itself.
TESTING = ("test", "soak")
STATE_WORDS = 4
LOCKS = {"runtime": "requirements.txt", "tests": "requirements-tests.txt"}


class Stopped(Exception):
    """Set-up cannot go on; the message is one sentence for a person."""


def main(argv):
    """Run one command line (without the program's name) and return its exit code."""
    sentence = too_old(sys.version_info)
    if sentence:
        sys.stderr.write(sentence + "\n")
        return 1
    if not argv or argv[0] in ("-h", "--help", "help"):
        sys.stdout.write(listing())
        return 0
    sentence = unknown(argv)
    if sentence:
        sys.stderr.write(sentence + "\n")
        return 2
    if argv[1:2] in (["-h"], ["--help"]):
        return run_command(argv)
    inside = os.path.realpath(sys.prefix) == os.path.realpath(venv_of(CHECKOUT))
    try:
        made_anew = set_up(CHECKOUT, tests=argv[0] in TESTING or argv[:2] == ["setup", "--tests"])
    except Stopped as stop:
        sys.stderr.write("%s\n" % stop)
        return 1
    except KeyboardInterrupt:
        sys.stderr.write("\nStopped; the next start goes on from here.\n")
        return 130
    if argv[0] == "setup":
        sys.stdout.write("Ready. Start with: python3 -m siteapp demo\n")
        return 0
    if inside and not made_anew:
        return run_command(argv)
    # Also from the inside: what was loaded from an environment that has gone does not mix with the new one.
    return start_inside(argv)


def unknown(argv):
    """The sentence for a command line that names no command, or None."""
    name = argv[0]
    if name not in dict(COMMANDS):
        return "There is no command '%s'; the commands are %s." % (name, ", ".join(one for one, _ in COMMANDS))
    if name == "setup" and argv[1:] not in ([], ["--tests"], ["-h"], ["--help"]):
        return "setup takes nothing, or --tests; '%s' is neither." % " ".join(argv[1:])
    return None


def too_old(version):
    """The sentence for a Python older than the program needs, or None."""
    if tuple(version[:2]) >= OLDEST:
        return None
    return "Python %d.%d or newer, please (this is %d.%d)." % (OLDEST + tuple(version[:2]))


def listing():
    """The commands, one line each."""
    lines = ["python3 -m siteapp COMMAND [--help]", ""]
    lines.extend("  %-8s %s" % command for command in COMMANDS)
    return "\n".join(lines) + "\n"


def run_command(argv):
    """Hand over to the commands proper, in this very process."""
    from siteapp.cli import main as command_line

    return command_line(argv)


def start_inside(argv):
    """Start the same command line again with the Python of `.venv`."""
    command = [python_of(venv_of(CHECKOUT)), "-m", "siteapp"] + argv
    brew = "/opt/homebrew/lib"
    if sys.platform == "darwin" and os.path.isdir(brew):
        # A Python that did not come from Homebrew does not look for Pango there.
        os.environ.setdefault("DYLD_FALLBACK_LIBRARY_PATH", brew + ":/usr/local/lib:/usr/lib")
    if os.name == "posix":
        sys.stdout.flush()
        os.execv(command[0], command)
    import subprocess

    return subprocess.call(command)


def venv_of(checkout):
    """The folder of the checkout's own environment."""
    return os.path.join(checkout, ".venv")


def python_of(venv):
    """The Python inside an environment."""
    return os.path.join(venv, "Scripts", "python.exe") if os.name == "nt" else os.path.join(venv, "bin", "python")


def fingerprint(checkout):
    """SHA-256 over both locks: an environment made for other locks is made anew."""
    import hashlib

    digest = hashlib.sha256()
    for name in sorted(LOCKS.values()):
        with open(os.path.join(checkout, name), "rb") as lock:
            digest.update(lock.read())
    return digest.hexdigest()


def read_state(venv):
    """(state, fingerprint, extent, python) as last written, or None when there is no readable word of it."""
    try:
        with open(os.path.join(venv, "siteapp-setup")) as note:
            words = note.read().rstrip("\n").split(" ", 3)
    except (OSError, UnicodeDecodeError):
        return None
    return tuple(words) if len(words) == STATE_WORDS else None


def is_ready(checkout, tests):
    """Whether `.venv` holds all that the locks name, made with a Python that is still the same one."""
    venv = venv_of(checkout)
    state = read_state(venv)
    if state is None or state[0] != "ready" or (tests and state[2] != "tests"):
        return False
    # A new release of the system swaps the Python under the link; what was installed is then not found any more.
    return state[3] == os.path.realpath(python_of(venv)) and state[1] == fingerprint(checkout)


def set_up(checkout, tests):
    """Make everything ready that `checkout` needs to run (or to be tested); quick when it already is.

    Returns whether anything was done. Raises Stopped with one sentence when it cannot.
    """
    if is_ready(checkout, tests):
        return False
    from siteapp import installing

    try:
        with installing.only_one(checkout) as held:
            if not is_ready(checkout, tests):
                installing.install(checkout, held, tests=tests)
    except OSError as error:
        raise Stopped(installing.sentence_for(error, checkout))
    return True
