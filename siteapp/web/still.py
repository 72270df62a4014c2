"""Style sheet, scripts and icons, under an address that changes when any of them does.

So a browser may keep them for good, asks for none of them twice, and never mixes two versions. A page that was opened
before the program was changed still finds its scripts under the address it knows.
"""

from __future__ import annotations

from hashlib import sha256
from mimetypes import guess_type
from typing import TYPE_CHECKING, Any

import rcssmin
import rjsmin
from flask import Response, abort, request

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Flask

A_YEAR_S = 365 * 24 * 3600
# A script served as text would not be run; what a system's own tables say of it differs.
TYPES = {".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8"}


def serve(app: Flask, folder: Path) -> None:
    """Serve the files of `folder` as endpoint `static`; scripts and styles without comments and spaces."""
    files = {path.relative_to(folder).as_posix(): _light(path) for path in sorted(folder.rglob("*")) if path.is_file()}
    current = _version(files)

    def static(version: str, filename: str) -> Response:
        if filename not in files:
            abort(404)
        response = Response(files[filename], content_type=_type(filename))
        # Whoever asks for another version gets today's, and asks again next time.
        response.cache_control.public = True
        response.cache_control.max_age = A_YEAR_S if version == current else 0
        if version == current:
            response.cache_control.immutable = True
        response.set_etag(current)
        return response.make_conditional(request)

    app.add_url_rule("/static/<version>/<path:filename>", endpoint="static", view_func=static)

    @app.url_defaults
    def _now(endpoint: str, values: dict[str, Any]) -> None:
        if endpoint == "static":
            values.setdefault("version", current)


def _light(path: Path) -> bytes:
    content = path.read_bytes()
    if path.suffix == ".js":
        return str(rjsmin.jsmin(content.decode())).encode()
    if path.suffix == ".css":
        return str(rcssmin.cssmin(content.decode())).encode()
    return content


def _version(files: dict[str, bytes]) -> str:
    digest = sha256()
    for name, content in files.items():
        digest.update(f"{name}\0{len(content)}\0".encode())
        digest.update(content)
    return digest.hexdigest()[:12]


def _type(filename: str) -> str:
    suffix = filename[filename.rfind(".") :]
    return TYPES.get(suffix) or guess_type(filename)[0] or "application/octet-stream"
