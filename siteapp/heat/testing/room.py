"""The room of the heat test, on which its views hang."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("heat_test", __name__)
