"""What goes wrong on a day: each kind of cut, how it begins, and how it ends."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from playwright.sync_api import Error

from tests.soak.hands import CannotNow

if TYPE_CHECKING:
    import random
    from collections.abc import Sequence

    from tests.soak.hands import Hands
    from tests.soak.workshop import Fitter
    from tests.support.lan import Laptop

LAPTOP_KILLED = "laptop's program killed"
LAPTOP_ASLEEP = "laptop asleep"
NO_WIFI = "phone's network off"
OUT_OF_REACH = "phone out of reach"
ANSWER_LOST = "answer lost"
UPLOAD_TORN = "sending torn off"
SLOW = "slow air"
TAB_CLOSED = "tab closed"
BROWSER_KILLED = "browser killed"
RELOADED = "page loaded again"
SIGNED_OUT = "signed out"
SOMEBODY_ELSE = "somebody else signed in"
# How often each is drawn, of all; what the issue names comes oftenest.
SHARES = {
    LAPTOP_KILLED: 18,
    LAPTOP_ASLEEP: 8,
    NO_WIFI: 12,
    OUT_OF_REACH: 8,
    ANSWER_LOST: 12,
    UPLOAD_TORN: 8,
    SLOW: 4,
    TAB_CLOSED: 12,
    BROWSER_KILLED: 6,
    RELOADED: 8,
    SIGNED_OUT: 6,
    SOMEBODY_ELSE: 6,
}
# These may strike in the very moment after something was pressed.
AT_ONCE = (LAPTOP_KILLED, NO_WIFI, OUT_OF_REACH, TAB_CLOSED, BROWSER_KILLED, RELOADED, LAPTOP_ASLEEP)
LASTING = {LAPTOP_KILLED, LAPTOP_ASLEEP, NO_WIFI, OUT_OF_REACH, SLOW}
OF_LAPTOP = {LAPTOP_KILLED, LAPTOP_ASLEEP}


@dataclass
class Trouble:
    """All that is wrong at the moment, and how often each kind was so far."""

    laptop: Laptop
    phones: Sequence[Hands]
    fitters: Sequence[Fitter]
    rng: random.Random
    counts: Counter[str] = field(default_factory=Counter)
    lasting: dict[tuple[str, int], int] = field(default_factory=dict)  # kind and phone -> steps that it still lasts

    def reaches(self, phone: int) -> bool:
        """Whether a page of the laptop can be opened on a phone."""
        return not any(kind != SLOW and (kind in OF_LAPTOP or of == phone) for kind, of in self.lasting)

    def fair(self, phone: int) -> bool:
        """Whether nothing at all is wrong for a phone."""
        hands = self.phones[phone]
        weather = hands.phone.weather()
        away = any(kind in OF_LAPTOP or of == phone for kind, of in self.lasting)
        return not away and not weather["lose"] and not weather["tear"]

    def begin(self, kind: str, phone: int) -> bool:
        """Let something go wrong; gives whether it did (what is wrong already, or needs the laptop, may not)."""
        of = 0 if kind in OF_LAPTOP else phone
        if kind in LASTING:
            if (kind, of) in self.lasting or (kind in OF_LAPTOP and not self._serves()):
                self.end(kind, of)
            self._start(kind, of)
            self.lasting[kind, of] = self.rng.choice((0, 0, 1, 2, 3, 4))
        elif not self._strike(kind, phone):
            return False
        self.counts[kind] += 1
        return True

    def _serves(self) -> bool:
        return (LAPTOP_KILLED, 0) not in self.lasting and (LAPTOP_ASLEEP, 0) not in self.lasting

    def _start(self, kind: str, phone: int) -> None:
        one = self.phones[phone].phone
        if kind == LAPTOP_KILLED:
            self.end(LAPTOP_ASLEEP, 0)
            self.laptop.kill()
        elif kind == LAPTOP_ASLEEP:
            self.end(LAPTOP_KILLED, 0)
            self.laptop.sleep()
        elif kind == NO_WIFI:
            one.wifi(on=False)
        elif kind == OUT_OF_REACH:
            one.in_reach(yes=False)
        else:
            one.weather(delay_s=0.15, bytes_per_s=400_000)

    def end(self, kind: str, phone: int) -> None:
        """Put something right that lasted."""
        if self.lasting.pop((kind, phone), None) is None:
            return
        one = self.phones[phone].phone
        if kind == LAPTOP_KILLED:
            self.laptop.start()
        elif kind == LAPTOP_ASLEEP:
            self.laptop.wake()
        elif kind == NO_WIFI:
            one.wifi(on=True)
        elif kind == OUT_OF_REACH:
            one.in_reach(yes=True)
        else:
            one.weather(delay_s=0, bytes_per_s=0)

    def step(self) -> None:
        """One step of the day goes by."""
        for (kind, phone), left in list(self.lasting.items()):
            if left <= 0:
                self.end(kind, phone)
            else:
                self.lasting[kind, phone] = left - 1

    def clear(self, phone: int | None = None) -> None:
        """Everything is put right, for one phone or for all."""
        for kind, of in list(self.lasting):
            if phone is None or kind in OF_LAPTOP or of == phone:
                self.end(kind, of)
        if phone is None:
            for hands in self.phones:
                hands.phone.weather(lose=0, tear=0, delay_s=0, bytes_per_s=0)

    def _strike(self, kind: str, phone: int) -> bool:
        """What is over as soon as it has happened."""
        hands = self.phones[phone]
        if kind == ANSWER_LOST:
            # A browser sends again by itself when a connection that it kept open dies, on each that it kept.
            hands.phone.weather(lose=self.rng.choice((1, 3, 7)))
        elif kind == UPLOAD_TORN:
            hands.phone.weather(tear=self.rng.choice((1, 3, 7)), tear_after_bytes=self.rng.choice((300, 2_000, 60_000)))
        elif kind == TAB_CLOSED:
            hands.close_tab()
        elif kind == BROWSER_KILLED:
            hands.kill_browser()
        elif not hands.phone.has_tab:
            return False
        elif kind == RELOADED:
            self._reload(hands)
        else:
            return self._sign(hands, kind)
        return True

    def _reload(self, hands: Hands) -> None:
        try:
            hands.phone.reload(seconds=4)
        except Error:
            # No laptop, no page: what a person gets who does it all the same.
            hands.close_tab()

    def _sign(self, hands: Hands, kind: str) -> bool:
        phone = hands.phone.number
        if not self.reaches(phone):
            self.clear(phone)
        try:
            hands.go("/")
            hands.sign_out()
            if kind == SOMEBODY_ELSE:
                hands.holder = self.rng.choice([one for one in self.fitters if one != hands.holder])
                hands.go("/")
        except (CannotNow, Error):
            return False
        return True
