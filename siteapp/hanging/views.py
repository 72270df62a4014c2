"""All that decides whether the piece can go on its wall, on one page."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("hanging", __name__)
