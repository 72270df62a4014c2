"""The demo shows every part of the tool, is whole, and never fills a database that somebody works in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PIL import Image
from sqlalchemy import select

from seed_demo import build
from seed_demo.drawing import light
from seed_demo.pieces import PIECES
from seed_demo.shots import SHOTS, Darkroom
from siteapp.journey import start
from siteapp.keeping import check
from siteapp.pieces.services import find
from siteapp.snags.models import Snag
from siteapp.store.errors import StoreError
from siteapp.store.models import Entry
from siteapp.web.dates import now

if TYPE_CHECKING:
    from siteapp.store.db import Store


def quiet(_done: int, _total: int, _what: str) -> None:
    pass


def test_the_demo_has_pieces_at_every_stage_and_is_whole(store: Store) -> None:
    seen = []
    build.build(
        store, store.settings, lambda done, total, what: seen.append((done, total, what)), photo_size=light.SIZE
    )
    assert seen[-1][0] == seen[-1][1]
    with store.read() as session:
        hand = start.in_hand(session)
        stages = {group.stage.key: len(group.lines) for group in hand.groups}
        kinds = set(session.scalars(select(Entry.kind).distinct()))
        raised = session.scalars(select(Snag.line_key)).all()
        today = start.today(session, now().date())
    assert len(PIECES) >= 8
    assert set(stages) == {"ready", "arrived", "fixed", "finished", "handed over", "cared for"}
    assert any(line.hold for group in hand.groups for line in group.lines)
    assert any(facts["fields"]["near_heat"] for facts in PIECES.values())
    assert len(today) >= 4
    # A snag by hand, none by a check: nobody answered not met in the demo.
    assert raised
    assert set(raised) == {None}
    wanted = {"agreed", "crate", "dispatch", "unwrap", "marks", "check_release", "snag_close", "condition", "batch"}
    assert wanted | {"visit", "site_contacts", "to_bring", "care_date", "moved", "keeper", "certificate"} <= kinds
    assert not check.run(store.settings, full=True).findings
    with pytest.raises(StoreError, match="only an empty database"):
        build.build(store, store.settings, quiet)
    with store.read() as session:
        assert find(session, "00000000") is None


def test_its_photos_are_as_large_as_a_phones(tmp_path) -> None:
    darkroom = Darkroom()
    name = next(iter(SHOTS))
    file = tmp_path / "shot.jpg"
    file.write_bytes(darkroom.photo(name))
    darkroom.close()
    with Image.open(file) as photo:
        assert photo.size == (4000, 3000)
        assert photo.format == "JPEG"
