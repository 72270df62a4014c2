"""Where the piece goes, and the full-size template."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("template", __name__)
