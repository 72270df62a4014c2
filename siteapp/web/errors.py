"""Errors, mapped to pages in one place: what happened, that nothing was lost, what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import jsonify, make_response, render_template, request
from werkzeug.exceptions import HTTPException, SecurityError

from siteapp.documents.engine import PdfError
from siteapp.web.i18n import _, _l
from siteapp.web.security import wants_json

if TYPE_CHECKING:
    from flask import Flask, Response

WORDS = {
    400: (
        _l("This could not be read"),
        _l("Go back and send it again. Nothing that was saved before is changed."),
    ),
    401: (_l("You are not signed in"), _l("Sign in, go back, and send it again.")),
    403: (
        _l("This is not open to you"),
        _l("Go back, or sign in as somebody who may do this."),
    ),
    404: (
        _l("Nothing is here"),
        _l("Check the address or the number, or scan the label."),
    ),
    405: (_l("This page is not for sending"), _l("Go back to the page you came from.")),
    409: (
        _l("This was changed in the meantime"),
        _l("Open the page again and look at what is there now."),
    ),
    413: (
        _l("This is too large"),
        _l("Send fewer photos at once, or smaller ones. What was saved before is not changed."),
    ),
    429: (_l("Too many tries"), _l("Wait a little, then try again.")),
    500: (
        _l("The program made a mistake"),
        _l("What was saved before is still there. Go back and try again."),
    ),
    503: (
        _l("The database is busy"),
        _l("Nothing was half-saved. Go back and send it again."),
    ),
}


def handle_errors(app: Flask) -> None:
    """Show errors as pages of ours, or as JSON to a script."""
    app.register_error_handler(HTTPException, _show)
    app.register_error_handler(PdfError, _no_pdf)
    if not app.testing:
        app.register_error_handler(Exception, _mistake)


def _show(error: HTTPException) -> Response:
    status = error.code or 500
    title, advice = WORDS.get(status, WORDS[500])
    # Werkzeug's own descriptions are written for programmers; ours are strings we passed to abort().
    own = error.description if error.description != type(error).description else None
    if isinstance(error, SecurityError):
        # Asked for under a name that is not ours, the request has no addresses to make a page of ours from.
        response = make_response(_("This name does not lead here. Use the address that the laptop shows."), status)
        response.mimetype = "text/plain"
    elif wants_json():
        response = make_response(jsonify(saved=False, status=status, message=str(own or title)), status)
    else:
        page = render_template("errors/page.html", title=title, what=own, advice=advice, status=status)
        response = make_response(page, status)
    for name, value in error.get_headers(request.environ):
        if name == "Retry-After":
            response.headers[name] = value
    return response


def _no_pdf(error: PdfError) -> Response:
    title, advice = _l("This document could not be made"), _l("Nothing that was saved is changed. Try once more.")
    return make_response(render_template("errors/page.html", title=title, what=error, advice=advice, status=503), 503)


def _mistake(error: Exception) -> Response:
    from flask import current_app

    current_app.logger.error("a request failed", exc_info=error)
    title, advice = WORDS[500]
    if wants_json():
        return make_response(jsonify(saved=False, status=500, message=str(title)), 500)
    return make_response(
        render_template("errors/page.html", title=title, what=None, advice=advice, status=500),
        500,
    )
