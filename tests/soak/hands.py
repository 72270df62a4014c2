"""What a fitter's hands do on a phone: sign in, open pages, fill forms in, press."""

from __future__ import annotations

import hashlib
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from playwright.sync_api import Error

from tests.finishing.support import GOOD
from tests.soak.ledger import Entered
from tests.soak.workshop import PASSPHRASE
from tests.support.lan import ADDRESS

if TYPE_CHECKING:
    from playwright.sync_api import Locator

    from tests.soak.ledger import Ledger
    from tests.soak.workshop import Fitter, PieceOnSite
    from tests.support.phone import Phone

SPY = Path(__file__).with_name("spy.js").read_text()
HOLD_MS = 1000
COATS_A_PHONE = 49
# What waits in the phone's store, without the bytes of photos.
WAITING = """() => new Promise((resolve, reject) => {
  const asked = indexedDB.open("siteapp");
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const base = asked.result;
    if (!base.objectStoreNames.contains("waiting")) { base.close(); resolve([]); return; }
    const got = base.transaction("waiting").objectStore("waiting").getAll();
    got.onsuccess = () => { base.close(); resolve(got.result.map((one) => ({
      id: one.id, person: one.person, state: one.state, status: one.status || 0, message: one.message,
      mark: (JSON.stringify(one.fields).match(/mark-\\d+-\\d+/) || [""])[0],
    }))); };
  };
})"""


class CannotNow(Exception):
    """The person cannot do this now: no page is open that would do, and none can be opened."""


@dataclass(frozen=True)
class Task:
    """One thing to be entered: what, on which piece, with which photos."""

    mark: str
    kind: str
    piece: PieceOnSite
    line_key: str = ""
    verdict: str = ""
    reading: str = ""
    photos: tuple[Path, ...] = ()

    @property
    def path(self) -> str:
        """The page with its form."""
        return {
            "check": self.piece.checks,
            "arrival": self.piece.arrival,
            "climate": self.piece.climate,
            "coat": self.piece.coat,
        }[self.kind]

    @property
    def note(self) -> str:
        """What is typed as its note."""
        return f"{self.mark} by hand, with a ladder"


class Hands:
    """One phone in the hands of one fitter at a time."""

    def __init__(self, phone: Phone, holder: Fitter, ledger: Ledger) -> None:
        self.phone = phone
        self.holder = holder
        self.ledger = ledger
        self.tasks: dict[str, Task] = {}
        # Coats are numbered, and no number is given twice on a piece that several phones work on.
        self.coats = phone.number * COATS_A_PHONE
        phone.scripts.append(SPY)

    def start(self) -> None:
        """Switch the phone on."""
        self.phone.start(lambda _source, told: self.ledger.hear(self.phone.number, told))

    # Pages

    def go(self, path: str) -> None:
        """Open a page as the holder. Raises CannotNow when the laptop does not show it."""
        why = ""
        for _ in range(4):
            why = ""
            try:
                self._load(path)
                if self._person() not in {"", self.holder.person_id}:
                    self.sign_out()
                if self._person() == "":
                    self._sign_in(path)
                if self.path == path:
                    return
                why = f"led to {self.path}"
            except Error as error:
                why = error.message
                self.pause(0.3)
        message = f"{path} cannot be opened by {self.holder.name}: {why}"
        raise CannotNow(message)

    @property
    def path(self) -> str:
        """The path of the page that is open, empty when there is none of the laptop's."""
        if not self.phone.has_tab or not self.phone.page.url.startswith(ADDRESS):
            return ""
        return self.phone.page.url.removeprefix(ADDRESS).partition("#")[0]

    def _load(self, path: str) -> None:
        if not self.phone.has_tab:
            self.phone.open_tab()
        self.phone.go(path)

    def _person(self) -> str:
        # Not by evaluate, which waits without an end while a page that is being loaded has got stuck.
        return self.phone.page.locator("html").get_attribute("data-person", timeout=3000) or ""

    def _sign_in(self, then: str) -> None:
        page = self.phone.page
        if not self.path.startswith("/sign-in"):
            self.phone.go(f"/sign-in?next={then}")
        page.fill("#name", self.holder.name)
        page.fill("#passphrase", PASSPHRASE)
        page.click(".next button")
        page.wait_for_url(lambda url: "/sign-in" not in url)

    def sign_out(self) -> None:
        """Sign the holder out on this phone."""
        self.phone.page.click(".person button")
        self.phone.page.wait_for_url("**/sign-in*")

    def close_tab(self) -> None:
        """The tab goes."""
        self.ledger.silent(self.phone.number, time.time() * 1000)
        self.phone.close_tab()

    def kill_browser(self) -> None:
        """The browser goes, and comes back without a page."""
        self.ledger.silent(self.phone.number, time.time() * 1000)
        self.phone.kill_browser()
        self.start()
        self.phone.close_tab()

    def pause(self, seconds: float) -> None:
        """Let time pass, while the pages go on telling."""
        self.phone.pump(seconds)

    # Forms

    def is_open(self, task: Task) -> bool:
        """Whether the page with the task's form is before the holder."""
        if self.path != task.path:
            return False
        try:
            return self._person() == self.holder.person_id and self._form(task).get_attribute("id", timeout=1000) != ""
        except Error:
            return False

    def _form(self, task: Task) -> Locator:
        action = task.piece.check(task.line_key) if task.kind == "check" else task.path
        return self.phone.page.locator(f'form[action="{action}"]')

    def enter(self, task: Task) -> Entered:
        """Fill the form in and press. Returns as soon as it is pressed; raises CannotNow when it could not be."""
        try:
            form = self._form(task)
            self._make_ready(form)
            self._fill(form, task)
            # Known before it is pressed, since the page may be gone right after.
            one = Entered(task.mark, task.kind, self.phone.number, self.holder.person_id)
            one.photos = {_sha(path): path.read_bytes() for path in task.photos}
            self.ledger.entered[task.mark] = one
            self.tasks[task.mark] = task
            self.press(task)
        except Error as error:
            one = self.ledger.entered.get(task.mark)  # type: ignore[assignment]
            self.pause(0.1)
            if one is None or one.tapped_ms is None:
                self.ledger.entered.pop(task.mark, None)
                raise CannotNow(str(error)) from error
        return one

    def _make_ready(self, form: Locator) -> None:
        form.evaluate(
            "form => { for (let box = form.closest('details'); box; box = box.parentElement.closest('details'))"
            " box.open = true; for (const box of form.querySelectorAll('details')) box.open = true; }"
        )
        if form.evaluate("form => form.inert"):
            # Just kept: the page offers to fill it in once more.
            form.locator("xpath=following-sibling::*[1]").get_by_role("button").click(timeout=4000)

    def _fill(self, form: Locator, task: Task) -> None:
        if task.kind == "check":
            self._fill_check(form, task)
        elif task.kind == "arrival":
            form.locator("label.option", has_text="something found").click()
            form.locator("[name=note]").fill(task.note)
        elif task.kind == "climate":
            for name, value in {**GOOD, "instrument": task.note}.items():
                form.locator(f"[name={name}]").fill(str(value))
        else:
            self.coats += 1
            values = {"product": GOOD["product"], "number": self.coats, "zone": "left wing", "reason": "asked for"}
            for name, value in {**values, "note": task.note}.items():
                form.locator(f"[name={name}]").fill(str(value))
        if task.photos:
            field = {"arrival": "front"}.get(task.kind, "photos")
            form.locator(f"input[type=file][name={field}]").set_input_files(task.photos)

    def _fill_check(self, form: Locator, task: Task) -> None:
        form.locator("[name=note]").fill(task.note)
        if task.reading:
            form.locator("[name=reading]").fill(task.reading)

    def press(self, task: Task) -> None:
        """Press the button that sends the task's form."""
        form = self._form(task)
        if task.kind != "check":
            form_id = form.get_attribute("id")
            self.phone.page.locator(f'button[form="{form_id}"]:visible').first.click(no_wait_after=True)
            return
        hold = form.locator("button.hold")
        if task.verdict == "met" and hold.count():
            hold.scroll_into_view_if_needed()
            hold.hover()
            self.phone.page.mouse.down()
            self.pause(HOLD_MS / 1000)
            self.phone.page.mouse.up()
            return
        form.locator(f'button[name=verdict][value="{task.verdict}"]').click(no_wait_after=True)

    # What waits

    def waiting(self) -> list[dict[str, Any]]:
        """What waits in the phone's store, whoever made it. Needs a page of the laptop's."""
        return list(self.phone.page.wait_for_function(WAITING, timeout=5000).json_value())


def _sha(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
