"""Visits to the site, its contacts, and what is still to bring."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("visits", __name__)
