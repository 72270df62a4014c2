"""Which line a person is told to type, by system. Package names: Debian 12's and Homebrew's."""

from __future__ import annotations

from ctypes.util import find_library

import pytest

from siteapp import native

DEBIAN = 'PRETTY_NAME="Debian GNU/Linux 12 (bookworm)"\nNAME="Debian GNU/Linux"\nVERSION_ID="12"\nID=debian\n'
UBUNTU = 'NAME="Ubuntu"\nVERSION_ID="24.04"\nID=ubuntu\nID_LIKE=debian\n'
MINT = "NAME='Linux Mint'\nID=linuxmint\nID_LIKE=\"ubuntu debian\"\n"
FEDORA = '# a comment with = in it\nNAME="Fedora Linux"\nID=fedora\n'
NEEDS = [native.PANGO, native.HARFBUZZ_SUBSET]


@pytest.mark.parametrize(
    ("text", "related"), [(DEBIAN, True), (UBUNTU, True), (MINT, True), (FEDORA, False), ("", False)]
)
def test_debian_and_its_relatives_are_known_by_their_os_release(text, related):
    assert native.is_debian(native.parse_os_release(text)) is related


def test_an_os_release_is_read_without_its_quotes_and_comments():
    assert native.parse_os_release(FEDORA) == {"NAME": "Fedora Linux", "ID": "fedora"}


def test_without_root_debian_is_told_one_line_for_apt():
    told = native.line_to_type(NEEDS, "linux", native.parse_os_release(DEBIAN))
    line = "sudo apt-get update && sudo apt-get install --no-install-recommends libpango-1.0-0 libharfbuzz-subset0"
    assert told.splitlines()[-1].strip() == line


def test_a_mac_is_told_one_line_for_brew_naming_each_formula_once():
    told = native.line_to_type([*NEEDS, native.PANGO_FT2], "darwin", {})
    assert told.splitlines()[-1].strip() == "brew install harfbuzz pango"


def test_another_system_is_told_what_is_missing_in_words():
    told = native.line_to_type(NEEDS, "linux", native.parse_os_release(FEDORA))
    assert "Pango, HarfBuzz subset" in told


def test_a_library_that_is_there_is_found_and_one_that_is_not_is_missed():
    assert native.loads(find_library("c"))
    assert not native.loads("libnobody-has-this.so.9")


def test_the_newest_database_server_is_taken_by_number_and_not_by_letter(tmp_path, monkeypatch):
    for version in ("9.6", "15", "16"):
        (tmp_path / version / "bin").mkdir(parents=True)
        (tmp_path / version / "bin" / "postgres").touch()
    monkeypatch.setattr(native, "POSTGRES_FOLDERS", (f"{tmp_path}/*/bin",))
    assert native.postgres_folder() == str(tmp_path / "16" / "bin")


@pytest.mark.parametrize(
    ("text", "root", "there", "wanted"),
    [
        (DEBIAN, True, False, True),
        (UBUNTU, True, False, True),
        (DEBIAN, True, True, False),
        (DEBIAN, False, False, False),
        (FEDORA, True, False, False),
    ],
)
def test_what_phones_in_networks_need_is_asked_for_only_where_tests_could_use_it(
    text, root, there, wanted, tmp_path, monkeypatch
):
    """The packages that have `ip`, `WebKitWebDriver` and `Xvfb`: Debian's lists of files."""
    if there:
        for name in ("ip", "WebKitWebDriver", "Xvfb"):
            (tmp_path / name).write_text("#!/bin/sh\n")
            (tmp_path / name).chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    packages = ["iproute2", "webkit2gtk-driver", "xvfb"] if wanted else []
    assert [need.apt for need in native.wanted_for_phones(native.parse_os_release(text), root=root)] == packages
