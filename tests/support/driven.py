"""Starts a screen of its own and WebKit's driver on it, and passes requests on to that driver.

Run as a program in a phone's network namespace, where nothing from outside reaches it: a request is a JSON line on
standard input (method, path, body), its answer one on standard output. All ends with the input. Standard library only.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from typing import Any

PORT = 4444
START_S = 20
LONGEST_S = 120


def main() -> None:
    """Serve until nobody asks any more."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "HOME": folder, "XDG_RUNTIME_DIR": folder, "LIBGL_ALWAYS_SOFTWARE": "1"}
        # No sound, no other desktop: what belongs to a desktop asks for a bus that is not there.
        environment |= {"DBUS_SESSION_BUS_ADDRESS": "disabled:", "GSETTINGS_BACKEND": "memory", "NO_AT_BRIDGE": "1"}
        reading, writing = os.pipe()
        screen = subprocess.Popen(
            ["Xvfb", "-displayfd", str(writing), "-screen", "0", "500x900x24", "-nolisten", "tcp"],
            pass_fds=[writing],
            stderr=subprocess.DEVNULL,
        )
        os.close(writing)
        environment["DISPLAY"] = f":{os.read(reading, 20).decode().strip()}"
        driver = subprocess.Popen(["WebKitWebDriver", f"--port={PORT}", "--host=127.0.0.1"], env=environment)
        try:
            wait_for_driver()
            for line in sys.stdin:
                sys.stdout.write(json.dumps(passed_on(json.loads(line))) + "\n")
                sys.stdout.flush()
        finally:
            for process in (driver, screen):
                process.terminate()
                process.wait()


def wait_for_driver() -> None:
    """Until it says that it is ready."""
    end = time.monotonic() + START_S
    while passed_on({"method": "GET", "path": "/status"}).get("value", {}).get("ready") is not True:
        if time.monotonic() > end:
            raise SystemExit("WebKitWebDriver does not answer")
        time.sleep(0.05)


def passed_on(asked: dict[str, Any]) -> dict[str, Any]:
    """One request to the driver; what it answered, also when it refused."""
    body = None if asked.get("body") is None else json.dumps(asked["body"]).encode()
    request = urllib.request.Request(
        f"http://127.0.0.1:{PORT}{asked['path']}", body, {"Content-Type": "application/json"}, method=asked["method"]
    )
    try:
        with urllib.request.urlopen(request, timeout=LONGEST_S) as answer:
            return dict(json.load(answer))
    except urllib.error.HTTPError as error:
        return dict(json.load(error))
    except OSError as error:
        return {"value": {"error": "no answer", "message": str(error)}}


if __name__ == "__main__":
    main()
