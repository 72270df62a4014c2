"""A phone in the network of lan.py whose browser is WebKit, driven by the W3C's WebDriver protocol.

The names of the commands are those of https://www.w3.org/TR/webdriver2/ (from memory). On Debian: webkit2gtk-driver,
which brings the library with its small browser, and xvfb.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.support.lan import ADDRESS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.support.lan import Namespace

BROWSERS = "/usr/lib/*/webkit2gtk-*/MiniBrowser"
SCREEN = {"x": 0, "y": 0, "width": 400, "height": 820}
NEEDED = ("WebKitWebDriver", "Xvfb")
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # the key by which the protocol knows an element


class NoWebKit(Exception):
    """This machine has no WebKit that can be driven; the message says what is missing."""


def browser() -> str:
    """The small browser of WebKit's library."""
    missing = [name for name in NEEDED if shutil.which(name) is None]
    found = sorted(str(path) for path in Path("/").glob(BROWSERS.removeprefix("/")))
    if missing or not found:
        message = f"not installed: {', '.join(missing) or 'MiniBrowser'} (Debian: webkit2gtk-driver, xvfb)"
        raise NoWebKit(message)
    return found[-1]


class Refused(Exception):
    """The driver could not do it."""


class WebKit:
    """One window of WebKit on a phone."""

    def __init__(self, process: subprocess.Popen[str], program: str) -> None:
        self._process = process
        options = {"binary": program, "args": ["--automation"]}
        asked = {"capabilities": {"alwaysMatch": {"webkitgtk:browserOptions": options}}}
        self._session = f"/session/{self._ask('POST', '/session', asked)['sessionId']}"
        self._ask("POST", f"{self._session}/window/rect", SCREEN)

    def _ask(self, method: str, path: str, body: Any = None) -> Any:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps({"method": method, "path": path, "body": body}) + "\n")
        self._process.stdin.flush()
        line = self._process.stdout.readline()
        if not line:
            message = "WebKitWebDriver did not start"
            raise Refused(message)
        value = json.loads(line)["value"]
        if isinstance(value, dict) and "error" in value:
            message = f"{path} {body}: {value['error']}: {value.get('message', '')}"
            raise Refused(message)
        return value

    def go(self, path: str) -> None:
        """Open a page of the laptop."""
        self._ask("POST", f"{self._session}/url", {"url": ADDRESS + path})

    def script(self, text: str) -> Any:
        """Run a script whose `return` is the answer; a promise is waited for."""
        return self._ask("POST", f"{self._session}/execute/sync", {"script": text, "args": []})

    def _element(self, selector: str) -> str:
        found = self._ask("POST", f"{self._session}/element", {"using": "css selector", "value": selector})
        return f"{self._session}/element/{found[ELEMENT]}"

    def type(self, selector: str, text: str) -> None:
        """Type into a field; a path into a file field chooses that file."""
        self._ask("POST", f"{self._element(selector)}/value", {"text": text})

    def click(self, selector: str) -> None:
        """Press something, in view first: the driver does not wait for a page that scrolls smoothly."""
        how = "{block: 'center', behavior: 'instant'}"
        self.script(f"document.querySelector({json.dumps(selector)}).scrollIntoView({how})")
        self._ask("POST", f"{self._element(selector)}/click", {})

    def until(self, text: str, seconds: float = 30) -> Any:
        """Wait until a script finds something true; returns it."""
        end = time.monotonic() + seconds
        while True:
            try:
                found = self.script(text)
            except Refused as refused:
                found, why = None, str(refused)
            else:
                why = ""
            if found:
                return found
            assert time.monotonic() < end, f"not within {seconds} s: {text} {why}"
            time.sleep(0.1)

    def stop(self) -> None:
        """Close the browser."""
        self._ask("DELETE", self._session)


@contextmanager
def webkit_in(space: Namespace) -> Iterator[WebKit]:
    """A window of WebKit in a network namespace. Raises NoWebKit where there is none."""
    program = browser()
    words = [sys.executable, str(Path(__file__).with_name("driven.py"))]
    pipes: dict[str, Any] = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL}
    with subprocess.Popen(space.command(words), text=True, bufsize=1, **pipes) as process:
        window = WebKit(process, program)
        try:
            yield window
        finally:
            window.stop()
