"""The one way in which a page saves: form in, rows and answer in one transaction, redirect out.

The order is: a short read (who is this) → photos to disk, hashed and synced → BEGIN … COMMIT → answer.
"""

from __future__ import annotations

from datetime import UTC, datetime
from hashlib import sha256
from typing import TYPE_CHECKING
from uuid import UUID, uuid4, uuid5

from flask import abort, jsonify, make_response, redirect, request
from sqlalchemy import select
from sqlalchemy.dialects import postgresql, sqlite

from siteapp.store import form_posts
from siteapp.store.entries import PhotoUse, Writer
from siteapp.store.errors import FormClash, StoreError, Superseded
from siteapp.store.images import PhotoError, inspect
from siteapp.store.models import ErasedPhoto, FormPost, Photo
from siteapp.web import current
from siteapp.web.fields import Photos, Signature
from siteapp.web.i18n import _
from siteapp.web.security import local_path, wants_json

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from sqlalchemy.orm import Session
    from werkzeug.datastructures import FileStorage
    from werkzeug.wrappers import Response

    from siteapp.web.fields import RoomForm

SEE_OTHER = 303
CONFLICT = 409


class FieldProblem(Exception):
    """A service found something wrong with one field that only the database could show."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


def save(
    form: RoomForm,
    write: Callable[[Session, Writer], str],
    again: Callable[[], str],
    *,
    ahead: Callable[[Session], None] | None = None,
) -> Response:
    """Check a form, write it once, and lead on.

    `write(session, writer)` calls one service and returns the path of the page that shows what was saved; it may run
    more than once, each time on a fresh transaction. `again()` renders the page with the form as typed. `ahead` does
    what takes long before anybody is kept out, with a session to read from; it is passed over for a form that was
    saved before. Answers: 303
    to that path; 422 when the form or a field is refused; 409 when the form's id was used for something else or what
    it revises has changed meanwhile. A script that asks for JSON gets the form's id back with the path.
    """
    if wants_json() and not form.is_kept:
        abort(400, _("This form is sent from its own page only."))
    person = current.who()
    by_id = person.person_id if person else None
    valid = form.validate()
    _take_photos(form, by_id)
    _refuse_unknown_photos(form)
    if not valid or form.errors:
        return _refused(form, again, 422)
    form_id = form.form_id.data
    content = form_posts.fingerprint(request.path, form.values())
    current.stop_reading()

    def work(session: Session) -> form_posts.Answer:
        stored = form_posts.begin(session, form_id=form_id, by_id=by_id, content=content)
        if stored:
            return stored
        laptop = current.program().laptop_id
        writer = Writer(
            laptop_id=laptop,
            by_id=by_id,
            device=current.device(),
            at=form.at.data,
            form_id=form_id,
        )
        answer = form_posts.Answer(SEE_OTHER, write(session, writer))
        form_posts.finish(session, form_id=form_id, answer=answer)
        return answer

    answer = _written(form, work, again, lambda: ahead and _do_ahead(form_id, ahead))
    return _saved(form, answer) if isinstance(answer, form_posts.Answer) else answer


def _written(
    form: RoomForm,
    work: Callable[[Session], form_posts.Answer],
    again: Callable[[], str],
    do_ahead: Callable[[], object],
) -> form_posts.Answer | Response:
    """The answer that was stored with the rows, or the page that says why nothing was."""
    try:
        do_ahead()
        return current.program().store.transact(work)
    except FieldProblem as problem:
        form.add_problem(problem.field, problem.message)
        return _refused(form, again, 422)
    except FormClash as clash:
        if not clash.same_person:
            return _clash_of_others(form, again)
        form.clash_with(_first_entry(form), clash.location)
        return _refused(form, again, 409)
    except Superseded as superseded:
        form.overtaken_by(superseded.newer)
        return _refused(form, again, 409)
    except StoreError as error:
        form.add_problem(None, str(error))
        return _refused(form, again, 422)


def _do_ahead(form_id: str, ahead: Callable[[Session], None]) -> None:
    with current.program().store.read() as session:
        if session.get(FormPost, form_id) is None:
            ahead(session)


def photo_uses(form: RoomForm) -> list[PhotoUse]:
    """The photos of a form, slot by slot, as an entry wants them."""
    return [
        PhotoUse(sha, slot=field.slot, caption=None)
        for field in form
        if isinstance(field, Photos)
        for sha in field.hashes
    ]


def take_photo(data: bytes, by_id: str | None) -> str:
    """Put one photo on disk and on record by itself; returns its SHA-256. The same photo again is no change."""
    face = _keep(data)
    current.stop_reading()
    current.program().store.transact(lambda session: _record_photos(session, {face["sha256"]: face}, by_id))
    return str(face["sha256"])


def _keep(data: bytes) -> dict[str, object]:
    facts = inspect(data)
    if current.reading().scalar(select(ErasedPhoto.entry_id).where(ErasedPhoto.sha256 == sha256(data).hexdigest())):
        # A phone may have kept it, waiting to send.
        raise PhotoError(_("This photo was erased at somebody's wish, so it is not taken in again."))
    sha = current.program().photos.put(data)
    return {
        "sha256": sha,
        "media_type": facts.media_type,
        "bytes": len(data),
        "width": facts.width,
        "height": facts.height,
    }


def _take_photos(form: RoomForm, by_id: str | None) -> None:
    """Put a form's photos on disk and hand their hashes to their fields; what is no photo becomes a field's error.

    Done even when another field is refused, so that no photo has to be chosen twice: the form comes back with hashes.
    """
    faces: dict[str, Mapping[str, object]] = {}
    for field in form:
        if not isinstance(field, Photos | Signature):
            continue
        for part in field.files:
            face = _take_part(field, part)
            if face is not None:
                faces[str(face["sha256"])] = face
    if faces:
        current.stop_reading()
        current.program().store.transact(lambda session: _record_photos(session, faces, by_id))


def _refuse_unknown_photos(form: RoomForm) -> None:
    """A hash that names no photo here is a photo that never arrived."""
    fields = [field for field in form if isinstance(field, Photos | Signature) and field.hashes]
    if not fields:
        return
    claimed = {sha for field in fields for sha in field.hashes}
    known = set(current.reading().scalars(select(Photo.sha256).where(Photo.sha256.in_(claimed))))
    for field in fields:
        if not known.issuperset(field.hashes):
            field.refuse(_("A photo has not reached the laptop yet. Choose it again."))


def _take_part(field: Photos | Signature, part: FileStorage) -> Mapping[str, object] | None:
    limit = current.program().settings.max_photo_bytes
    data = part.stream.read(limit + 1)
    if not data:
        return None
    if len(data) > limit:
        field.refuse(_("A photo is larger than %(limit)s MB.", limit=limit // 1024**2))
        return None
    try:
        face = _keep(data)
    except PhotoError as error:
        field.refuse(str(error))
        return None
    field.take(str(face["sha256"]))
    return face


def _record_photos(session: Session, faces: Mapping[str, Mapping[str, object]], by_id: str | None) -> None:
    make = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    for face in faces.values():
        row = make(Photo).values(recorded_at=datetime.now(UTC), by_id=by_id, **face)
        session.execute(row.on_conflict_do_nothing())


def _first_entry(form: RoomForm) -> str | None:
    return str(uuid5(UUID(form.form_id.data), f"entry/{form.kind}/1")) if form.kind else None


def _saved(form: RoomForm, answer: form_posts.Answer) -> Response:
    location = local_path(answer.location, "/")
    if wants_json():
        entry_id = _first_entry(form)
        follow = form.followed_by(entry_id) if entry_id else {}
        return make_response(jsonify(form=form.form_id.data, saved=True, location=location, follow=follow))
    return redirect(location, answer.status)


def _refused(form: RoomForm, again: Callable[[], str], status: int) -> Response:
    if wants_json():
        problems = [{"field": name, "message": message} for _label, message, name in form.problems()]
        return make_response(jsonify(form=form.form_id.data, saved=False, problems=problems), status)
    if status == CONFLICT:
        form.form_id.data = str(uuid4())
    return make_response(again(), status)


def _clash_of_others(form: RoomForm, again: Callable[[], str]) -> Response:
    form.add_problem(
        None,
        _("This form was already sent by somebody else on this device. Send it again as your own."),
    )
    return _refused(form, again, 409)
