"""The fixing pack and the form that came back."""

from __future__ import annotations

from flask import Blueprint

from siteapp.hanging.pack import working  # noqa: F401 - makes the calculations known

room = Blueprint("pack", __name__)
