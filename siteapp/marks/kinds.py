"""Kinds of damage that a mark may name.

Common terms of condition reports, written down from memory; no published glossary was followed.
"""

from __future__ import annotations

from siteapp.web.i18n import _l

KINDS = (
    ("scratch", _l("scratch")),
    ("abrasion", _l("abrasion")),
    ("chip", _l("chip")),
    ("crack", _l("crack")),
    ("dent", _l("dent")),
    ("loss", _l("loss")),
    ("stain", _l("stain")),
    ("loose part", _l("loose part")),
    ("tarnish or corrosion", _l("tarnish or corrosion")),
    ("other", _l("other")),
)
WORDS = dict(KINDS)
