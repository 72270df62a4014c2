"""Hanging points of a piece: typed from the front or from the back, drawn."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("points", __name__)
