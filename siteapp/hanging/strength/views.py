"""The piece's own strength."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("strength", __name__)
