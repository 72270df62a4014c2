"""What can go wrong while keeping something, as types of their own."""

from __future__ import annotations


class StoreError(Exception):
    """Something could not be kept; the message is written for the person who tried."""


class BadValue(StoreError, ValueError):
    """A value that no database here can hold and give back unchanged."""


class FormClash(StoreError):
    """A form id was used before with other content, or by another person."""

    def __init__(self, form_id: str, *, same_person: bool, location: str | None) -> None:
        super().__init__("this form was saved before with other content")
        self.form_id = form_id
        self.same_person = same_person
        self.location = location


class Superseded(StoreError):
    """What a form revises or corrects has been revised by somebody else in the meantime."""

    def __init__(self, entry_id: str, newer: tuple[str, ...]) -> None:
        super().__init__("this has been changed by somebody else in the meantime")
        self.entry_id = entry_id
        self.newer = newer


class UnsoundDatabase(StoreError):
    """The database does not do what is asked of it, so nothing is written to it."""
