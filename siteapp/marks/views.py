"""Marks set on photos, later, at a table."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("marks", __name__)
