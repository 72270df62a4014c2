"""Arithmetic of the trade: pure functions and frozen dataclasses. No Flask, database, clock or files."""
