"""A piece near a fire: everything about it on one page."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("heat", __name__)
