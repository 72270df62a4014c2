"""Which check lists there are: those that ship, and the workshop's own in its data folder, which go before them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from siteapp.checks import lists, places
from siteapp.checks.lists import Fault, ListFile, ListProblem
from siteapp.pieces.models import STANDS
from siteapp.store.db import data_folder

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy.orm import Session

    from siteapp.pieces.models import Particulars

FOLDER = Path(__file__).with_name("lists")
OWN = "lists"  # folder of the workshop's own lists in its data folder
POINTS = "points"  # what was recorded before there were several lists a stage
# Working order within a stage; the workshop's own lists come after these, by name.
ORDER = (
    "week-before",
    "consent",
    "contractor",
    "contractor-above",
    "hangs",
    "before-the-van",
    "unwrapping",
    "points",
    "rails",
    "free-standing",
    "suspended",
    "heat",
)


@dataclass(frozen=True)
class Shelved:
    """One list that is used, or a file that should be one and is not: `problem` says why. `own` is the workshop's."""

    key: str
    file: Path
    own: bool
    replaces: bool  # it stands in the place of one that ships
    found: ListFile | None
    problem: ListProblem | None

    def applies(self, stage: str, said: Particulars | None) -> bool:
        """Whether it is, or may be, for this stage of this piece. What cannot be read may be for any."""
        meant = self.found or (self.problem.meant if self.problem else None)
        if meant is None:
            return True
        near = said.near_heat if said else None
        return meant.stage == stage and meant.applies(said.stands if said else None, near)


def shelf(session: Session) -> tuple[Shelved, ...]:
    """Every list in working order: as many files as there are, broken ones too."""
    own = data_folder(session)
    return read_folders(FOLDER, own / OWN if own else None)


def read_folders(ships: Path, own: Path | None) -> tuple[Shelved, ...]:
    """The lists of two folders. A file of the second takes the place of one of the same name in the first.

    A broken file of the second is not used, and neither is the one whose place it takes: which of the two is meant
    nobody can tell.
    """
    shipped = {file.stem: file for file in _files(ships)}
    owned = {file.stem: file for file in _files(own)} if own else {}
    keys = sorted({**shipped, **owned}, key=lambda key: (ORDER.index(key) if key in ORDER else len(ORDER), key))
    return tuple(_shelved(key, owned.get(key), shipped.get(key)) for key in keys)


def for_piece(shelved: Iterable[Shelved], stage: str, said: Particulars | None) -> tuple[Shelved, ...]:
    """The lists, and the files that may be lists, of one stage for a piece with these particulars."""
    return tuple(one for one in shelved if one.applies(stage, said))


def _files(folder: Path) -> list[Path]:
    try:
        return sorted(file for file in folder.iterdir() if file.suffix == ".toml" and not file.name.startswith("."))
    except OSError:
        return []


def _shelved(key: str, own: Path | None, shipped: Path | None) -> Shelved:
    file = own or shipped
    assert file is not None  # noqa: S101 - a key comes from one of the two
    found, problem = _found(file)
    if own and shipped:
        before, _none = _found(shipped)
        if found and before:
            problem = _lost(found, before, own)
            found = None if problem else found
        elif problem and problem.meant is None:
            # It stands for the same pieces as the one whose place it takes, as far as anybody can tell.
            problem.meant = before
    return Shelved(key, file, own is not None, own is not None and shipped is not None, found, problem)


def _lost(found: ListFile, before: ListFile, file: Path) -> ListProblem | None:
    """What is wrong with a list in the place of another that is for fewer pieces: some would be left with no checks."""
    missing = [way for way in before.stands or STANDS if found.stands and way not in found.stands]
    told = {
        "stage": f"is “{found.stage}”; the list whose place it takes is for “{before.stage}”",
        "stands": f"leaves out {', '.join(missing)}, for which the list is whose place it takes",
        "heat": "is true; the list whose place it takes is for pieces away from heat too",
    }
    wrong = {"stage": found.stage != before.stage, "stands": bool(missing), "heat": found.heat and not before.heat}
    where = places.find(file.read_text(encoding="utf-8"))
    faults = [Fault(file.name, where.line(0, field), field, told[field]) for field in told if wrong[field]]
    return ListProblem(faults, before) if faults else None


def _found(file: Path) -> tuple[ListFile | None, ListProblem | None]:
    try:
        return _read(file.read_bytes(), file.name), None
    except OSError as error:
        return None, ListProblem([Fault(file.name, None, "it", f"cannot be read ({error.strerror})")])
    except ListProblem as error:
        return None, error


_read = lru_cache(maxsize=200)(lists.read)  # every page of checks asks; reading the TOML again is what takes long
