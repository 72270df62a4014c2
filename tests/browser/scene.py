"""One phone, one laptop and the network between them, for cases of what becomes of a form when something goes wrong."""

from __future__ import annotations

import contextlib
import time
from contextlib import contextmanager

from playwright.sync_api import Error, expect
from sqlalchemy import delete, select

from siteapp.checks.models import CheckAnswer
from siteapp.finishing.models import FinishingSession
from siteapp.people.models import SignIn
from siteapp.store.models import Entry
from tests.soak import workshop
from tests.soak.hands import WAITING
from tests.support.lan import ADDRESS
from tests.support.phone import Phone

LINE = "hands-and-aids"
SOON_MS = 20_000


class Scene:
    """A laptop, a phone in a fitter's hand, and the database to look at behind their backs."""

    def __init__(self, lan, laptop, phone, store, filled, piece):
        self.lan, self.laptop, self.phone, self.store = lan, laptop, phone, store
        self.fitters, self.piece = filled.fitters, piece

    @property
    def page(self):
        return self.phone.page

    def sign_in(self, number=0, then="/", name=None):
        page = self.page
        page.goto(f"{ADDRESS}/sign-in?next={then}")
        page.fill("#name", name or self.fitters[number].name)
        page.fill("#passphrase", workshop.PASSPHRASE)
        page.click(".next button")
        page.wait_for_url(lambda url: "/sign-in" not in url)
        page.wait_for_load_state("networkidle")

    def answer(self, verdict, line=LINE, note=""):
        form = self.form(line)
        if note:
            form.locator("details summary").last.click()
            form.locator("[name=note]").fill(note)
        form.locator(f'button[value="{verdict}"]').click(no_wait_after=True)

    def form(self, line=LINE):
        return self.page.locator(f'form[action="{self.piece.check(line)}"]')

    @property
    def line(self):
        return self.page.locator("[data-saving]")

    def says(self, words):
        expect(self.line).to_contain_text(words, timeout=SOON_MS, use_inner_text=True)

    def answers(self, line=LINE):
        """Verdicts recorded for a line, in the laptop's order."""
        with self.store.read() as session:
            query = select(CheckAnswer.verdict).join(Entry, Entry.id == CheckAnswer.entry_id)
            query = query.where(CheckAnswer.line_key == line, Entry.piece_id == self.piece_id(session))
            return list(session.scalars(query.order_by(Entry.seq)))

    def sessions(self):
        """Zones of the finishing sessions begun on the piece, but for the one that it came with."""
        with self.store.read() as session:
            query = select(FinishingSession.zone).join(Entry, Entry.id == FinishingSession.entry_id)
            query = query.where(Entry.piece_id == self.piece_id(session), Entry.id != self.piece.session_id)
            return list(session.scalars(query.order_by(Entry.seq)))

    def piece_id(self, session):
        return session.scalar(
            select(Entry.piece_id)
            .join(FinishingSession, FinishingSession.entry_id == Entry.id)
            .where(Entry.id == self.piece.session_id)
        )

    def waiting(self):
        """What is in the phone's store; asked once more where the page was just being left."""
        for _ in range(5):
            with contextlib.suppress(Error):
                return self.page.evaluate(WAITING)
            self.page.wait_for_load_state("networkidle")
        return self.page.evaluate(WAITING)

    def saved(self, verdicts, line=LINE):
        """Everything arrived: these verdicts and no other, and nothing waits."""
        self.says("All saved on the laptop")
        assert self.answers(line) == verdicts
        assert self.waiting() == []
        # The page leads on by itself, unless its reader is at something else there.
        left = self.page.locator("form.kept:not(:has(~ .kept-note a:not([hidden])))")
        expect(left).to_have_count(0, timeout=SOON_MS)
        self.page.wait_for_load_state("networkidle")


@contextmanager
def alone(whole, name, scripts=()):
    lan, laptop, store, playwright, folder, filled, pieces = whole
    with store.write() as session:
        session.execute(delete(SignIn))
    phone = Phone(lan, 0, playwright, folder / name)
    phone.scripts.extend(scripts)
    phone.start()
    made = Scene(lan, laptop, phone, store, filled, next(pieces))
    try:
        made.sign_in(then=made.piece.checks)
        yield made
        assert phone.said == []
    finally:
        lan.phones[0].link("wlan0", up=True)
        lan.air(phone="192.168.44.2", lose=0, tear=0, delay_s=0.0, bytes_per_s=0.0)
        laptop.wake()
        if not laptop.serves:
            laptop.start()
        phone.stop()


def until(holds, seconds=20):
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.1)
