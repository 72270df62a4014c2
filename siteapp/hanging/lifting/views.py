"""The lift and the hanging plan."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("lifting", __name__)
