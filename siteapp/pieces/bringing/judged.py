"""What a file says, held against the limits of the page's own form: what would be made or revised, or what is wrong."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING
from uuid import UUID

from werkzeug.datastructures import MultiDict

from siteapp.pieces import changes, services
from siteapp.pieces.bringing import from_csv, from_toml
from siteapp.pieces.bringing.told import BUILD_UP, HANGING_POINTS, LARGEST_BYTES, NUMBER, Problem, Unreadable
from siteapp.pieces.bringing.words import plain
from siteapp.pieces.changes import field_of, typed_again
from siteapp.pieces.forms import WholeForm, fields_of
from siteapp.pieces.models import FROM_FRONT
from siteapp.store.entries import PhotoUse
from siteapp.trade import piece_number
from siteapp.web.fields import Choice, Lines
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from siteapp.pieces.bringing.told import Cell, Told
    from siteapp.pieces.services import PieceFacts, PieceNow

MOST_PROBLEMS = 50
FORM_ID = str(UUID(int=0))  # of a form that is only held against its limits
BOM = "\ufeff"
UTF_16 = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True)
class Draft:
    """A piece to be made, or what is to be said of one that is there.

    `line` is where the file begins it, `changed` what it would say differently: of a new one, all that it says.
    """

    line: int
    facts: PieceFacts
    piece: PieceNow | None
    changed: changes.Changes

    @property
    def title(self) -> str:
        """What it will be called."""
        return str(self.facts["fields"]["title"])


@dataclass(frozen=True)
class Judged:
    """A whole file. With problems there are no drafts: all of it comes in, or nothing."""

    drafts: tuple[Draft, ...]
    problems: tuple[Problem, ...]
    left_off: int = 0

    @property
    def made(self) -> tuple[Draft, ...]:
        """What would be made anew."""
        return tuple(draft for draft in self.drafts if draft.piece is None)

    @property
    def revised(self) -> tuple[Draft, ...]:
        """What would be said differently."""
        return tuple(draft for draft in self.drafts if draft.piece is not None and not draft.changed.nothing)

    @property
    def unchanged(self) -> tuple[Draft, ...]:
        """What the file says as it is already."""
        return tuple(draft for draft in self.drafts if draft.piece is not None and draft.changed.nothing)

    def seen(self) -> str:
        """Digest of the revisions that this was held against: another one means that somebody was faster."""
        ids = "\n".join(draft.piece.revision.id for draft in self.drafts if draft.piece is not None)
        return sha256(ids.encode()).hexdigest()


def text_of(data: bytes) -> str:
    """A file's bytes as text. Raises Unreadable for what is not UTF-8, and for what is too large."""
    if len(data) > LARGEST_BYTES:
        raise Unreadable(_too_large(len(data)))
    if data.startswith(UTF_16):
        raise Unreadable(Problem(1, _("this is saved as Unicode of 16 bits. Save it as CSV UTF-8, and bring that.")))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        words = _(
            "this is not UTF-8: the byte %(byte)s cannot be read (perhaps Windows-1252, as older spreadsheets write). "
            "Save it as CSV UTF-8, and bring that.",
            byte=f"0x{data[error.start]:02X}",
        )
        raise Unreadable(Problem(line, words)) from None


def plain_text(text: str) -> str:
    """A text with line feeds alone at the ends of its lines, and no mark of byte order."""
    return text.removeprefix(BOM).replace("\r\n", "\n").replace("\r", "\n")


def read(text: str) -> tuple[list[Told], list[Problem]]:
    """The pieces of a text, TOML or a table, and what is wrong in it. Raises Unreadable when there are none to tell."""
    text = plain_text(text)
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > LARGEST_BYTES:
        raise Unreadable(_too_large(size))
    return (from_toml if _is_toml(text) else from_csv).read(text)


def judge(session: Session, job_id: str, text: str) -> Judged:
    """What a text would make and revise in a job. Nothing is written."""
    try:
        told, problems = read(text)
    except Unreadable as unreadable:
        return Judged((), unreadable.problems)
    there = services.find_all(session, [number for one in told if (number := _number(one))])
    drafts: list[Draft] = []
    named: dict[str, int] = {}
    for one in told:
        piece, wrong = _piece_of(one, there, job_id, named)
        form = _form(one, piece)
        # Of a piece that is not here nobody can say what it lacks.
        wrong += [problem for cell, problem in _problems(one, form) if cell or piece or not wrong]
        problems += wrong
        if not wrong:
            drafts.append(_draft(one, form, piece))
    if problems:
        ordered = sorted(dict.fromkeys(problems), key=lambda problem: problem.line)
        return Judged((), tuple(ordered[:MOST_PROBLEMS]), max(0, len(ordered) - MOST_PROBLEMS))
    return Judged(tuple(drafts), ())


def _is_toml(text: str) -> bool:
    """Whether a text is TOML: its first line that says something is a table's head or a key with its value."""
    for line in text.splitlines():
        said = line.strip()
        if said and not said.startswith("#"):
            head, equals, _value = said.partition("=")
            is_key = bool(equals) and head.strip().replace("_", "").isalnum() and head.strip() != "sep"
            return said.startswith("[") or is_key
    return False


def _number(one: Told) -> str | None:
    """The number that a piece of the file names, as the database has it; None for none, or one that cannot be."""
    cell = one.cells.get(NUMBER)
    try:
        return piece_number.parse_number(cell.text).text if cell and cell.text.strip() else None
    except piece_number.BadNumber:
        return None


def _piece_of(
    one: Told, there: Mapping[str, PieceNow], job_id: str, named: dict[str, int]
) -> tuple[PieceNow | None, list[Problem]]:
    cell = one.cells.get(NUMBER)
    if cell is None or not cell.text.strip():
        return None, []
    try:
        number = piece_number.parse_number(cell.text).text
    except piece_number.BadNumber as error:
        return None, [Problem(cell.line, _("Piece number: %(why)s", why=error))]
    piece = there.get(number)
    shown = f"{number[:4]}-{number[4:]}"
    if piece is None or piece.job_id != job_id:
        words = _("Piece number: “%(number)s” is no piece of this job. Leave it blank for a new piece.", number=shown)
        return None, [Problem(cell.line, words)]
    if number in named:
        words = _(
            "Piece number: “%(number)s” is named twice, first in line %(line)s.", number=shown, line=named[number]
        )
        return piece, [Problem(cell.line, words)]
    named[number] = cell.line
    return piece, []


def _form(one: Told, piece: PieceNow | None) -> WholeForm:
    """The page's form as somebody would have filled it in: what is there, and over it what the file names."""
    typed: MultiDict[str, str] = MultiDict({"form_id": FORM_ID})
    if piece:
        typed.update(typed_again(piece, leave_out=one.rows))
        typed.setlist("photos_sha", [photo.sha256 for photo in piece.photos])
    for name, cell in one.cells.items():
        if name != NUMBER:
            typed[name] = _chosen(name, cell.text)
    for name, rows in one.rows.items():
        for number, row in enumerate(rows):
            for part, cell in row.cells.items():
                typed[f"{name}-{number}-{part}"] = _chosen(part, cell.text, name)
    form = WholeForm(typed)
    form.validate()
    return form


def _chosen(name: str, text: str, rows: str | None = None) -> str:
    """What a choice's field sends for words that stand on the page beside it; any other text as it is."""
    field = field_of(name, rows)
    if not isinstance(field, Choice):
        return text
    words = {plain(str(label)): value for value, label in field.choices}
    words |= {plain(value): value for value, _label in field.choices}
    return words.get(plain(text), text)


def _problems(one: Told, form: WholeForm) -> list[tuple[Cell | None, Problem]]:
    """What the form refuses, each with the line of the file that it is about, and its cell where there is one."""
    found: list[tuple[Cell | None, Problem]] = []
    start = f"{one.title}: " if one.title else ""

    def add(cell: Cell | None, line: int, message: str) -> None:
        found.append((cell, Problem(cell.line if cell else line, start + message)))

    for field in form:
        if not isinstance(field, Lines):
            for message in field.errors:
                add(one.cells.get(field.short_name), one.line, str(message))
            continue
        rows = one.rows.get(field.name, [])
        for message in field.own_errors:
            add(None, rows[0].line if rows else one.line, str(message))
        for entry in field.entries:
            number = int(entry.name.rpartition("-")[2])
            row = rows[number] if number < len(rows) else None
            where = _("%(label)s, line %(number)s", label=field.label.text, number=number + 1)
            for part in entry.form:
                for message in part.errors:
                    cell = row.cells.get(part.short_name) if row else None
                    add(cell, row.line if row else one.line, f"{where}: {message}")
    return found


def _draft(one: Told, form: WholeForm, piece: PieceNow | None) -> Draft:
    photos = piece.photos if piece else ()
    # A file gives its points as seen from the front.
    points_from = FROM_FRONT if one.rows.get(HANGING_POINTS) else piece.particulars.points_from if piece else None
    facts: PieceFacts = {
        "fields": fields_of(form) | {"points_from": points_from},
        BUILD_UP: form.build_up.rows(),
        HANGING_POINTS: form.hanging_points.rows(),
        "photos": [PhotoUse(photo.sha256, photo.slot, photo.caption) for photo in photos],
    }
    after = changes.Said(facts["fields"], facts["build_up"], facts["hanging_points"], [one.sha256 for one in photos])
    before = services.said_now(piece) if piece else changes.Said({}, (), (), ())
    return Draft(one.line, facts, piece, changes.between(before, after))


def _too_large(size: int) -> Problem:
    words = _(
        "%(size)s bytes are too many. Give at most %(most)s in one file.",
        size=written(size),
        most=written(LARGEST_BYTES),
    )
    return Problem(1, words)
