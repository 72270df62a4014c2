"""The room's blueprint; its pages stand in `views`, `certificate_views` and `giving_views`."""

from __future__ import annotations

from flask import Blueprint

room = Blueprint("handover", __name__)
