"""The crate and the look before dispatch."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("dispatch", __name__)
