"""What stands against *met*, collected; the worst of it decides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from siteapp.trade.verdicts import Verdict


class Findings:
    """Reasons against *met*, in the order found. Without any the verdict is *met*; one *not met* outranks the rest."""

    def __init__(self) -> None:
        self.reasons: list[str] = []
        self.verdict: Verdict = MET

    def cannot_tell(self, reason: str) -> None:
        """Something is missing or lies outside what can be judged."""
        self.reasons.append(reason)
        if self.verdict == MET:
            self.verdict = CANNOT_TELL

    def not_met(self, reason: str) -> None:
        """Something is plainly against it."""
        self.reasons.append(reason)
        self.verdict = NOT_MET
