import pytest

from seed_demo import build
from siteapp.journey import services as journey
from siteapp.keeping import check
from siteapp.pieces.services import find
from siteapp.store.errors import StoreError


def quiet(_done, _total, _what):
    pass


def test_the_demo_shows_three_pieces_at_three_stages_and_is_whole(store):
    seen = []
    build.build(store, store.settings, lambda done, total, what: seen.append((done, total, what)))
    with store.read() as session:
        kinds = journey.latest_by_kind(session)
    assert sorted("certificate" in kind for kind in kinds.values()) == [False, False, True]
    assert sorted("arrival" in kind for kind in kinds.values()) == [False, True, True]
    assert seen[-1][0] == seen[-1][1]
    assert not check.run(store.settings, full=True).findings


def test_the_demo_fills_only_an_empty_database(store):
    build.build(store, store.settings, quiet)
    with pytest.raises(StoreError, match="only an empty database"):
        build.build(store, store.settings, quiet)
    with store.read() as session:
        assert find(session, "00000000") is None
