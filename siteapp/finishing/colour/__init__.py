"""Colour and sheen: the agreed sample, readings on the piece, the client's answer."""
