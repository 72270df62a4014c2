"""Fills an empty database with the demo: an invented workshop, its people, five places, ten pieces at every stage."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from seed_demo import finish, fires, hanging, people, stories, work
from seed_demo.drawing.light import CAMERA
from seed_demo.filling import Filling
from siteapp.aftercare import services as aftercare
from siteapp.checks import services as checks
from siteapp.finishing.products import add_batch, make_product
from siteapp.jobs.services import make_job
from siteapp.people.services import add_person, nobody_yet
from siteapp.store.errors import StoreError
from siteapp.visits import services as visits
from siteapp.web.dates import now
from siteapp.workshop.services import Workshop, set_workshop

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from siteapp.config import Settings
    from siteapp.store.db import Store
    from siteapp.store.entries import Writer

SIGN_IN = people.SIGN_IN


def build(
    store: Store,
    settings: Settings,
    progress: Callable[[int, int, str], None],
    *,
    photo_size: tuple[int, int] = CAMERA,
) -> None:
    """Fill the database. Raises StoreError when it is not empty. `photo_size` is that of every photo, in pixels."""
    with store.read() as session:
        if not nobody_yet(session):
            message = "the demo fills only an empty database, and this one has people in it"
            raise StoreError(message)
    go = Filling(store, settings, progress, photo_size)
    try:
        _workshop(go)
        products = _products(go)
        _handed_over(go, products)
        _on_site(go, products)
        _made_ready(go)
        go.finish()
    finally:
        go.close()


def _workshop(go: Filling) -> None:
    for name, role, passphrase in SIGN_IN:
        person = go.write(f"person: {name}", add_person, name=name, role=role, passphrase=passphrase)
        go.by.setdefault(role, person)
    settings = Workshop(people.WORKSHOP, people.LINK_BASE)
    go.store.transact(lambda session: set_workshop(session, settings))
    for key, facts in people.JOBS.items():
        go.jobs[key] = go.write(f"job: {key}", make_job, facts=facts)
    for key, contacts in people.CONTACTS.items():
        go.write(f"contacts: {key}", visits.set_contacts, job_id=go.jobs[key], revises=None, people=contacts)
    for key, items in people.TO_BRING.items():
        for words in items:
            go.write(f"to bring: {words}", visits.add_to_bring, job_id=go.jobs[key], words=words)
    for key, days, purpose in (
        ("birds", 0, "Hang the reliefs, finish the joints"),
        ("hearth", 8, "Hang the overmantel"),
    ):
        day = (now().date() + timedelta(days=days)).isoformat()
        facts = {"day": day, "from_time": "08:30", "until_time": "17:00", "purpose": purpose, "note": None}
        crew = [{"name": name, "person_id": None, "role": role} for name, role, _words in SIGN_IN]
        go.write(f"visit: {key}", visits.plan_visit, job_id=go.jobs[key], facts=facts, people=crew)


def _products(go: Filling) -> dict[str, tuple[str, str]]:
    """Product and first batch of each, by key."""
    made: dict[str, tuple[str, str]] = {}
    for key, facts in (("wash", work.WASH), ("filler", work.FILLER)):
        product_id = go.write(f"product: {key}", make_product, facts=facts)
        tin = go.photos(("tin", "tin"))
        batches = [
            go.write(f"batch {one['number']}", add_batch, product_id=product_id, facts=one, photos=tin)
            for one in work.BATCHES[key]
        ]
        made[key] = (product_id, batches[0])
    made["glaze"] = finish.glaze(go)
    return made


def _handed_over(go: Filling, products: dict[str, tuple[str, str]]) -> None:
    """One piece in its place with everything recorded, one that has moved on to somebody else since."""
    go.at(16)
    stories.made(go, "dunlins", "birds", ("dunlins", "the piece from the front"), ("dunlins back", "its back"))
    stories.crated(go, "dunlins")
    hanging.made_ready(go, "dunlins")
    stories.answered(go, "dunlins", "ready")
    stories.arrived(go, "dunlins", "dunlins on site")
    stories.answered(go, "dunlins", "arrived")
    hanging.hung(go, "dunlins")
    stories.answered(go, "dunlins", "fixed")
    stories.coated(go, "dunlins", coats=2, products=products, close="dunlins after")
    stories.left_open(go, "dunlins", work.HAIRLINE, accepted_by=work.HANDOVER["signed_name"])
    stories.handed_over(go, "dunlins", "dunlins after")
    stories.cared_for(go, "dunlins", due_in_days=360)

    go.at(18)
    stories.made(go, "turnstone", "birds", ("turnstone", "the piece from the front"))
    stories.arrived(go, "turnstone", "turnstone")
    hanging.asked(go, "turnstone")
    hanging.drilled(go, "turnstone", form=False)
    hanging.hung(go, "turnstone", measure=False)
    stories.answered(go, "turnstone", "fixed")
    stories.coated(go, "turnstone", coats=0, products=products, close="turnstone")
    stories.handed_over(go, "turnstone", "turnstone", why="The date of making was wrong on the first one.")
    stories.cared_for(go, "turnstone", due_in_days=-20)
    today = now().date().isoformat()
    moved = {"place": "a doctor's waiting room", "address": "2 Chapel Lane, Lowwater (invented)", "moved_on": today}
    go.of_piece("turnstone", "moved", aftercare.record_move, moved_by="Wren Oakhollow", **moved)
    keeper = {"name": "Surgery at Chapel Lane (invented)", "contact": "+44 1632 960 733", "since": today}
    go.of_piece("turnstone", "keeper", aftercare.record_keeper, **keeper)


def _on_site(go: Filling, products: dict[str, tuple[str, str]]) -> None:
    """One over a stove, tested by fire; four at the library: at a hold point, coated, to be signed for, knocked."""
    go.at(19)
    stories.made(go, "grebes", "hearth", ("grebes", "the piece from the front"), ("grebes back", "its back"))
    stories.crated(go, "grebes")
    stories.arrived(go, "grebes", "grebes on site")
    hanging.asked(go, "grebes")
    hanging.drilled(go, "grebes", form=False)
    hanging.hung(go, "grebes", measure=False)
    fires.described(go, "grebes")
    stories.answered(go, "grebes", "fixed")
    go.at(14)
    finish.finished(go, "grebes", products["glaze"])
    go.at(7)
    fires.tested(go, "grebes")

    go.at(11)
    stories.made(go, "curlew", "birds", ("curlew", "the piece from the front"), ("curlew back", "its back"))
    stories.crated(go, "curlew")
    hanging.made_ready(go, "curlew")
    stories.arrived(go, "curlew", "curlew on site")
    stories.first_answers(go, "curlew")

    go.at(10)
    stories.made(go, "sandpipers", "birds", ("sandpipers", "the piece from the front"))
    stories.crated(go, "sandpipers")
    hanging.made_ready(go, "sandpipers")
    stories.arrived(go, "sandpipers", "sandpipers on site")
    hanging.hung(go, "sandpipers")
    stories.answered(go, "sandpipers", "fixed")
    stories.coated(go, "sandpipers", coats=1, products=products, close="sandpipers after")
    stories.left_open(go, "sandpipers", "A run of wash at the left edge, 30 mm; to be dabbed off when it is dry.")

    go.at(5)
    stories.made(go, "knots", "birds", ("knots", "the piece from the front"))
    stories.crated(go, "knots")
    hanging.asked(go, "knots")
    hanging.drilled(go, "knots")
    hanging.measured(go, "knots", out_mm={"D": (5.0, 1.0)})
    knocked = stories.arrived(go, "knots", "knots chipped", work.CHIPPED, "crate knocked")
    stories.damaged(go, "knots", knocked)

    go.at(4.7)
    stories.made(go, "avocets", "birds", ("avocets", "the piece from the front"))
    stories.crated(go, "avocets")
    stories.arrived(go, "avocets", "avocets on site")
    hanging.asked(go, "avocets")
    hanging.drilled(go, "avocets", form=False)
    hanging.hung(go, "avocets", measure=False)
    stories.answered(go, "avocets", "fixed")
    stories.coated(go, "avocets", coats=1, products=products, close=None)


def _made_ready(go: Filling) -> None:
    """Three in the workshop: an overmantel not weighed yet, a shell packed but for a letter, a shoal just begun."""
    go.at(7)
    stories.made(go, "herons", "hearth", ("herons", "in the light of a fire"), ("herons back", "its back"))
    hanging.asked(go, "herons")
    hanging.loaded(go, "herons")
    stories.answered(go, "herons", "ready", leave=("strapped", "crate-closed", "lift-load", "kit"))

    go.at(5)
    stories.made(go, "whelk", "hall", ("whelk", "in the workshop"))
    stories.crated(go, "whelk")
    hanging.way_in(go, "whelk")
    hanging.lift_planned(go, "whelk")
    stories.answered(go, "whelk", "ready", leave=("consent",))
    go.of_piece("whelk", "release", _released, line_key="consent", reason=work.CONSENT)

    go.at(1)
    stories.made(go, "shoal", "stair", ("shoal", "hung up for a trial"))


def _released(session: Session, writer: Writer, *, piece: Any, line_key: str, reason: str) -> str:
    line = next(line for line in checks.state(session, piece, "ready").lines if line.key == line_key)
    return checks.release(session, writer, piece=piece, list_id=line.list_id, line_key=line_key, reason=reason)
