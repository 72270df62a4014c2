"""Anchors as set, tightened and proved."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("anchors", __name__)
