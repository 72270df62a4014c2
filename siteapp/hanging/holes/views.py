"""The holes as drilled."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("holes", __name__)
