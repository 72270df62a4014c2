"""What each hanging point carries."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("loads", __name__)
