"""Numbered marks on photos, with a kind of damage and a note."""
