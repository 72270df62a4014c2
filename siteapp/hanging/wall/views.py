"""The wall as found."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("wall", __name__)
