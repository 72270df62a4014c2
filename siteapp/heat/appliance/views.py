"""The appliance from its plate, distances measured, the section."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("appliance", __name__)
