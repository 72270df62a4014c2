"""The certificate's file against published standards, read by libraries and programs that did not write it.

ISO 19005-3 (PDF/A-3, level A), ISO 32000-1 (PDF 1.7), ETSI EN 319 142-1 (PAdES), RFC 8785, RFC 5652 (CMS) and Object
ID (ICOM's description standard): clauses and lists from memory. The signature is verified by OpenSSL. No checker of
PDF/A itself is at hand here: what is looked at are the properties below, and no conformity is claimed beyond them.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import subprocess
from dataclasses import replace
from xml.etree import ElementTree as ET

import pikepdf
import pypdf
import pytest
import rfc8785
from asn1crypto import cms

from siteapp.documents.certificate import records as r
from siteapp.documents.certificate.pdf import certificate_pdf
from siteapp.documents.engine import Engine
from siteapp.documents.signing import sign
from siteapp.store import signing
from tests.documents import invented, reading

# Object ID (Getty, ICOM): the headings of the minimum standard, from memory.
OBJECT_ID = (
    "Type of object",
    "Materials and techniques",
    "Measurements",
    "Inscriptions and markings",
    "Distinguishing features",
    "Title",
    "Subject",
    "Date or period",
    "Maker",
    "Description",
)
PDFAID = "{http://www.aiim.org/pdfa/ns/id/}"


@pytest.fixture(scope="module")
def engine():
    made = Engine(workers=1)
    yield made
    made.close()


@pytest.fixture(scope="module")
def record():
    made = invented.certificate()
    return replace(made, proof=replace(made.proof, signed_by="Reed & Tern", key_fingerprint="ab" * 32))


@pytest.fixture(scope="module")
def text(record):
    return rfc8785.dumps(record.to_json()).decode()


@pytest.fixture(scope="module")
def plain(engine, record, text):
    return certificate_pdf(record, invented.photos(), attached=text, engine=engine)


@pytest.fixture(scope="module")
def key(tmp_path_factory):
    from siteapp.config import Settings

    return signing.ensure(Settings(data=tmp_path_factory.mktemp("key")), "Reed & Tern (invented)")


@pytest.fixture(scope="module")
def signed(plain, key):
    return sign(plain, key, reason="Certificate C-2026-014, issued")


@pytest.fixture
def document(signed):
    with pikepdf.open(io.BytesIO(signed)) as opened:
        yield opened


def test_the_same_record_gives_the_same_bytes_before_it_is_signed(engine, record, text, plain, key):
    assert certificate_pdf(record, invented.photos(), attached=text, engine=engine) == plain
    # What is signed is these bytes, with the signature put behind them.
    assert sign(plain, key, reason="x").startswith(plain)


def test_another_record_gives_another_file_even_where_nothing_else_is_shown(engine, record, text, plain):
    assert certificate_pdf(record, invented.photos(), attached=text + " ", engine=engine) != plain


def test_it_says_that_it_is_pdf_a_3_level_a(document):
    # ISO 19005-3, 6.6.4: the identification stands in the metadata stream.
    packet = ET.fromstring(document.Root.Metadata.read_bytes())
    said = {name: value for node in packet.iter() for name, value in node.attrib.items()}
    said |= {node.tag: node.text for node in packet.iter() if node.text and node.text.strip()}
    assert (said[f"{PDFAID}part"], said[f"{PDFAID}conformance"]) == ("3", "A")
    assert document.trailer.ID


def test_colours_have_one_output_intent_with_its_profile(document):
    (intent,) = document.Root.OutputIntents
    assert intent.S == "/GTS_PDFA1"
    assert intent.DestOutputProfile.read_bytes()[36:40] == b"acsp"


def test_it_is_tagged_with_language_and_bookmarks(document, signed):
    # ISO 19005-3, 6.7: marked, with a structure tree whose parent tree covers every page, and a language.
    assert bool(document.Root.MarkInfo.Marked)
    assert document.Root.Lang == "en"
    assert document.Root.StructTreeRoot.ParentTree
    kinds = {str(node.S) for node in structure(document.Root.StructTreeRoot) if "/S" in node}
    assert {"/Document", "/H1", "/H2", "/H3", "/P", "/Table", "/TR", "/TD", "/Figure"} <= kinds
    assert {"The piece", "Fire and heat", "Handed over", "Care"} <= set(reading.bookmarks(signed))
    pictures = [node for node in structure(document.Root.StructTreeRoot) if node.get("/S") == "/Figure"]
    assert pictures
    assert all(str(node.get("/Alt", "")).strip() for node in pictures)


def structure(node, depth=0):
    found = node.get("/K") if isinstance(node, pikepdf.Dictionary) else None
    for one in found if isinstance(found, pikepdf.Array) else [found]:
        if isinstance(one, pikepdf.Dictionary) and depth < 60:
            yield one
            yield from structure(one, depth + 1)


def test_nothing_in_it_runs_is_encrypted_or_lies_outside(document):
    # ISO 19005-3, 6.1.3, 6.5, 6.6.1: no encryption, no actions, no JavaScript, no external streams.
    assert not document.is_encrypted
    assert "/OpenAction" not in document.Root
    assert "/AA" not in document.Root
    assert "/JavaScript" not in document.Root.get("/Names", {})
    for one in document.objects:
        if isinstance(one, pikepdf.Dictionary | pikepdf.Stream):
            said = one.stream_dict if isinstance(one, pikepdf.Stream) else one
            assert said.get("/S") not in {"/JavaScript", "/Launch", "/URI", "/GoToR", "/SubmitForm"}
            assert not (isinstance(one, pikepdf.Stream) and "/F" in said)
            assert not said.get("/Interpolate", False)  # 6.2.8
    assert all(reading.fonts(pikepdf_bytes(document)).values())


def pikepdf_bytes(document):
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def test_one_file_is_associated_its_record_as_canonical_json(document, text):
    # ISO 19005-3, 6.8: in the name tree and, once, in the catalog's AF, with a relation, a description and a type.
    (spec,) = document.Root.AF
    assert spec.AFRelationship == "/Source"
    assert str(spec.UF) == str(spec.F) == "record.json"
    assert str(spec.Desc)
    assert spec.EF.F.Subtype == "/application/json"
    assert list(document.attachments) == ["record.json"]
    data = spec.EF.F.read_bytes()
    assert data == text.encode()
    assert data == rfc8785.dumps(json.loads(data))


def test_the_signature_field_is_as_an_archive_wants_it(document):
    # ISO 19005-3, 6.3.2: printed, not hidden; without an extent it needs no appearance.
    (field,) = document.Root.AcroForm.Fields
    assert int(field.F) & 4
    assert not int(field.F) & 2
    assert [float(one) for one in field.Rect] == [0, 0, 0, 0]
    # ETSI EN 319 142-1: detached CAdES. ISO 32000-1, 12.8.2.2: certified, no change at all is permitted.
    assert field.V.SubFilter == "/ETSI.CAdES.detached"
    assert document.Root.Perms.DocMDP.Reference[0].TransformParams.P == 1


def parts(data: bytes) -> tuple[bytes, bytes]:
    """What was signed, and the signature: read by hand from the byte range."""
    found = re.search(rb"/ByteRange\s*\[\s*(\d+)\s+(\d+)\s+(\d+)\s+(\d+)\s*\]", data)
    assert found
    begin, length, second, rest = (int(one) for one in found.groups())
    assert begin == 0
    assert second + rest == len(data), "the signature does not reach to the end of the file"
    inner = data[length:second]
    assert inner[:1] == b"<"
    assert inner[-1:] == b">"
    signature = bytes.fromhex(inner[1:-1].decode())
    # The room kept for it is filled up with zeros, which are no part of it.
    whole = cms.ContentInfo.load(signature)
    return data[:length] + data[second:], whole.dump()


def verified(signed: bytes, signature: bytes, certificate: bytes, folder) -> subprocess.CompletedProcess[bytes]:
    (folder / "content").write_bytes(signed)
    (folder / "signature").write_bytes(signature)
    (folder / "certificate").write_bytes(certificate)
    pem = subprocess.run(
        ["openssl", "x509", "-inform", "DER", "-in", str(folder / "certificate")], check=True, capture_output=True
    ).stdout
    (folder / "pem").write_bytes(pem)
    command = ["openssl", "cms", "-verify", "-binary", "-inform", "DER", "-in", str(folder / "signature")]
    command += ["-content", str(folder / "content"), "-CAfile", str(folder / "pem"), "-purpose", "any"]
    return subprocess.run([*command, "-out", "/dev/null"], check=False, capture_output=True, timeout=60)


def test_openssl_finds_the_signature_good_and_one_changed_byte_not(signed, key, tmp_path):
    content, signature = parts(signed)
    done = verified(content, signature, key.certificate, tmp_path)
    assert done.returncode == 0, done.stderr
    for at in (10, len(content) // 2, len(content) - 2):
        altered = bytearray(content)
        altered[at] ^= 1
        assert verified(bytes(altered), signature, key.certificate, tmp_path).returncode != 0


def test_the_signature_names_its_certificate_and_gives_no_time_of_its_own(signed, key):
    # ETSI EN 319 142-1, 6.3: the signing certificate is named in what is signed (RFC 5035); the time stands in the
    # signature dictionary and not among the signed attributes.
    (info,) = cms.ContentInfo.load(parts(signed)[1])["content"]["signer_infos"]
    named = {one["type"].native: one["values"].native for one in info["signed_attrs"]}
    (said,) = named["signing_certificate_v2"]
    assert said["certs"][0]["cert_hash"] == hashlib.sha256(key.certificate).digest()
    assert "signing_time" not in named
    assert info["signature_algorithm"]["algorithm"].native == "sha256_ecdsa"


def test_every_heading_of_object_id_stands_on_it_in_order(signed):
    said = reading.text(signed)
    start = said.index("Description Type of object")
    order = ("Type of object", "Title", "Maker", "Date or period", "Materials and techniques", "Measurements")
    places = [said.index(heading, start) for heading in order]
    assert places == sorted(places)
    assert all(said.find(heading, start) > 0 for heading in OBJECT_ID)


def test_text_comes_in_reading_order_by_another_reader(signed):
    # PDFium orders by the content stream, pypdf by position: both give the parts in the order in which they stand.
    for said in (reading.text(signed), reading.pdfium_text(signed)):
        body = said[said.index("In this certificate") + 200 :]
        places = [
            body.index(words) for words in ("What it is made of", "Weight and lifting", "Care", "Rights", "Taken over")
        ]
        assert places == sorted(places)


def test_headings_that_were_not_recorded_say_so(engine):
    said = reading.text(
        certificate_pdf(r.CertificateRecord("C-1", "K7QXM2TR", "Curlew", r.Maker("O")), {}, engine=engine)
    )
    for heading in OBJECT_ID:
        assert heading in said
    assert said.count("not recorded") > 20


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_forty_photos_stand_on_it_on_either_paper_and_no_heading_alone(engine, paper):
    full = replace(invented.certificate(40), paper=paper)
    pdf = certificate_pdf(full, invented.photos(40), engine=engine)
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    assert sum(len(page.images) for page in pages) >= 40
    headings = set(reading.bookmarks(pdf))
    for page in pages[1:]:
        lines = [line.strip() for line in page.extract_text().splitlines() if line.strip()]
        body = [line for line in lines if "page " not in line and "Certificate C-" not in line]
        assert re.sub(r"^\d ", "", body[-1]) not in headings
