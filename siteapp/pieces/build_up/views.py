"""The build-up with its sizes, and the weight that comes of it."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("build_up", __name__)
