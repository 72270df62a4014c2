"""The crate's way in."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("route", __name__)
