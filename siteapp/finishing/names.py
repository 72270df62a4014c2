"""Whether two names that people typed mean the same thing."""

from __future__ import annotations


def same(one: str, other: str) -> bool:
    """Whether two typed names mean the same thing: case and spaces do not matter."""
    return plain(one) == plain(other)


def plain(name: str) -> str:
    """A typed name without what does not matter in it."""
    return " ".join(name.casefold().split())
