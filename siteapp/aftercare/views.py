"""Care dates, later visits, moves and keepers."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("aftercare", __name__)
