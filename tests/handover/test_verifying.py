"""Whether what somebody brings is a certificate as it was issued: every answer there is, from real files."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pikepdf
import pytest
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from sqlalchemy import select

from siteapp.documents import qr
from siteapp.documents.signing import sign
from siteapp.handover import issuing, verifying
from siteapp.handover.models import Certificate
from siteapp.handover.verifying import ALTERED, CANNOT_TELL, FOREIGN, REPLACED, STANDS, TAKEN_BACK, Workshop, verify
from siteapp.store import signing
from tests import factories
from tests.documents import reading
from tests.handover.support import SAID, answer_all, arrive, file_of, hand_over, issued
from tests.support import databases as kinds

if TYPE_CHECKING:
    from siteapp.handover.verifying import Outcome
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@dataclass(frozen=True)
class Scene:
    """Three certificates: superseded, standing, and a withdrawn one of another piece."""

    store: Store
    piece: PieceNow
    first: str
    second: str
    withdrawn: str

    def file(self, number: str) -> bytes:
        return file_of(self.store, number)

    def look(self, data: bytes, **more: Any) -> Outcome:
        with self.store.read() as session:
            return verify(data, Workshop(session, self.store.settings, **more))


@pytest.fixture(scope="module")
def scene(databases, tmp_path_factory):
    folder = tmp_path_factory.mktemp("verifying")
    with databases.fresh(kinds.PACKAGED, folder / "data") as settings, kinds.opened(settings) as store:
        with store.write() as session:
            pieces = [factories.a_piece(session), factories.a_piece(session)]
            for piece in pieces:
                arrive(session, piece)
                answer_all(session, piece)
                hand_over(session, piece)
        first = issued(store, pieces[0])
        second = issued(store, pieces[0], why="the weight was a typing error")
        withdrawn = issued(store, pieces[1])
        with store.write() as session:
            writer = factories.a_writer(session)
            issuing.withdraw_certificate(session, writer, piece=pieces[1], number=withdrawn, reason="points swapped")
        yield Scene(store, pieces[0], first, second, withdrawn)


def with_square(data: bytes, page: int) -> bytes:
    """What an editor does: the file read, a square drawn on a page, all written anew."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as document:
        document.pages[page - 1].contents_add(b"Q q 1 0 0 rg 100 100 50 50 re f Q q")
        document.save(out)
    return out.getvalue()


def with_square_appended(data: bytes, page: int) -> bytes:
    """What a careful forger does: the signed bytes left as they are, a new version of a page put after them."""
    writer = IncrementalPdfFileWriter(io.BytesIO(data))
    drawn = writer.add_object(generic.StreamObject(stream_data=b"q 1 0 0 rg 100 100 80 80 re f Q"))
    writer.add_stream_to_page(page - 1, drawn)
    out = io.BytesIO()
    writer.write(out)
    assert out.getvalue().startswith(data)
    return out.getvalue()


def with_another_record(data: bytes) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as document:
        (name,) = document.attachments
        said = json.loads(document.attachments[name].get_file().read_bytes())
        said["weight"]["mass_kg"] = 3.0
        document.attachments[name] = pikepdf.AttachedFileSpec(document, json.dumps(said).encode(), filename=name)
        document.save(out)
    return out.getvalue()


def test_the_file_as_issued_stands(scene: Scene) -> None:
    found = scene.look(scene.file(scene.second))
    assert (found.state, found.number, found.newer) == (STANDS, scene.second, None)
    key = signing.load(scene.store.settings)
    assert (found.fingerprint, found.signed_by) == (key.fingerprint, key.name)
    assert found.at
    assert found.as_issued


def test_one_that_was_superseded_names_the_one_in_its_place(scene: Scene) -> None:
    found = scene.look(scene.file(scene.first))
    assert (found.state, found.newer) == (REPLACED, scene.second)


def test_one_that_was_withdrawn_says_why(scene: Scene) -> None:
    found = scene.look(scene.file(scene.withdrawn))
    assert found.state == TAKEN_BACK
    assert found.why[0].endswith(": points swapped")


@pytest.mark.parametrize("page", [1, 3])
def test_a_page_that_was_edited_is_named(scene: Scene, page: int) -> None:
    for altered in (with_square(scene.file(scene.second), page), with_square_appended(scene.file(scene.second), page)):
        found = scene.look(altered)
        assert (found.state, found.number) == (ALTERED, scene.second)
        assert f"What these pages show differs from what was issued: {page}." in found.why


def test_what_is_added_after_signing_is_said_so(scene: Scene) -> None:
    assert "Something was added" in scene.look(with_square_appended(scene.file(scene.second), 1)).why[0]
    assert "not the one that was signed" in scene.look(with_square(scene.file(scene.second), 1)).why[0]


def test_an_edited_record_inside_it_is_named_by_its_fields(scene: Scene) -> None:
    found = scene.look(with_another_record(scene.file(scene.second)))
    assert found.state == ALTERED
    assert "The record attached to it differs in: weight." in found.why


@pytest.mark.parametrize("place", range(12))
def test_one_flipped_byte_anywhere_is_never_called_as_issued(scene: Scene, place: int) -> None:
    data = bytearray(scene.file(scene.second))
    at = len(data) * place // 12 + 37
    data[at] ^= 0x20
    assert not scene.look(bytes(data)).as_issued


def test_a_file_cut_off_is_not_called_as_issued(scene: Scene) -> None:
    data = scene.file(scene.second)
    for kept in (100, len(data) // 2, len(data) - 200, len(data) - 1):
        found = scene.look(data[:kept])
        # The last line end of a PDF belongs to no signature's reach and to nothing that is shown.
        assert not found.as_issued or data[kept:] == b"\n"


def test_another_key_in_the_workshops_name_is_not_the_workshop(scene: Scene, tmp_path: Any) -> None:
    other = signing.ensure(scene.store.settings.with_(data=tmp_path), signing.load(scene.store.settings).name)
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(scene.file(scene.second))) as document:
        for name in ("/AcroForm", "/Perms"):
            del document.Root[name]
        del document.pages[0].Annots
        document.save(out)
    unsigned = out.getvalue()
    found = scene.look(unsigned)
    assert (found.state, found.number) == (ALTERED, scene.second)
    assert "its signature is gone" in found.why[0]
    found = scene.look(sign(unsigned, other, reason="forged"))
    assert (found.state, found.fingerprint) == (ALTERED, other.fingerprint)
    assert "signed with another key" in found.why[0]


def test_what_is_nothing_of_ours_is_told_so(scene: Scene, tmp_path: Any) -> None:
    out = io.BytesIO()
    pikepdf.new().save(out)
    assert scene.look(out.getvalue()).state == FOREIGN
    assert scene.look(b'{"number": "C-00000000"}').state == FOREIGN
    for nothing in (b"", b"hello", b"%PDF-1.7 and no more", b"\x00" * 5000):
        assert scene.look(nothing).state == CANNOT_TELL


def test_one_signed_here_and_unknown_here_cannot_be_told_to_stand(scene: Scene, tmp_path: Any) -> None:
    key = signing.load(scene.store.settings)
    settings = scene.store.settings.with_(data=tmp_path / "elsewhere")
    nobody = Workshop(None, settings)
    assert verify(scene.file(scene.second), nobody).state == FOREIGN
    found = verify(scene.file(scene.second), Workshop(None, settings, (key.fingerprint,)))
    assert (found.state, found.number) == (CANNOT_TELL, scene.second)
    assert "It is as it was signed" in found.why[0]
    flipped = bytearray(scene.file(scene.second))
    flipped[len(flipped) // 2] ^= 1
    assert verify(bytes(flipped), Workshop(None, settings, (key.fingerprint,))).state == ALTERED


def test_a_record_is_known_by_its_digest(scene: Scene) -> None:
    with scene.store.read() as session:
        text = session.scalars(select(Certificate.record).where(Certificate.number == scene.second)).one()
    found = scene.look(text.encode())
    assert (found.state, found.number) == (STANDS, scene.second)
    assert "the file itself was not looked at" in found.why[-1]
    found = scene.look(text.replace(SAID, "I take it over.").encode())
    assert (found.state, found.why) == (ALTERED, ("The record attached to it differs in: signature.",))


def test_of_a_photo_of_the_paper_only_the_code_is_known(scene: Scene) -> None:
    pages = len(pikepdf.open(io.BytesIO(scene.file(scene.second))).pages)
    shot = next(
        picture
        for place in range(pages - 1, -1, -1)
        if reading.codes(picture := reading.picture(scene.file(scene.second), place, 150))
    )
    out = io.BytesIO()
    shot.convert("RGB").save(out, "JPEG", quality=80)
    found = scene.look(out.getvalue())
    assert (found.state, found.number) == (CANNOT_TELL, scene.second)
    assert "That is all a photo shows" in found.why[0]


def test_a_photo_whose_code_names_another_record_is_altered(scene: Scene) -> None:
    code = qr.make(qr.certificate_text(scene.second, "f" * 64, None))
    found = scene.look(enlarged(code.png))
    assert (found.state, found.number) == (ALTERED, scene.second)
    unknown = qr.make(qr.certificate_text("C-00000000", "f" * 64, "https://reed.example/c/C-00000000"))
    assert scene.look(enlarged(unknown.png)).state == CANNOT_TELL
    assert scene.look(enlarged(qr.make("HELLO").png)).state == CANNOT_TELL


def enlarged(png: bytes) -> bytes:
    from PIL import Image

    out = io.BytesIO()
    picture = Image.open(io.BytesIO(png)).convert("L")
    picture.resize((picture.width * 8, picture.height * 8)).save(out, "PNG")
    return out.getvalue()


def test_nothing_that_is_looked_at_is_kept(scene: Scene) -> None:
    def files() -> set[str]:
        return {str(path) for path in scene.store.settings.data.rglob("*") if path.is_file()}

    before = files()
    scene.look(with_square(scene.file(scene.second), 1))
    assert files() == before


def test_every_state_has_its_words() -> None:
    from siteapp.handover.verify_views import STATE_WORDS

    assert set(STATE_WORDS) == {STANDS, REPLACED, TAKEN_BACK, ALTERED, FOREIGN, CANNOT_TELL}
    assert verifying.STANDS == "as issued, and stands"
