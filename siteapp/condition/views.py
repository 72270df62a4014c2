"""Looks at the condition of a piece, and the report."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("condition", __name__)
