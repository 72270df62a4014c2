"""`soak`: the long runs, of which the tests have short ones. Each is drawn from a seed and ends in a table."""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from siteapp.bootstrap import CHECKOUT
from siteapp.cli.demo import Bar

if TYPE_CHECKING:
    import argparse

MINUTES = 20
SEED = 1


def add(parser: argparse.ArgumentParser) -> None:
    """Arguments of `soak`."""
    parser.epilog = "Without names, every run: waiting (phones on a bad network), store (power cuts, kills)."
    parser.add_argument("names", nargs="*", metavar="RUN", help="which runs")
    parser.add_argument("--seed", type=int, default=SEED, help=f"what everything is drawn from (else {SEED})")
    parser.add_argument("--entries", type=int, default=60, help="waiting: things entered on phones (else 60)")
    parser.add_argument("--photos", type=int, default=20, help="waiting: photos with them (else 20)")
    parser.add_argument("--cuts", type=int, default=200, help="waiting: how often something goes wrong (else 200)")
    parser.add_argument("--minutes", type=float, default=MINUTES, help=f"longest time for each run (else {MINUTES})")
    parser.set_defaults(run=soak)


def soak(arguments: argparse.Namespace) -> int:
    """Run them one after the other, also after one has found something; 0 only when none has."""
    # They are part of the tests, which lie beside the program and not in it.
    if CHECKOUT not in sys.path:
        sys.path.insert(0, CHECKOUT)
    from tests.soak.runs import RUNS, Options

    unknown = [name for name in arguments.names if name not in RUNS]
    if unknown:
        print(f"There is no run '{unknown[0]}'; the runs are {', '.join(RUNS)}.", file=sys.stderr)
        return 2
    options = Options(
        arguments.seed, arguments.entries, arguments.photos, arguments.cuts, longest_s=arguments.minutes * 60
    )
    ends = []
    for name in arguments.names or RUNS:
        folder = Path(tempfile.mkdtemp(prefix=f"siteapp-soak-{name}-"))
        began = time.monotonic()
        bar = Bar(f"soak {name}")
        came = RUNS[name](options, folder, bar)
        bar.end()
        for line in came.lines:
            print(line, flush=True)
        if came.sound:
            shutil.rmtree(folder, ignore_errors=True)
        else:
            print(f"What it worked on is kept in {folder}")
        ends.append((name, came.sound, time.monotonic() - began))
    print(" · ".join(f"{name} {'met' if sound else 'not met'} {took:.0f} s" for name, sound, took in ends))
    return 0 if all(sound for _name, sound, _took in ends) else 1
