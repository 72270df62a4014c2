"""Fire evidence, and how warm each part may get."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("evidence", __name__)
