"""The two locks: whole, hashed, and without a word on where packages come from."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from siteapp.bootstrap import CHECKOUT, LOCKS

BLOCK = re.compile(r"(?m)^([a-z0-9-]+)==(\S+)(.*(?:\\\n {4}--hash=sha256:[0-9a-f]{64} ?)+)")


def text_of(extent: str) -> str:
    return Path(CHECKOUT, LOCKS[extent]).read_text(encoding="utf-8")


def versions(extent: str) -> dict[str, str]:
    return {name: version for name, version, _rest in BLOCK.findall(text_of(extent))}


@pytest.mark.parametrize("extent", LOCKS)
def test_every_line_is_a_hashed_requirement_or_says_what_wants_it(extent):
    left = BLOCK.sub("", text_of(extent))
    assert [line for line in left.splitlines() if line.strip() and not line.startswith("    #")] == []
    assert len(versions(extent)) > 20


@pytest.mark.parametrize("extent", LOCKS)
def test_no_lock_names_an_address(extent):
    assert "://" not in text_of(extent)
    assert "index" not in text_of(extent)


def test_tests_run_on_the_very_versions_that_people_run():
    assert versions("runtime").items() <= versions("tests").items()


def test_every_dependency_of_the_project_is_locked():
    project = tomllib.loads(Path(CHECKOUT, "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for extent, wanted in (("runtime", project["dependencies"]), ("tests", project["optional-dependencies"]["tests"])):
        for requirement in wanted:
            name = re.match(r"[A-Za-z0-9_.-]+", requirement)[0].lower()
            assert name in versions(extent), f"{name} is not in {LOCKS[extent]}: remake the locks"


def test_the_packaged_sqlite_is_asked_for_only_where_it_has_a_wheel():
    block = next(rest for name, _version, rest in BLOCK.findall(text_of("runtime")) if name == "pysqlite3")
    for machine in (
        "'x86_64' and sys_platform == 'linux'",
        "'arm64' and sys_platform == 'darwin'",
        "'AMD64' and sys_platform == 'win32'",
    ):
        assert f"platform_machine == {machine}" in block
