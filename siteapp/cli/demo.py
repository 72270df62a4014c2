"""`demo`: an invented workshop in a data folder of its own, filled once and then served."""

from __future__ import annotations

import contextlib
import shutil
import sys
import threading
from typing import TYPE_CHECKING

from siteapp.cli import serving
from siteapp.cli.edge import Refusal, claim_folder, prepare
from siteapp.config import Settings
from siteapp.installing import only_one
from siteapp.running import Progress

if TYPE_CHECKING:
    import argparse


WIDTH = 20


def add(parser: argparse.ArgumentParser) -> None:
    """Arguments of `demo`."""
    serving.add_address(parser)
    parser.set_defaults(run=demo)


def demo(arguments: argparse.Namespace) -> int:
    """Fill the demo if it is not there yet, then serve it until Ctrl-C."""
    settings = Settings.from_env(**serving.where(arguments), demo=True)
    with serving.bound(settings) as server:
        if settings.sqlite_file.exists():
            prepare(settings)
        else:
            fill(settings)
        from seed_demo.build import SIGN_IN

        lines = [f"  {name} ({role}): {passphrase}" for name, role, passphrase in SIGN_IN]
        return serving.run(server, settings, ["Sign in as", *lines])


def fill(settings: Settings) -> None:
    """Build the demo beside its folder and move it there whole: a folder of that name is a finished demo."""
    if settings.data.exists() and any(settings.data.iterdir()):
        message = f"{settings.data} holds something else; choose an empty folder with SITEAPP_DEMO_DATA."
        raise Refusal(message)
    claim_folder(settings)
    filling = settings.with_(data=settings.data.with_name(settings.data.name + "-filling"))
    claim_folder(filling)
    with only_one(str(filling.data)):
        # Left by a start that was killed: half a demo is no use, and half an hour's work to tell from a whole one.
        for left in filling.data.iterdir():
            shutil.rmtree(left) if left.is_dir() else left.unlink()
        prepare(filling)
        _build(filling)
        with contextlib.suppress(OSError):
            settings.data.rmdir()
        filling.data.rename(settings.data)


def _build(settings: Settings) -> None:
    from seed_demo.build import build
    from siteapp.store.db import Store

    store = Store(settings)
    try:
        store.begin_laptop()
        # The program that makes certificates takes seconds to start; by then much of the demo is filled.
        threading.Thread(target=_warm, daemon=True).start()
        bar = Bar("Filling the demo")
        build(store, settings, bar)
        bar.end()
    finally:
        store.close()


def _warm() -> None:
    from siteapp.documents.engine import PdfError, shared

    with contextlib.suppress(PdfError):  # said when the first certificate is made
        shared().warm()


class Bar:
    """A progress bar: called with (done, total, what)."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.line = Progress(sys.stdout)

    def __call__(self, done: int, total: int, what: str) -> None:
        """Show how far it is; in a log only the beginning of each tenth."""
        share = done / total if total else 1.0
        drawn = "#" * round(WIDTH * share)
        new_tenth = done * 10 // max(total, 1) != max(done - 1, 0) * 10 // max(total, 1)
        text = f"{self.title} [{drawn:<{WIDTH}}] {done} of {total}: {what}"
        self.line.show(text, keep=new_tenth)

    def end(self) -> None:
        """Leave the bar standing and go on below it."""
        self.line.end()
