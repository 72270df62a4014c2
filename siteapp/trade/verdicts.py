"""The three answers of every check and verdict. Missing or unmeasured input is *cannot tell*, never *met*."""

from __future__ import annotations

from typing import Final, Literal

Verdict = Literal["met", "not met", "cannot tell"]

MET: Final = "met"
NOT_MET: Final = "not met"
CANNOT_TELL: Final = "cannot tell"
