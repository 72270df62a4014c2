"""`test`: everything that must hold before a change goes in, quickest first."""

from __future__ import annotations

import subprocess
import sys
import time
from typing import TYPE_CHECKING

from siteapp.bootstrap import CHECKOUT

if TYPE_CHECKING:
    import argparse

IMPORTS = "from importlinter.cli import lint_imports_command as run; run()"
STEPS = (
    ("lint", ["-m", "ruff", "check", "--quiet"]),
    ("format", ["-m", "ruff", "format", "--check", "--quiet"]),
    ("types", ["-m", "mypy", "--no-error-summary"]),
    ("import direction", ["-c", IMPORTS]),
)


def add(parser: argparse.ArgumentParser) -> None:
    """Arguments of `test`."""
    parser.epilog = "Further words go to pytest."
    parser.set_defaults(run=test)


def test(arguments: argparse.Namespace) -> int:
    """Run every step, also after one has failed; 0 only when all have held."""
    steps = (*STEPS, ("tests", ["-m", "pytest", "--numprocesses=2", "--dist=loadfile", *arguments.pytest]))
    lines = []
    failed = False
    for name, words in steps:
        print(f"== {name}", flush=True)
        began = time.monotonic()
        code = subprocess.run([sys.executable, *words], cwd=CHECKOUT, check=False).returncode
        failed = failed or code != 0
        lines.append(f"{name} {'not met' if code else 'met'} {time.monotonic() - began:.1f} s")
    print(" · ".join(lines), flush=True)
    return 1 if failed else 0
