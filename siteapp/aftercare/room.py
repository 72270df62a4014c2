"""The room's blueprint, which its views join."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("aftercare", __name__)
