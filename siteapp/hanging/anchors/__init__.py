"""Anchors as set, tightened and proved."""
