"""Repeating rows of fields: as many as were filled in, with spare ones to write in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from wtforms import FieldList, FormField
from wtforms.utils import unset_value

from siteapp.web.i18n import _, ngettext

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wtforms import Form
    from wtforms.form import BaseForm

    from siteapp.web.fieldbase import Problem
    from siteapp.web.i18n import Lazy

LONGEST_INDEX = 4  # digits
MORE = "more"  # name of the button that asks for spare rows; its value is the field's name


class Lines(FieldList):
    """Rows of `form_class`. Entirely blank rows are not there; `data` and `rows()` hold the others, in order.

    Inputs are named `<name>-<row>-<field>`. `least` and `most` are the allowed numbers of rows.
    """

    shape: ClassVar[str] = "lines"
    secret: ClassVar[bool] = False
    required = False

    def __init__(
        self,
        form_class: type[Form],
        label: str | Lazy | None = None,
        *,
        spare: int = 2,
        most: int = 60,
        least: int = 0,
        hint: str | Lazy = "",
        **kwargs: Any,
    ) -> None:
        super().__init__(FormField(form_class), label, description=hint, **kwargs)
        self.spare, self.most, self.least = spare, most, least
        self.asked_more = False
        self.refusals: list[str] = []
        self.own_errors: list[str] = []

    @property
    def hint(self) -> str | Lazy:
        """Words that help to fill the rows in."""
        return self.description

    def process(self, formdata: Any, data: Any = unset_value, extra_filters: Any = None) -> None:
        """Read the rows; add spare ones on a fresh page and when more were asked for."""
        super().process(formdata, data if data is not None else (), extra_filters)
        self.asked_more = formdata is not None and self.name in formdata.getlist(MORE)
        if formdata is None or self.asked_more or not self.entries:
            for _spare in range(self.spare):
                self.append_entry()

    @property
    def data(self) -> list[dict[str, Any]]:
        """The rows that are not blank."""
        return self.rows()

    @data.setter
    def data(self, value: object) -> None:
        """Rows are set by their own fields; the list's base class assigns here while it starts."""

    def rows(self) -> list[dict[str, Any]]:
        """The rows that are not blank, each as a dict of values."""
        return [entry.form.data for entry in self._filled()]

    def plain(self) -> list[dict[str, Any]]:
        """The rows in a form that JSON can hold."""
        return [{name: field.plain() for name, field in entry.form._fields.items()} for entry in self._filled()]

    def is_blank(self) -> bool:
        """Whether every row is blank."""
        return not any(True for _entry in self._filled())

    def blank_row(self) -> FormField:
        """A row for a script to copy; `__row__` stands for its number."""
        name = f"{self.name}-__row__"
        options = {"name": name, "id": name, "_meta": self.meta, "translations": self._translations}
        entry = self.meta.bind_field(self._form, self.unbound_field, options)
        entry.process(None)
        return entry

    def refuse(self, message: str) -> None:
        """Put a message to the rows as a whole."""
        self.refusals.append(message)
        self.own_errors = [*self.own_errors, message]
        self.errors = [*self.errors, message]

    def validate(self, form: BaseForm, extra_validators: Iterable[Any] = ()) -> bool:
        """Check every row that is not blank, and how many there are."""
        filled = list(self._filled())
        for entry in filled:
            entry.validate(form)
        self.errors = []
        self._run_validation_chain(form, [*self.validators, *extra_validators])
        self.own_errors = list(dict.fromkeys([*self.refusals, *self.errors, *self._count_errors(len(filled))]))
        self.errors = self.own_errors + [message for _label, message, _where in self._row_problems()]
        return not self.errors

    def problems(self) -> list[Problem]:
        """What is wrong with the rows as a whole and in each row, the row named."""
        return [(str(self.label.text), message, self.id) for message in self.own_errors] + self._row_problems()

    def _row_problems(self) -> list[Problem]:
        return [
            (where, f"{where}: {message}", field_id)
            for number, entry in enumerate(self.entries, 1)
            for where in [_("%(label)s, line %(number)s", label=self.label.text, number=number)]
            for field in entry.form
            for _label, message, field_id in field.problems()
        ]

    def _count_errors(self, count: int) -> list[str]:
        label = self.label.text
        if count < self.least:
            return [
                ngettext(
                    "%(label)s: give at least %(num)s line.",
                    "%(label)s: give at least %(num)s lines.",
                    self.least,
                    label=label,
                )
            ]
        if count > self.most:
            return [
                _(
                    "%(label)s: %(count)s lines are too many. Give at most %(most)s.",
                    label=label,
                    count=count,
                    most=self.most,
                )
            ]
        return []

    def _filled(self) -> Iterator[FormField]:
        return (entry for entry in self.entries if not all(field.is_blank() for field in entry.form))

    def _extract_indices(self, prefix: str, formdata: Iterable[str]) -> Iterator[int]:
        """Row numbers in the names of inputs; stricter than the base class, which trips over digits such as ²."""
        start = f"{prefix}-"
        for name in formdata:
            index = name.removeprefix(start).split("-", 1)[0] if name.startswith(start) else ""
            if index.isascii() and index.isdigit() and len(index) <= LONGEST_INDEX:
                yield int(index)
