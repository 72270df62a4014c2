"""`backup`, `restore` and `check`: what is kept, copied, brought back, and walked through."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from siteapp.cli.demo import Bar
from siteapp.cli.edge import claim_folder
from siteapp.config import Settings

if TYPE_CHECKING:
    import argparse


def add_backup(parser: argparse.ArgumentParser) -> None:
    """Arguments of `backup`."""
    parser.add_argument("target", nargs="?", type=Path, help="where to put it (else beside the data folder)")
    parser.set_defaults(run=backup)


def add_restore(parser: argparse.ArgumentParser) -> None:
    """Arguments of `restore`."""
    parser.add_argument("source", type=Path, help="the backup")
    parser.set_defaults(run=restore)


def add_check(parser: argparse.ArgumentParser) -> None:
    """Arguments of `check`."""
    parser.add_argument("--quick", action="store_true", help="leave out what takes long: hashing every photo again")
    parser.set_defaults(run=check)


def backup(arguments: argparse.Namespace) -> int:
    """Write a backup and say where it is."""
    from siteapp.keeping.backup import make

    # Not prepared first: what is kept is the database as it is, also one that could not be migrated.
    bar = Bar("Backup")
    made = make(Settings.from_env(), arguments.target, bar)
    bar.end()
    print(f"Backup written: {made}")
    return 0


def restore(arguments: argparse.Namespace) -> int:
    """Bring a backup back into an empty data folder, as a new laptop."""
    settings = Settings.from_env()
    claim_folder(settings)
    from siteapp.keeping.restore import restore as bring_back

    bar = Bar("Restore")
    bring_back(settings, arguments.source, bar)
    bar.end()
    print(f"Restored into {settings.data}, as a new laptop.")
    return 0


def check(arguments: argparse.Namespace) -> int:
    """Walk through everything; exit code 1 when something is not as it was written."""
    from siteapp.keeping.check import run

    # Nothing is prepared first: a check changes nothing, and has to work on what cannot be opened for writing.
    bar = Bar("Check")
    report = run(Settings.from_env(), full=not arguments.quick, progress=bar)
    bar.end()
    for name, count in report.counts.items():
        print(f"  {name}: {count}")
    for finding in report.findings:
        print(finding)
    print("Nothing found." if not report.findings else f"{len(report.findings)} found.")
    return 1 if report.findings else 0
