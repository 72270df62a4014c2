"""A day on site with a bad network: two phones, two fitters, everything drawn from a seed; then the laptop is asked.

Each thing entered carries a mark of its own and each photo bytes of its own, so that in the end it can be said of every
one whether it is on the laptop once, whole, and under the right name.
"""

from __future__ import annotations

import random
import time
from typing import TYPE_CHECKING, Any

from playwright.sync_api import Error

from tests.soak import ledger as ledgers
from tests.soak import trouble as troubles
from tests.soak.hands import CannotNow, Task
from tests.soak.onsite import on_site
from tests.soak.report import Plan, Result
from tests.soak.trouble import Trouble
from tests.soak.watch import Watch
from tests.support.own_photos import photo_of_its_own

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.soak.hands import Hands
    from tests.soak.ledger import Entered
    from tests.soak.onsite import OnSite

CLOCK_OFF_MS = 47 * 60_000 + 11_000
KEPT_S = 8
# The longest pause that a page makes between two tries is 30 s.
SENT_S = 75
STUCK_S = 120
LINES = {
    "wall-as-asked": "",
    "nothing-behind": "",
    "anchors-proved": "2.4",
    "hands-and-aids": "",
    "offered-up": "",
    "nuts-marked": "",
    "level": "1",
}
NEEDS_PHOTO = ("anchors-proved", "nuts-marked")


def run(plan: Plan, folder: Path, progress: Callable[[int, int, str], None]) -> Result:
    """One day in a folder of its own. Raises NoNetwork where the machine refuses what it needs."""
    began = time.monotonic()
    with on_site(folder, wrong_clocks_ms={1: CLOCK_OFF_MS}) as site:
        with Watch(lambda: [hands.phone.shoot() for hands in site.hands], STUCK_S) as watch:
            day = Day(plan, site, watch, progress)
            try:
                day.whole()
            except Error:
                watch.beat()  # says so when it was the watch that ended the browsers
                raise
        said = [line for hands in site.hands for line in hands.phone.said]
    result = day.result
    result.said += said + site.laptop.complaints()
    result.faults += ledgers.faults(site.ledger, site.laptop.settings)
    result.took_s = time.monotonic() - began
    result.sum_up(site.ledger)
    return result


class Day:
    """The day as it goes."""

    def __init__(self, plan: Plan, site: OnSite, watch: Watch, progress: Callable[[int, int, str], None]) -> None:
        self.plan = plan
        self.rng = random.Random(plan.seed)
        self.watch = watch
        self.workshop = site.workshop
        self.hands = site.hands
        self.ledger = site.ledger
        self.trouble = Trouble(site.laptop, site.hands, site.workshop.fitters, self.rng)
        self.folder = site.folder
        self.progress = progress
        self.result = Result(plan, cuts=self.trouble.counts)
        self.marks = 0
        self.end = time.monotonic() + plan.longest_s

    def whole(self) -> None:
        """Enter, cut, enter, cut; then let everything through."""
        for hands in self.hands:
            hands.go("/")
        for number in range(self.plan.quiet):
            self.enter(number % len(self.hands), photo=number % 4 == 3, quiet=True)
        with_photo = set(self.rng.sample(range(self.plan.entries), min(self.plan.photos, self.plan.entries)))
        steps = [("entry", number) for number in range(self.plan.entries)]
        steps += [("cut", number) for number in range(self.plan.cuts)]
        self.rng.shuffle(steps)
        for number, (what, which) in enumerate(steps):
            if time.monotonic() > self.end:
                self.result.ran_out = True
                break
            self.progress(number + 1, len(steps), what)
            phone = self.rng.randrange(len(self.hands))
            if what == "entry":
                self.enter(phone, photo=which in with_photo)
            else:
                self.cut(phone)
            self.trouble.step()
        self.progress(len(steps), len(steps), "letting everything through")
        self.let_through()

    # Cuts

    def cut(self, phone: int) -> None:
        """Something goes wrong now, between two things entered."""
        for _ in range(10):
            self.watch.beat()
            kind = self.rng.choices(list(troubles.SHARES), list(troubles.SHARES.values()))[0]
            if self.trouble.begin(kind, phone):
                break
        self.hands[phone].pause(self.rng.uniform(0, 0.4))

    # Entries

    def enter(self, phone: int, *, photo: bool, quiet: bool = False) -> None:
        """Something is entered on a phone, and perhaps cut in the moment after; done again when it was not kept."""
        hands = self.hands[phone]
        kind = self.rng.choices(("check", "arrival", "climate", "coat"), (6, 1, 2, 2))[0]
        for _ in range(6):
            self.watch.beat()
            task = self._task(hands, kind, photo=photo)
            fair = quiet or (self.trouble.fair(phone) and self.rng.random() < 0.6)
            try:
                self._open(hands, task)
                one = hands.enter(task)
            except CannotNow:
                self.trouble.clear(phone)
                hands.pause(0.2)
                continue
            if not fair and self.rng.random() < 0.4:
                hands.pause(self.rng.choice((0.0, 0.02, self.rng.uniform(0, 0.5))))
                self.trouble.begin(self.rng.choice(troubles.AT_ONCE), phone)
            if self._kept(hands, one):
                one.fair = fair and self._saved(hands, one)
                return
            self.result.undone.append(one.mark)
        self.result.faults.append(f"could not be entered on phone {phone}: {kind}")

    def _task(self, hands: Hands, kind: str, *, photo: bool) -> Task:
        piece = self.rng.choice(self.workshop.pieces[hands.phone.number])
        line = self.rng.choice(list(LINES))
        if not self.trouble.reaches(hands.phone.number):
            # Only the page that is open can be filled in.
            here = [one for one in self.workshop.pieces[hands.phone.number] if one.number in hands.path]
            piece = here[0] if here else piece
            path = hands.path.partition("?")[0]
            kind = next((one for one in ("checks", "arrival", "climate", "coat") if path.endswith(one)), kind)
            kind = "check" if kind == "checks" else kind
        verdicts = ["met", "not met", "cannot tell"] if photo or line not in NEEDS_PHOTO else ["not met", "cannot tell"]
        self.marks += 1
        mark = f"mark-{self.plan.seed}-{self.marks}"
        photos = (self._photo(mark),) if photo else ()
        return Task(mark, kind, piece, line, self.rng.choice(verdicts), LINES[line], photos)

    def _open(self, hands: Hands, task: Task) -> None:
        """Have the task's page before one: the one that is open will often do, and must when no other can be had."""
        reaches = self.trouble.reaches(hands.phone.number)
        if hands.is_open(task) and not (reaches and self.rng.random() < 0.3):
            return
        if not reaches:
            message = "no laptop to open it from"
            raise CannotNow(message)
        hands.go(task.path)

    def _kept(self, hands: Hands, one: Entered) -> bool:
        """Whether the phone keeps it (or the laptop has it); False when it was cut off before."""
        self._wait_for(lambda: one.kept_ms is not None or not hands.phone.has_tab, hands, KEPT_S)
        return one.kept_ms is not None

    def _saved(self, hands: Hands, one: Entered) -> bool:
        """Whether it is saved within what a person would wait for."""
        return self._wait_for(lambda: one.saved_ms is not None, hands, 10)

    def _wait_for(self, done: Callable[[], bool], hands: Hands, seconds: float) -> bool:
        end = time.monotonic() + seconds
        while not done() and time.monotonic() < end:
            self.watch.beat()
            hands.pause(0.02)
        return done()

    def _photo(self, mark: str) -> Path:
        """A photo of its own, as a file."""
        path = self.folder / f"{mark}.jpg"
        path.write_bytes(photo_of_its_own(mark))
        return path

    # The evening

    def let_through(self) -> None:
        """All is put right; everybody for whom something waits on a phone signs in on it, until nothing waits."""
        self.trouble.clear()
        for hands in self.hands:
            for _ in range(12):
                self.watch.beat()
                hands.go("/waiting")
                waiting = hands.waiting()
                if not waiting:
                    break
                person = waiting[0]["person"]
                if person != hands.holder.person_id:
                    hands.holder = next(one for one in self.workshop.fitters if one.person_id == person)
                    continue
                self._all_sent(hands)
            else:
                self.result.faults.append(f"phone {hands.phone.number} still has {hands.waiting()}")

    def _all_sent(self, hands: Hands) -> None:
        """Until nothing of the holder's waits any more; what needs a look gets it."""

        def own() -> list[dict[str, Any]]:
            try:
                return [one for one in hands.waiting() if one["person"] == hands.holder.person_id]
            except Error:
                return [{"state": "waiting"}]

        self._wait_for(lambda: all(one["state"] == "look" for one in own()), hands, SENT_S)
        for one in own():
            if one["state"] == "look":
                why = f"{one['status']} {one['message']}"
                self.result.looks[why] += 1
                self.ledger.entered[one["mark"]].refused = why
                self._look(hands, one)

    def _look(self, hands: Hands, record: dict[str, Any]) -> None:
        """A refused form is opened, looked at, and sent again by its own button."""
        page = hands.phone.page
        entry = page.locator("article.waiting", has=page.locator(f'details[data-id="{record["id"]}"]'))
        open_it = entry.locator("[data-look]")
        try:
            with page.expect_navigation():
                open_it.click(timeout=2000)
        except Error:
            # What lacks its photos on the laptop is not opened, it is sent once more.
            entry.locator("[data-again]").click()
            hands.pause(2)
            return
        try:
            hands.press(hands.tasks[record["mark"]])
        except Error as error:
            self.result.faults.append(f"{record['mark']} was opened to be looked at and cannot be sent: {error}")
        hands.pause(2)
