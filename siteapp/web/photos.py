"""Photos: taken in one by one, by their hash, and shown small."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from flask import Blueprint, abort, jsonify, make_response, request, send_file

from siteapp.store.hashed import NoRoom
from siteapp.store.images import PhotoError
from siteapp.store.models import Photo
from siteapp.web import current, saving
from siteapp.web.access import FITTER, access
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from flask import Response

room = Blueprint("photos", __name__)
SHA256 = re.compile("[0-9a-f]{64}")
A_YEAR_S = 365 * 24 * 3600


@room.post("/photos")
@access(FITTER)
def take() -> Response:
    """Take one photo in; sent again, it is answered the same. Answers JSON with its SHA-256 and size."""
    part = request.files.get("photo")
    data = part.stream.read(current.program().settings.max_photo_bytes + 1) if part else b""
    if len(data) > current.program().settings.max_photo_bytes:
        abort(413)
    person = current.who()
    try:
        sha = saving.take_photo(data, person.person_id if person else None)
    except PhotoError as error:
        return make_response(jsonify(saved=False, message=str(error)), 422)
    except NoRoom as error:
        return make_response(jsonify(saved=False, message=str(error)), 507)
    return make_response(jsonify(saved=True, sha256=sha, bytes=len(data)))


@room.get("/photos/<sha>/<int:px>")
@access(FITTER)
def small(sha: str, px: int) -> Response:
    """A photo made small, turned the right way up, without what the camera wrote about place and time."""
    return _shown(sha, px)


@room.get("/photos/<sha>/original")
@access(FITTER)
def original(sha: str) -> Response:
    """A photo's original bytes."""
    photo = _known(sha)
    response = send_file(current.program().photos.path(sha), mimetype=photo.media_type, conditional=True)
    response.headers["Content-Disposition"] = f'attachment; filename="{sha[:12]}"'
    return response


def _shown(sha: str, px: int) -> Response:
    _known(sha)
    folder = current.program().photos
    if px not in folder.SIZES:
        abort(404)
    current.stop_reading()
    response = make_response(folder.derivative(sha, px))
    response.headers["Content-Type"] = "image/jpeg"
    # Named by its hash, it never changes; private and by cookie, since another person on this device may not see it.
    response.headers["Vary"] = "Cookie"
    response.headers["Cache-Control"] = f"private, max-age={A_YEAR_S}, immutable"
    return response


def _known(sha: str) -> Photo:
    photo = current.reading().get(Photo, sha) if SHA256.fullmatch(sha) else None
    if photo is None or not current.program().photos.exists(sha):
        abort(404, _("This photo is not on the laptop."))
    return photo
