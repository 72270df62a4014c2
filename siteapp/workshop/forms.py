"""What may be typed about the workshop."""

from __future__ import annotations

import re
from ipaddress import ip_address
from urllib.parse import urlsplit

from siteapp.web.fields import RoomForm, Words
from siteapp.web.i18n import _, _l

# An address of a local network or hotspot dies with it; a label outlives both.
PASSING = re.compile(r"(^|\.)(localhost|local|lan|home|internal|home\.arpa)$")
QR_CHARACTERS = re.compile(r"[A-Z0-9$%*+\-./:]+")


class WorkshopForm(RoomForm):
    """Name and lasting address."""

    waits = False

    name = Words(_l("The workshop's name"), longest=120, hint=_l("Printed on labels."))
    link_base = Words(
        _l("Lasting web address"),
        longest=100,
        autocomplete="url",
        hint=_l(
            "Only an address that will still be yours in ten years, such as https://example.org. Else leave it empty."
        ),
    )

    def validate_link_base(self, field: Words) -> None:
        """Refuse what is no address, or one that will not last."""
        if not field.data:
            return
        parts = urlsplit(field.data)
        if (
            parts.scheme not in {"http", "https"}
            or not parts.hostname
            or parts.query
            or parts.fragment
            or parts.username
        ):
            field.refuse(
                _("Lasting web address: “%(typed)s” is not one. Give it like https://example.org.", typed=field.data)
            )
        elif _passing(parts.hostname):
            field.refuse(
                _("Lasting web address: “%(typed)s” belongs to a local network and will not last.", typed=field.data)
            )
        elif not QR_CHARACTERS.fullmatch(field.data.upper()):
            field.refuse(
                _("Lasting web address: “%(typed)s” has characters that make its code too dense.", typed=field.data)
            )
        else:
            field.data = field.data.rstrip("/")


def _passing(host: str) -> bool:
    try:
        return not ip_address(host).is_global
    except ValueError:
        return PASSING.search(host) is not None or "." not in host
