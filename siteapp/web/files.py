"""Files that are answered: shown in the browser, or saved under a name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import make_response

if TYPE_CHECKING:
    from werkzeug.wrappers import Response


def file_answer(data: bytes, media_type: str, name: str, *, saved: bool = False) -> Response:
    """A file to be shown, or to be saved under `name`, which is one of ours: letters, digits, dots and dashes."""
    response = make_response(data)
    response.headers["Content-Type"] = media_type
    response.headers["Content-Disposition"] = f'{"attachment" if saved else "inline"}; filename="{name}"'
    return response
