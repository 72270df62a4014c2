"""The two locks: whole, hashed, and without a word on where packages come from."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
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


def declared() -> dict[str, set[str]]:
    """The names that the project asks for, by extent; the tests have those of the program as well."""
    project = tomllib.loads(Path(CHECKOUT, "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = {"runtime": project["dependencies"], "tests": project["optional-dependencies"]["tests"]}
    names = {
        extent: {re.match(r"[A-Za-z0-9_.-]+", requirement)[0].lower() for requirement in requirements}
        for extent, requirements in wanted.items()
    }
    return {"runtime": names["runtime"], "tests": names["runtime"] | names["tests"]}


def imported(folder: str) -> set[str]:
    """The top-level modules that the Python files below a folder of the checkout import."""
    nodes = [node for path in Path(CHECKOUT, folder).rglob("*.py") for node in ast.walk(ast.parse(path.read_bytes()))]
    plain = {name.name for node in nodes if isinstance(node, ast.Import) for name in node.names}
    whole = plain | {node.module for node in nodes if isinstance(node, ast.ImportFrom) and node.module}
    return {module.split(".")[0] for module in whole}


@pytest.mark.parametrize("extent", LOCKS)
def test_every_dependency_of_the_project_is_locked(extent):
    assert declared()[extent] - versions(extent).keys() == set(), "remake the locks"


@pytest.mark.parametrize(
    ("folder", "extent"),
    [("siteapp", "runtime"), ("seed_demo", "runtime"), ("migrations", "runtime"), ("tests", "tests")],
)
def test_nothing_is_imported_that_the_project_does_not_ask_for(folder, extent):
    known = packages_distributions()
    foreign = imported(folder) - sys.stdlib_module_names - {"siteapp", "seed_demo", "tests"}
    asked = {known.get(module, [module])[0].lower().replace("_", "-") for module in foreign}
    assert asked - declared()[extent] == set()


def test_the_packaged_sqlite_is_asked_for_only_where_it_has_a_wheel():
    block = next(rest for name, _version, rest in BLOCK.findall(text_of("runtime")) if name == "pysqlite3")
    for machine in (
        "'x86_64' and sys_platform == 'linux'",
        "'arm64' and sys_platform == 'darwin'",
        "'AMD64' and sys_platform == 'win32'",
    ):
        assert f"platform_machine == {machine}" in block
