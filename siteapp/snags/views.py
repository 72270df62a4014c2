"""Snags: raised, cleared, accepted as left."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("snags", __name__)
