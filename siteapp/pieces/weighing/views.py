"""The piece on scales."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("weighing", __name__)
