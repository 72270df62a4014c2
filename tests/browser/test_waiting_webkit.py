"""What waits on a phone, in WebKit: its store takes bytes as ArrayBuffers, and sends them when the laptop is back.

WebKit keeps nothing but memory while it is driven, in which it refuses files outright, as on a phone that browses
privately: who keeps a File or a Blob there loses it.
"""

from __future__ import annotations

import hashlib

import pytest

from tests.soak.ledger import on_the_laptop
from tests.soak.onsite import served
from tests.soak.workshop import PASSPHRASE
from tests.support.lan import NoNetwork
from tests.support.own_photos import photo_of_its_own
from tests.support.webkit import NoWebKit, webkit_in

MARK = "mark-7-1"
STATE = "return document.querySelector('[data-saving]').dataset.state"
# The bytes of the first photo in the phone's store: of which type, how many.
KEPT = """return new Promise((resolve) => {
  const asked = indexedDB.open("siteapp");
  asked.onsuccess = () => {
    const base = asked.result;
    const got = base.transaction("photos").objectStore("photos").getAll();
    got.onsuccess = () => {
      base.close();
      const bytes = got.result.length ? got.result[0].bytes : null;
      resolve(bytes && [Object.prototype.toString.call(bytes), bytes.byteLength]);
    };
  };
});"""


@pytest.mark.timeout(240)
def test_a_form_with_a_photo_is_kept_and_sent_later_by_webkit(tmp_path):
    photo = tmp_path / "front.jpg"
    photo.write_bytes(photo_of_its_own(MARK))
    sha = hashlib.sha256(photo.read_bytes()).hexdigest()
    try:
        with served(tmp_path, phones=1) as (lan, laptop, workshop), webkit_in(lan.phones[0]) as window:
            fitter, piece = workshop.fitters[0], workshop.pieces[0][0]
            window.go(f"/sign-in?next={piece.arrival}")
            window.type("#name", fitter.name)
            window.type("#passphrase", PASSPHRASE)
            window.click(".next button")
            window.until(
                f"return location.pathname === '{piece.arrival}' && ({STATE.removeprefix('return ')}) === 'saved'"
            )
            assert window.script("return isSecureContext") is False
            window.script("for (const one of document.querySelectorAll('details')) one.open = true")
            window.click("label.option:has([value='something found'])")
            window.type("[name=note]", f"{MARK} in WebKit")
            window.type("input[name=front]", str(photo))
            laptop.kill()
            window.click("button[form=form]")
            assert window.until(KEPT) == ["[object ArrayBuffer]", photo.stat().st_size]
            assert window.until(f"{STATE} === 'waiting'")
            laptop.start()
            # It asks by itself, after ever longer pauses of up to half a minute.
            assert window.until(f"{STATE} === 'saved'", 60)
            said = window.script("return document.querySelector('[data-saving]').textContent.trim()")
    except NoNetwork as why:
        pytest.skip(f"no networks of our own here: {why}")
    except NoWebKit as why:
        pytest.skip(f"no WebKit here: {why}")
    assert said == "All saved on the laptop"
    (row,) = on_the_laptop(laptop.settings)[MARK]
    assert row.by_id == fitter.person_id
    assert row.photos == {sha}
    assert (laptop.settings.photos / sha[:2] / sha).read_bytes() == photo.read_bytes()
