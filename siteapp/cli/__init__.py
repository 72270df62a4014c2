"""The commands proper, run inside `.venv`. What is heavy is imported by the command that needs it."""

from __future__ import annotations

import argparse
import signal
import sys
from typing import TYPE_CHECKING, NoReturn

from siteapp import bootstrap
from siteapp.cli import bringing, demo, keeping, people, serving, signed, soak, testing
from siteapp.cli.edge import sentence_for

if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import FrameType

# Ended by Ctrl-C: 128 + SIGINT, as shells have it.
INTERRUPTED = 130


def main(argv: Sequence[str]) -> int:
    """Run one command line and return its exit code; what a person can mend is said in one sentence."""
    commands = parser()
    arguments, more = commands.parse_known_args(argv)
    if arguments.run is testing.test:
        arguments.pytest = more
    elif more:
        commands.error(f"{argv[0]} does not know {' '.join(more)}; see --help")
    signal.signal(signal.SIGTERM, _interrupt)
    # Set here too: a shell that starts a program in the background has Ctrl-C ignored, and Python inherits that.
    signal.signal(signal.SIGINT, _interrupt)
    try:
        return int(arguments.run(arguments))
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return INTERRUPTED
    except Exception as error:
        sentence = sentence_for(error)
        if sentence is None:
            raise
        print(sentence, file=sys.stderr)
        return 1


def parser() -> argparse.ArgumentParser:
    """Every command with its arguments."""
    top = argparse.ArgumentParser(prog="python3 -m siteapp", allow_abbrev=False)
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    lines = dict(bootstrap.COMMANDS)

    def add(name: str) -> argparse.ArgumentParser:
        return commands.add_parser(name, help=lines[name], description=lines[name], allow_abbrev=False)

    # Set-up itself is done before anything can be imported from here; this is its --help.
    add("setup").add_argument("--tests", action="store_true", help="also install what the tests need")
    demo.add(add("demo"))
    testing.add(add("test"))
    serving.add(add("serve"))
    people.add(add("person"))
    bringing.add(add("bring-in"))
    keeping.add_backup(add("backup"))
    keeping.add_restore(add("restore"))
    signed.add_verify(add("verify"))
    signed.add_key(add("key"))
    keeping.add_check(add("check"))
    soak.add(add("soak"))
    return top


def _interrupt(_signal: int, _frame: FrameType | None) -> NoReturn:
    raise KeyboardInterrupt
