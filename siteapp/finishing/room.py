"""The room's blueprint; its pages stand in several modules."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("finishing", __name__)
