"""A phone in the network of lan.py: a real Chromium with a store on disk, a tab, and a person who holds it."""

from __future__ import annotations

import contextlib
import os
import signal
import time
from typing import TYPE_CHECKING, Any

from playwright.sync_api import Error

from tests.support import chromium as real
from tests.support.lan import ADDRESS, LAPTOP, PHONES, browser_in

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from playwright.sync_api import BrowserContext, Page, Playwright

    from tests.support.lan import Lan

SCREEN = {"width": 390, "height": 780}
PATIENCE_MS = 15_000
CLOSING_S = 60
# What the network does is told to the console as well, and is what is being tested; and what plain http cannot have.
EXPECTED = (
    "net::ERR",
    "status of",
    "Failed to fetch dynamically imported module",
    "Cross-Origin-Opener-Policy",
    "Clear-Site-Data",
)


class Phone:
    """One phone, by its number in the network."""

    def __init__(self, lan: Lan, number: int, playwright: Playwright, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.lan = lan
        self.number = number
        self.space = lan.phones[number]
        self.folder = folder
        self._playwright = playwright
        self._program = browser_in(self.space, folder)
        self._context: BrowserContext | None = None
        self._page: Page | None = None
        self._target = ""
        self.scripts: list[str] = []
        self.said: list[str] = []

    @property
    def page(self) -> Page:
        """The tab that is open."""
        assert self._page is not None, "no tab is open"
        return self._page

    @property
    def has_tab(self) -> bool:
        """Whether a tab is open."""
        return self._page is not None

    def start(self, hear: Callable[[Any, Any], None] | None = None) -> None:
        """Start the browser on the phone's own store, with one empty tab; `hear` takes what pages tell `soakTold`."""
        context = self._playwright.chromium.launch_persistent_context(
            self.folder / "profile",
            executable_path=self._program,
            args=list(real.FLAGS),
            headless=True,
            viewport=SCREEN,  # type: ignore[arg-type]
            has_touch=True,
            is_mobile=True,
            handle_sigint=False,
            handle_sigterm=False,
            handle_sighup=False,
        )
        context.set_default_timeout(PATIENCE_MS)
        if hear is not None:
            context.expose_binding("soakTold", hear)
        for script in self.scripts:
            context.add_init_script(script)
        # The first page stays empty to the end: a browser without a tab may end itself.
        self._context = context
        self.open_tab()

    def open_tab(self) -> Page:
        """Open a tab."""
        assert self._context is not None
        assert self._page is None
        self._page = self._context.new_page()
        asked = self._context.new_cdp_session(self._page)
        self._target = asked.send("Target.getTargetInfo")["targetInfo"]["targetId"]
        asked.detach()
        self._page.on("console", self._heard)
        self._page.on("pageerror", lambda error: self.said.append(f"{self._page and self._page.url}: {error}"))
        return self._page

    def _heard(self, message: Any) -> None:
        if message.type == "error" and not any(words in message.text for words in EXPECTED):
            self.said.append(f"{message.location.get('url')}: {message.text}")

    def go(self, path: str) -> None:
        """Open a page of the laptop in the tab. Raises playwright's Error when it cannot be reached."""
        self.page.goto(ADDRESS + path, wait_until="load")

    def reload(self, seconds: float = 15) -> None:
        """Load the page once more."""
        self.page.reload(wait_until="load", timeout=seconds * 1000)

    def close_tab(self) -> None:
        """The tab is gone, as when the system needs its memory: no page is asked about it."""
        page, self._page = self._page, None
        if page is None:
            return
        assert self._context is not None
        # Asked for until it is so: Chromium forgets a wish to close that comes while a page makes way for the next.
        control = self._context.new_cdp_session(self._context.pages[0])
        end = time.monotonic() + CLOSING_S
        while not page.is_closed():
            assert time.monotonic() < end, "the tab does not close"
            with contextlib.suppress(Error):
                control.send("Target.closeTarget", {"targetId": self._target})
            self.pump(0.05)
        control.detach()

    def kill_browser(self) -> None:
        """SIGKILL to the browser: what it had not written to its store is gone."""
        context, self._context, self._page = self._context, None, None
        self.shoot()
        if context is not None:
            with contextlib.suppress(Error):
                context.close()

    def shoot(self) -> None:
        """SIGKILL to the browser and no more: what is being asked of it then fails. Any thread may do it."""
        with contextlib.suppress(ProcessLookupError, FileNotFoundError):
            os.kill(int((self.folder / "chromium.pid").read_text()), signal.SIGKILL)

    def stop(self) -> None:
        """Close the browser."""
        context, self._context, self._page = self._context, None, None
        if context is not None:
            with contextlib.suppress(Error):
                context.close()

    def wifi(self, *, on: bool) -> None:
        """The phone's own switch: without it, everything fails at once."""
        self.space.link("wlan0", up=on)

    def in_reach(self, *, yes: bool) -> None:
        """Out of reach, packets vanish and nobody is told."""
        way = (
            [PHONES[self.number], "dev", f"phone{self.number}", "src", LAPTOP]
            if yes
            else ["blackhole", PHONES[self.number]]
        )
        self.lan.between.run("ip", "route", "replace", *way)

    def weather(self, **change: float) -> dict[str, float]:
        """Change what the air does to this phone (see air.Weather); returns how it stands."""
        return self.lan.air(phone=PHONES[self.number], **change)[PHONES[self.number]]

    def pump(self, seconds: float) -> None:
        """Let time pass, while the browser's news come in (sleeping would keep them out)."""
        end = time.monotonic() + seconds
        try:
            pages = self._context.pages if self._context else []
            if pages:
                pages[0].wait_for_timeout(seconds * 1000)
        except Error:
            time.sleep(max(0, end - time.monotonic()))
