"""A client of the app as a person's browser would be: cookies, tokens, forms as the page gives them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any
from uuid import uuid4

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

PASSPHRASE = "four quiet words here"


class Browser:
    """One device of one person; every form it sends carries the page's own token and a new form id."""

    def __init__(self, app: Flask) -> None:
        """A device nobody is signed in on."""
        self.app = app
        self.client: FlaskClient = app.test_client()

    def get(self, path: str, **kwargs: Any) -> TestResponse:
        """Open a page."""
        return self.client.get(path, buffered=True, **kwargs)

    def token(self) -> str:
        """The token that this device's pages carry."""
        page = self.get("/sign-in", follow_redirects=True).get_data(as_text=True)
        found = re.search(r'name="csrf"[^>]*value="([0-9a-f]{64})"', page)
        assert found, page
        return found[1]

    def post(self, path: str, data: dict[str, Any] | None = None, **kwargs: Any) -> TestResponse:
        """Send a form with a new id, unless `data` brings one."""
        fields = {"form_id": str(uuid4()), "csrf": self.token(), **(data or {})}
        return self.client.post(path, data=fields, content_type="multipart/form-data", buffered=True, **kwargs)

    def sign_in(self, name: str, passphrase: str = PASSPHRASE) -> Browser:
        """Sign a person in on this device."""
        answer = self.post("/sign-in", {"name": name, "passphrase": passphrase})
        assert answer.status_code == 303, answer.get_data(as_text=True)
        return self
