"""Keeping what was recorded: backup, restore, and a check that it is all as it was written."""
