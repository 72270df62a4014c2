"""Any sequence of posts: new, sent again, changed, another person's, refused half way, corrected, after a restart."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid5

import pytest
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, consumes, initialize, invariant, rule
from sqlalchemy import select

from siteapp.jobs.models import Job
from siteapp.keeping import check
from siteapp.store import entries, form_posts
from siteapp.store.db import Store
from siteapp.store.entries import Writer
from siteapp.store.errors import FormClash, Superseded
from siteapp.store.form_posts import Answer
from siteapp.store.models import Entry, EntryCorrects, FormPost
from tests.support import databases as kinds

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

    from tests.support.databases import Databases

PEOPLE = [str(uuid5(UUID(int=0), name)) for name in ("one", "two")]
JOBS = [None, *(str(uuid5(UUID(int=1), name)) for name in ("one", "two"))]
HANDED: dict[str, Any] = {}


class Refused(Exception):
    """Something wrong with a field, found after half of the form was written."""


class Sequence(RuleBasedStateMachine):
    """Posts forms and remembers what ought to be there."""

    forms = Bundle("forms")
    entries_made = Bundle("entries_made")

    @initialize()
    def start(self) -> None:
        self.folder = Path(tempfile.mkdtemp(dir=HANDED["folder"]))
        self.fresh = HANDED["databases"].fresh(HANDED["kind"], self.folder / "data")
        self.settings = self.fresh.__enter__()
        self.store = Store(self.settings)
        self.laptop = self.store.begin_laptop()
        self.count = 0
        self.kept: dict[str, list[str]] = {}
        self.corrected: set[str] = set()

    def teardown(self) -> None:
        if hasattr(self, "store"):
            assert [str(one) for one in check.run(self.settings).findings] == []
            self.store.close()
            self.fresh.__exit__(None, None, None)
            shutil.rmtree(self.folder)

    def post(self, form_id: str, by_id: str, words: list[str], **more: Any) -> Answer:
        content = form_posts.fingerprint("/notes", {"words": words})

        def work(session: Session) -> Answer:
            stored = form_posts.begin(session, form_id=form_id, by_id=by_id, content=content)
            if stored:
                return stored
            writer = Writer(laptop_id=self.laptop, by_id=by_id, form_id=form_id)
            for number, said in enumerate(words):
                body = Job(title=said, client="-", place="-")
                job_id = JOBS[len(said) % len(JOBS)]
                corrects = more.get("corrects", ()) if number == 0 else ()
                entries.append(session, writer, kind="note", job_id=job_id, bodies=[body], corrects=corrects)
            if more.get("refuse"):
                raise Refused
            answer = Answer(303, f"/{form_id}")
            form_posts.finish(session, form_id=form_id, answer=answer)
            return answer

        return self.store.transact(work)

    def new_id(self) -> str:
        self.count += 1
        return str(uuid5(UUID(int=2), str(self.count)))

    words = st.lists(st.text("abc ü🧷", min_size=1, max_size=3), min_size=1, max_size=3)
    people = st.sampled_from(PEOPLE)

    @rule(target=forms, by_id=people, words=words)
    def a_new_form_is_kept(self, by_id: str, words: list[str]) -> tuple[str, str, list[str]]:
        form_id = self.new_id()
        assert self.post(form_id, by_id, words) == Answer(303, f"/{form_id}")
        self.kept[form_id] = words
        return form_id, by_id, words

    @rule(form=forms)
    def sent_again_it_is_answered_the_same(self, form: tuple[str, str, list[str]]) -> None:
        assert self.post(*form) == Answer(303, f"/{form[0]}")

    @rule(form=forms, more=st.text("d", min_size=1, max_size=2))
    def with_other_content_it_clashes(self, form: tuple[str, str, list[str]], more: str) -> None:
        with pytest.raises(FormClash) as raised:
            self.post(form[0], form[1], [*form[2], more])
        assert raised.value.same_person
        assert raised.value.location == f"/{form[0]}"

    @rule(form=forms)
    def from_another_person_it_clashes_and_tells_nothing(self, form: tuple[str, str, list[str]]) -> None:
        other = next(person for person in PEOPLE if person != form[1])
        with pytest.raises(FormClash) as raised:
            self.post(form[0], other, form[2])
        assert not raised.value.same_person
        assert raised.value.location is None

    @rule(target=forms, by_id=people, words=words)
    def refused_it_leaves_nothing_and_its_id_is_free(self, by_id: str, words: list[str]) -> tuple[str, str, list[str]]:
        form_id = self.new_id()
        with pytest.raises(Refused):
            self.post(form_id, by_id, words, refuse=True)
        self.only_what_was_kept_is_there()
        self.post(form_id, by_id, [*words, "mended"])
        self.kept[form_id] = [*words, "mended"]
        return form_id, by_id, [*words, "mended"]

    @rule(target=entries_made, form=forms)
    def an_entry_to_correct(self, form: tuple[str, str, list[str]]) -> str:
        return str(uuid5(UUID(form[0]), "entry/note/1"))

    @rule(entry_id=consumes(entries_made), by_id=people)
    def a_correction_is_kept_once(self, entry_id: str, by_id: str) -> None:
        form_id = self.new_id()
        if entry_id in self.corrected:
            with pytest.raises(Superseded):
                self.post(form_id, by_id, ["late"], corrects=[entry_id])
            return
        self.post(form_id, by_id, ["better"], corrects=[entry_id])
        self.kept[form_id] = ["better"]
        self.corrected.add(entry_id)

    @rule()
    def the_program_starts_again(self) -> None:
        self.store.close()
        self.store = Store(self.settings)
        assert self.store.begin_laptop() == self.laptop

    @invariant()
    def only_what_was_kept_is_there(self) -> None:
        if not hasattr(self, "store"):
            return
        with self.store.read() as session:
            rows = session.execute(select(Entry.id, Job.title).outerjoin(Job, Job.entry_id == Entry.id)).all()
            posts = set(session.scalars(select(FormPost.id)))
            corrected = set(session.scalars(select(EntryCorrects.corrects_id)))
        expected = {
            str(uuid5(UUID(form_id), f"entry/note/{number}")): said
            for form_id, words in self.kept.items()
            for number, said in enumerate(words, start=1)
        }
        assert {entry_id: title for entry_id, title in rows if title is not None} == expected
        assert len(rows) == len(expected) + 1  # and the laptop's beginning
        assert posts == set(self.kept)
        assert corrected == self.corrected


@pytest.fixture(params=kinds.KINDS)
def place(request: pytest.FixtureRequest, databases: Databases, tmp_path: Path) -> Iterator[None]:
    """Where the machine makes its databases."""
    HANDED.update(kind=request.param, databases=databases, folder=tmp_path)
    yield
    HANDED.clear()


@pytest.mark.usefixtures("place")
def test_any_sequence_of_posts_keeps_each_form_once_and_whole() -> None:
    from hypothesis.stateful import run_state_machine_as_test

    run_state_machine_as_test(
        Sequence,
        settings=hypothesis_settings(
            max_examples=6,
            stateful_step_count=15,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),
    )
