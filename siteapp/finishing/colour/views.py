"""Colour and sheen: the sample, readings, the client's answer."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("colour", __name__)
