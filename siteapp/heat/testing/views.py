"""The heat test."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("heat_test", __name__)
