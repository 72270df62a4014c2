"""Puts the rooms together into one Flask application."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from flask import Flask
from jinja2 import StrictUndefined

from siteapp.config import Settings
from siteapp.store.db import Store
from siteapp.store.photos import PhotoFolder
from siteapp.web import current, errors, i18n, parts, security, still, waiting

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Blueprint

ROOT = Path(__file__).resolve().parent.parent
OLDEST_TEMPORARY_S = 3600


def create_app(settings: Settings | None = None, *, testing: bool = False) -> Flask:
    """The application on the data of `settings`; its database must have been migrated before."""
    app = build_app(testing=testing)
    open_data(app, settings or Settings.from_env())
    return app


def build_app(*, testing: bool = False) -> Flask:
    """The rooms put together, on no data yet."""
    app = Flask("siteapp", static_folder=None)
    app.testing = testing
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    still.serve(app, ROOT / "static")
    i18n.install(app.jinja_env)
    parts.install(app.jinja_env)
    waiting.install(app.jinja_env)
    errors.handle_errors(app)
    for room in _rooms():
        app.register_blueprint(room)
    security.protect(app)
    return app


def open_data(app: Flask, settings: Settings) -> None:
    """Have an application work on the data of `settings` from now on."""
    store = Store(settings)
    photos = PhotoFolder(settings.photos, settings.cache)
    photos.sweep(OLDEST_TEMPORARY_S)
    app.extensions[current.EXTENSION] = current.Program(
        settings=settings,
        store=store,
        photos=photos,
        laptop_id=store.begin_laptop(),
        secret=security.load_secret(settings.keys),
        who_is=_who_is(store),
    )
    security.set_limits(app, settings)


def _rooms() -> tuple[Blueprint, ...]:
    from siteapp.aftercare.views import room as aftercare
    from siteapp.arrival.views import room as arrival
    from siteapp.checks.views import room as checks
    from siteapp.condition.views import room as condition
    from siteapp.dispatch.views import room as dispatch
    from siteapp.finishing.colour.views import room as colour
    from siteapp.finishing.kit.views import room as kit
    from siteapp.finishing.views import room as finishing
    from siteapp.handover.views import room as handover
    from siteapp.hanging.anchors.views import room as anchors
    from siteapp.hanging.holes.views import room as holes
    from siteapp.hanging.lifting.views import room as lifting
    from siteapp.hanging.loads.views import room as loads
    from siteapp.hanging.pack.views import room as pack
    from siteapp.hanging.route.views import room as route
    from siteapp.hanging.strength.views import room as strength
    from siteapp.hanging.template.views import room as template
    from siteapp.hanging.views import room as hanging
    from siteapp.hanging.wall.views import room as wall
    from siteapp.heat.appliance.views import room as appliance
    from siteapp.heat.evidence.views import room as evidence
    from siteapp.heat.testing.views import room as heat_test
    from siteapp.heat.views import room as heat
    from siteapp.jobs.views import room as jobs
    from siteapp.journey.views import room as journey
    from siteapp.keeping.views import room as keeping
    from siteapp.marks.views import room as marks
    from siteapp.people.views import room as people
    from siteapp.phones.views import room as phones
    from siteapp.pieces.agreed import room as agreed
    from siteapp.pieces.bringing.views import room as bringing
    from siteapp.pieces.build_up.views import room as build_up
    from siteapp.pieces.label_views import room as pieces  # the room with its labels
    from siteapp.pieces.points.views import room as points
    from siteapp.pieces.weighing.views import room as weighing
    from siteapp.snags.views import room as snags
    from siteapp.visits.views import room as visits
    from siteapp.web.photos import room as photos
    from siteapp.workshop.views import room as workshop

    return (
        people,
        workshop,
        phones,
        jobs,
        visits,
        pieces,
        agreed,
        bringing,
        build_up,
        points,
        weighing,
        marks,
        snags,
        checks,
        dispatch,
        arrival,
        wall,
        route,
        template,
        holes,
        loads,
        strength,
        anchors,
        lifting,
        pack,
        hanging,
        finishing,
        colour,
        kit,
        appliance,
        evidence,
        heat_test,
        heat,
        condition,
        handover,
        aftercare,
        journey,
        keeping,
        photos,
        waiting.room,
    )


def _who_is(store: Store) -> Callable[[str, str], current.Who | None]:
    from siteapp.people import services as people

    def who_is(token: str, device: str) -> current.Who | None:
        now = people.utc_now()
        with store.read() as session:
            person, note = people.who_is(session, token, device, now)
        if person and note:
            store.transact(lambda session: people.note_seen(session, person.token_hash, now))
        return person

    return who_is
