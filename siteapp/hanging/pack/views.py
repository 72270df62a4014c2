"""The fixing pack and the form that came back."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("pack", __name__)
