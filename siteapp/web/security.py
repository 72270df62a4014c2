"""Guards on every request: hosts, origin, token, access, headers, sizes."""

from __future__ import annotations

import hmac
import os
import re
from hashlib import sha256
from typing import TYPE_CHECKING
from urllib.parse import urlsplit
from uuid import uuid4

from flask import abort, current_app, g, redirect, request, url_for

from siteapp.config import MEGABYTE
from siteapp.web import current
from siteapp.web.access import PUBLIC, check_every_view, level_of
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from flask import Flask, Response
    from werkzeug.wrappers import Response as AnyResponse

    from siteapp.config import Settings

DEVICE_COOKIE = "siteapp_device"
SIGN_IN_COOKIE = "siteapp_sign_in"
A_YEAR_S = 365 * 24 * 3600
READS = {"GET", "HEAD", "OPTIONS"}
PHOTOS_AT_ONCE = 12
DEVICE = re.compile("[0-9a-f-]{36}")
POLICY = (
    "default-src 'none'; "
    "script-src 'self'; "
    "style-src 'self'; "
    "img-src 'self' blob:; "
    "connect-src 'self'; "
    "manifest-src 'self'; "
    "form-action 'self'; "
    "base-uri 'none'; "
    "frame-ancestors 'none'; "
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), camera=(self)",
}


def set_limits(app: Flask, settings: Settings) -> None:
    """Set the sizes that are taken, and the names that are answered under."""
    app.config.update(
        MAX_CONTENT_LENGTH=settings.max_photo_bytes * PHOTOS_AT_ONCE,
        MAX_FORM_MEMORY_SIZE=MEGABYTE,
        MAX_FORM_PARTS=1000,
    )
    trust_hosts(app, settings.trusted_hosts)


def protect(app: Flask) -> None:
    """Put the guards on an app."""
    app.before_request(_know_device)
    app.before_request(_refuse_foreign_posts)
    app.before_request(_refuse_without_access)
    app.after_request(_finish)
    app.teardown_request(current.stop_reading)
    app.jinja_env.globals["csrf_token"] = csrf_token
    app.jinja_env.globals["who"] = current.who
    check_every_view(app)


def trust_hosts(app: Flask, hosts: Iterable[str]) -> None:
    """Answer under these names and addresses only: a page of somebody else's could lead its own name here."""
    app.config["TRUSTED_HOSTS"] = list(hosts)


def load_secret(keys: Path) -> bytes:
    """The secret that tokens are made with; owner-only, made the first time."""
    keys.mkdir(parents=True, exist_ok=True, mode=0o700)
    file = keys / "web.secret"
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return file.read_bytes()
    with os.fdopen(handle, "wb") as stream:
        secret = os.urandom(32)
        stream.write(secret)
        stream.flush()
        os.fsync(stream.fileno())
    return secret


def csrf_token() -> str:
    """A token that only a page of ours on this device and sign-in can have."""
    about = f"{current.device()}:{request.cookies.get(SIGN_IN_COOKIE, '')}"
    return hmac.new(current.program().secret, about.encode(), sha256).hexdigest()


def set_sign_in(response: AnyResponse, token: str) -> None:
    """Give the device its sign-in."""
    # No `Secure`: on the hotspot the pages are plain http. Lax, since a label's link comes from a camera app.
    response.set_cookie(SIGN_IN_COOKIE, token, httponly=True, samesite="Lax", secure=request.is_secure)


def drop_sign_in(response: AnyResponse) -> None:
    """Take the device's sign-in away."""
    response.delete_cookie(SIGN_IN_COOKIE, httponly=True, samesite="Lax")


def local_path(target: str | None, otherwise: str) -> str:
    """`target` if it is a path on this server, else `otherwise`: never lead somebody elsewhere after sign-in."""
    if not target or not target.startswith("/") or target.startswith(("//", "/\\")) or "\\" in target:
        return otherwise
    parts = urlsplit(target)
    return target if not parts.scheme and not parts.netloc else otherwise


def wants_json() -> bool:
    """Whether a script asks, which reads JSON answers; a page load asks for HTML."""
    return request.accept_mimetypes.best_match(["text/html", "application/json"]) == "application/json"


def _know_device() -> None:
    known = request.cookies.get(DEVICE_COOKIE, "")
    g.new_device = not DEVICE.fullmatch(known)
    g.device = str(uuid4()) if g.new_device else known
    token = request.cookies.get(SIGN_IN_COOKIE)
    g.who = current.program().who_is(token, g.device) if token and request.endpoint != "static" else None


def _refuse_foreign_posts() -> None:
    if request.method in READS:
        return
    origin = request.headers.get("Origin")
    if origin is not None and origin != request.host_url.rstrip("/"):
        abort(403, _("This form was sent from another site, so it was not taken."))
    if request.headers.get("Sec-Fetch-Site") in {"cross-site", "same-site"}:
        abort(403, _("This form was sent from another site, so it was not taken."))
    sent = request.headers.get("X-CSRF-Token") or request.form.get("csrf", "")
    if not hmac.compare_digest(sent.encode(), csrf_token().encode()):
        abort(
            403,
            _("This page was opened before you signed in or out. Open it again and send the form once more."),
        )


def _refuse_without_access() -> AnyResponse | None:
    if request.endpoint is None:
        return None
    level = level_of(current_app, request.endpoint)
    if level == PUBLIC:
        return None
    person = current.who()
    if person is None:
        if wants_json() or request.method not in READS:
            abort(401)
        locked = g.who is not None
        where = "people.unlock" if locked else "people.sign_in"
        return redirect(url_for(where, next=request.full_path.rstrip("?")), 303)
    if person.level < level:
        abort(403, _("Only a maker can do this."))
    return None


def _finish(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.is_secure:
        # Over plain http browsers ignore it, and complain of it on every page.
        response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
    if request.endpoint != "static":
        response.headers.setdefault("Cache-Control", "no-store")
    if g.get("new_device"):
        response.set_cookie(
            DEVICE_COOKIE,
            g.device,
            max_age=A_YEAR_S,
            httponly=True,
            samesite="Lax",
            secure=request.is_secure,
        )
    return response
