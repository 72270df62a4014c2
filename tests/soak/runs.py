"""The long runs by name. A new one is a function here: options, an empty folder, a progress bar in; what came, out."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.bootstrap import CHECKOUT

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Progress = Callable[[int, int, str], None]


# Entered before anything goes wrong, to see how long it takes then.
QUIET = 20


@dataclass(frozen=True)
class Options:
    """What was asked for; each run takes what is its own."""

    seed: int
    entries: int
    photos: int
    cuts: int
    longest_s: float


@dataclass(frozen=True)
class Came:
    """What came of a run: lines for a person, and whether everything was as it should be."""

    lines: list[str]
    sound: bool


def waiting(options: Options, folder: Path, progress: Progress) -> Came:
    """A day of two phones on a bad network (outbox_day.py)."""
    from tests.soak.outbox_day import run
    from tests.soak.report import Plan
    from tests.soak.watch import Stuck
    from tests.support.lan import NoNetwork

    plan = Plan(options.seed, options.entries, options.photos, options.cuts, QUIET, options.longest_s)
    try:
        result = run(plan, folder, progress)
    except NoNetwork as why:
        return Came([f"Cannot tell: this machine makes no networks for us ({why}). Root on Linux can."], sound=False)
    except Stuck as why:
        return Came([f"Cannot tell: a browser got stuck ({why})."], sound=False)
    return Came(result.lines(), sound=not result.faults and not result.said and not result.ran_out)


def store(options: Options, folder: Path, progress: Progress) -> Came:
    """The store's own tests, each many times longer: power cuts, workers killed, forms sent again and again."""
    longer = {
        "SITEAPP_TESTS_SEED": str(options.seed),
        "SITEAPP_TESTS_POWER_FORMS": "200",
        "SITEAPP_TESTS_CUTS": "300",
        "SITEAPP_TESTS_FORMS": "600",
        "SITEAPP_TESTS_KILLS": "60",
    }
    files = ["tests/store/test_power_cuts.py", "tests/store/test_many_workers.py"]
    command = [sys.executable, "-m", "pytest", "-v", "--no-header", f"--basetemp={folder / 'work'}", *files]
    command += [f"--timeout={options.longest_s:.0f}"]
    lines = []
    with subprocess.Popen(
        command, cwd=CHECKOUT, env={**os.environ, **longer}, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            name, _, came = line.strip().partition(" ")
            if "::" in name and "%]" in came:
                share = int(came[came.rindex("[") + 1 : came.rindex("%")])
                progress(share, 100, name.partition("::")[2])
            elif line.strip() and "::" not in name:
                lines.append(line.rstrip())
    return Came(lines[-1:] if process.returncode == 0 else lines, sound=process.returncode == 0)


RUNS: dict[str, Callable[[Options, Path, Progress], Came]] = {"waiting": waiting, "store": store}
