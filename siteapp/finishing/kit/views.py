"""The touch-up recipe and kit."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("kit", __name__)
