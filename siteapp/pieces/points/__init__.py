"""Hanging points of a piece: typed from the front or from the back, drawn."""
