"""The wall as somebody found it."""
