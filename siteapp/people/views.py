"""Signing in and out, the first person, the day PIN, and the list of people."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from flask import (
    Blueprint,
    abort,
    g,
    make_response,
    redirect,
    render_template,
    request,
    url_for,
)

from siteapp.people import services
from siteapp.people.forms import (
    FirstForm,
    PassphraseForm,
    PersonForm,
    PinForm,
    RevisePersonForm,
    SignInForm,
    UnlockForm,
)
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, PUBLIC, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem, save
from siteapp.web.security import drop_sign_in, local_path, set_sign_in

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.store.entries import Writer

room = Blueprint("people", __name__)
END_OF_DAY_H = 3  # a late evening on site still counts as the same day


@room.get("/first")
@access(PUBLIC)
def first() -> Response | str:
    """Ask for the first person."""
    if not services.nobody_yet(current.reading()):
        return redirect(url_for("people.sign_in"), 303)
    return render_template("people/first.html", form=FirstForm(), here=current.on_the_laptop())


@room.post("/first")
@access(PUBLIC)
def make_first() -> Response:
    """Make the first person, a maker, and sign them in."""
    if not current.on_the_laptop():
        abort(
            403,
            _("The first person is made on the laptop itself, not over the network."),
        )
    form = FirstForm(typed())

    def write(session: Session, writer: Writer) -> str:
        if not services.nobody_yet(session):
            raise FieldProblem("name", _("Somebody was made first in the meantime. Sign in instead."))
        services.add_person(
            session,
            writer,
            name=form.name.data,
            role="maker",
            passphrase=form.passphrase.data,
        )
        return url_for("people.sign_in")

    return save(form, write, lambda: render_template("people/first.html", form=form, here=True))


@room.get("/sign-in")
@access(PUBLIC)
def sign_in() -> Response | str:
    """Ask for name and passphrase."""
    if services.nobody_yet(current.reading()):
        return redirect(url_for("people.first"), 303)
    return render_template(
        "people/sign_in.html",
        form=SignInForm(data={"next": request.args.get("next", "")}),
    )


@room.post("/sign-in")
@access(PUBLIC)
def start_sign_in() -> Response:
    """Sign a person in on this device, or say why not."""
    form = SignInForm(typed())
    if not form.validate():
        return make_response(render_template("people/sign_in.html", form=form), 422)
    name, now = form.name.data, services.utc_now()
    wait = services.wait_s(current.reading(), name, current.device(), now)
    if wait:
        return _too_soon(wait)
    person_id = services.passphrase_fits(current.reading(), name, form.passphrase.data)
    current.stop_reading()
    with current.program().store.write() as session:
        if person_id is None:
            services.note_failure(session, name, current.device(), now)
            token = None
        else:
            token = services.start_sign_in(
                session,
                person_id=person_id,
                name=name,
                device=current.device(),
                now=now,
            )
    if token is None:
        form.add_problem(
            None,
            _("Name and passphrase do not fit together. Look at capitals and spaces."),
        )
        return make_response(render_template("people/sign_in.html", form=form), 422)
    response = redirect(local_path(form.next.data, url_for("journey.start")), 303)
    set_sign_in(response, token)
    return response


@room.get("/unlock")
@access(PUBLIC)
def unlock() -> Response | str:
    """Ask for the day PIN after a pause."""
    if g.who is None or not g.who.locked:
        return redirect(url_for("people.sign_in", next=request.args.get("next")), 303)
    if not g.who.has_pin:
        return redirect(url_for("people.sign_in", next=request.args.get("next")), 303)
    form = UnlockForm(data={"next": request.args.get("next", "")})
    return render_template("people/unlock.html", form=form, name=g.who.name)


@room.post("/unlock")
@access(PUBLIC)
def take_pin() -> Response:
    """Go on where the person was, if the PIN fits."""
    form = UnlockForm(typed())
    person: current.Who | None = g.who
    if person is None:
        return redirect(url_for("people.sign_in"), 303)
    now = services.utc_now()
    wait = services.wait_s(current.reading(), person.name, current.device(), now)
    if wait:
        return _too_soon(wait)
    fits = form.validate() and services.pin_fits(current.reading(), person.token_hash, form.pin.data, now)
    current.stop_reading()
    with current.program().store.write() as session:
        if fits:
            services.note_seen(session, person.token_hash, now)
        else:
            services.note_failure(session, person.name, current.device(), now)
    if not fits:
        form.add_problem(
            None,
            _("That is not the PIN. In the night it runs out, and the passphrase is asked again."),
        )
        return make_response(render_template("people/unlock.html", form=form, name=person.name), 422)
    return redirect(local_path(form.next.data, url_for("journey.start")), 303)


@room.get("/pin")
@access(FITTER)
def pin() -> str:
    """Ask for a new day PIN."""
    return render_template("people/pin.html", form=PinForm())


@room.post("/pin")
@access(FITTER)
def set_pin() -> Response:
    """Set the day PIN of this device."""
    form = PinForm(typed())
    person = _signed_in()

    def write(session: Session, _writer: Writer) -> str:
        services.set_pin(session, person.token_hash, form.pin.data, _end_of_day())
        return url_for("journey.start")

    return save(form, write, lambda: render_template("people/pin.html", form=form))


@room.post("/sign-out")
@access(PUBLIC)
def sign_out() -> Response:
    """Sign this device out."""
    if g.who is not None:
        current.stop_reading()
        with current.program().store.write() as session:
            services.end_sign_in(session, g.who.token_hash)
    response = redirect(url_for("people.sign_in"), 303)
    drop_sign_in(response)
    if request.is_secure:
        # The browser's own cache may hold what the next person on this phone should not see. Over plain http browsers
        # do not know this header; there photos are kept by cookie, and pages not at all.
        response.headers["Clear-Site-Data"] = '"cache"'
    return response


@room.get("/people")
@access(MAKER)
def listing() -> str:
    """Everybody, and a form for one more."""
    return _listing(PersonForm())


@room.post("/people")
@access(MAKER)
def add() -> Response:
    """Make one more person."""
    form = PersonForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.add_person(
            session,
            writer,
            name=form.name.data,
            role=form.role.data,
            passphrase=form.passphrase.data,
        )
        return url_for("people.listing")

    return save(form, write, lambda: _listing(form))


@room.get("/people/<uuid:person_id>")
@access(MAKER)
def one(person_id: object) -> str:
    """One person: name, role, passphrase."""
    person = _person(str(person_id))
    form = RevisePersonForm(
        data={
            "name": person.name,
            "role": person.role,
            "active": person.active,
            "revises": person.entry_id,
        }
    )
    return render_template("people/one.html", person=person, form=form, passphrase=PassphraseForm())


@room.post("/people/<uuid:person_id>")
@access(MAKER)
def revise(person_id: object) -> Response:
    """Change a person's name or role."""
    person = _person(str(person_id))
    form = RevisePersonForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.revise_person(
            session,
            writer,
            revises=form.revises.data,
            name=form.name.data,
            role=form.role.data,
            active=form.active.data,
        )
        return url_for("people.listing")

    def again() -> str:
        return render_template("people/one.html", person=person, form=form, passphrase=PassphraseForm())

    return save(form, write, again)


@room.post("/people/<uuid:person_id>/passphrase")
@access(MAKER)
def new_passphrase(person_id: object) -> Response:
    """Give a person a new passphrase."""
    person = _person(str(person_id))
    form = PassphraseForm(typed())

    def write(session: Session, _writer: Writer) -> str:
        services.set_passphrase(session, person.person_id, form.passphrase.data)
        return url_for("people.listing")

    def again() -> str:
        revise_form = RevisePersonForm(data={"name": person.name, "role": person.role, "active": person.active})
        return render_template("people/one.html", person=person, form=revise_form, passphrase=form)

    return save(form, write, again)


def _listing(form: PersonForm) -> str:
    return render_template("people/list.html", people=services.all_people(current.reading()), form=form)


def _person(person_id: str) -> services.Listed:
    found = next(
        (one for one in services.all_people(current.reading()) if one.person_id == person_id),
        None,
    )
    if found is None:
        abort(404)
    return found


def _signed_in() -> current.Who:
    person = current.who()
    if person is None:
        abort(401)
    return person


def _too_soon(seconds: int) -> Response:
    abort(429, _("Wait %(seconds)s seconds before the next try.", seconds=seconds))


def _end_of_day() -> datetime:
    now = datetime.now().astimezone()
    end = now.replace(hour=END_OF_DAY_H, minute=0, second=0, microsecond=0)
    return end if end > now else end + timedelta(days=1)
