"""Which of this machine's IPv4 addresses a phone can reach, the likeliest first. Asks the system only, sends nothing.

Standard library only.
"""

from __future__ import annotations

import contextlib
import re
import socket
import struct
import sys
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv4Network, ip_address
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

# RFC 1918 section 3. `IPv4Address.is_private` is wider: it counts addresses for documentation and the like.
PRIVATE = tuple(map(IPv4Network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16")))
LINK_LOCAL = IPv4Network("169.254.0.0/16")  # RFC 3927 section 2.1
# What systems give themselves when they share their connection, and the network that a phone shares: common practice.
OWN_HOTSPOT = re.compile(r"10\.42\.\d+\.1|192\.168\.137\.1")
PHONES_HOTSPOT = IPv4Network("172.20.10.0/28")
FIRST_OF_NETWORK = re.compile(r"192\.168\.\d+\.1")
# Networks of virtual machines by their usual addresses, for systems that do not say an interface's name.
MACHINES_ONLY = {"192.168.56.1", "192.168.122.1"}
# Containers, virtual machines, private networks over the internet: no phone is at their other end. Common practice.
INSIDE = re.compile(
    r"docker|br-[0-9a-f]|veth|virbr|vnet|vmnet|vboxnet|podman|cni|flannel|cali|lxc|lxd|kube"
    r"|tun|tap|utun|wg|ppp|ipsec|zt|awdl|llw"
)
WIRELESS = re.compile(r"wl|ap\d|ath|bridge100")

# <sys/ioctl.h> of each system, from memory.
LINUX_ALL, LINUX_FLAGS, LINUX_UP, LINUX_POINT_TO_POINT = 0x8912, 0x8913, 0x1, 0x10
LINUX_ENTRY_BYTES = 40 if struct.calcsize("P") == 8 else 32  # noqa: PLR2004 - a pointer of 64 bits
DARWIN_ONE = 0xC0206921
MOST = 128


@dataclass(frozen=True)
class Address:
    """One IPv4 address of this machine and the interface that has it ("" where the system does not say)."""

    interface: str
    address: str

    @property
    def kind(self) -> str:
        """What it looks like, in words for a person."""
        return KINDS[_rank(self)]


KINDS = (
    "a hotspot, by its address",
    "perhaps a hotspot",
    "a network at this place",
    "a cable or Wi-Fi without a router",
    "a public network",
)
PUBLIC = len(KINDS) - 1


def for_phones(found: Iterable[Address], *, public: bool = False) -> list[Address]:
    """Those of `found` that a phone nearby can reach, the likeliest first.

    An address beyond RFC 1918 and RFC 3927 is left out unless `public`; loopback and container networks always are.
    """
    usable = [one for one in found if _usable(one) and (public or _rank(one) != PUBLIC)]
    usable.sort(key=_order)
    # Two interfaces may have the same address (a bridge and what it bridges, a copy of a connection).
    first: dict[str, Address] = {}
    for one in usable:
        first.setdefault(one.address, one)
    return list(first.values())


def own() -> list[Address]:
    """Every IPv4 address of an interface that is up."""
    try:
        if sys.platform == "linux":
            return list(_linux())
        if sys.platform == "darwin":
            return list(_darwin())
        return [Address("", address) for address in socket.gethostbyname_ex(socket.gethostname())[2]]
    except OSError:
        return []


def _usable(one: Address) -> bool:
    address = ip_address(one.address)
    if address.is_loopback or address.is_unspecified or address.is_multicast:
        return False
    return not INSIDE.match(one.interface)


def _order(one: Address) -> tuple[int, bool, IPv4Address, str]:
    return _rank(one), not WIRELESS.match(one.interface), IPv4Address(one.address), one.interface


def _rank(one: Address) -> int:
    address = IPv4Address(one.address)
    if OWN_HOTSPOT.fullmatch(one.address) or address in PHONES_HOTSPOT:
        return 0
    if one.interface == "bridge100" or (FIRST_OF_NETWORK.fullmatch(one.address) and one.address not in MACHINES_ONLY):
        return 1
    if any(address in network for network in PRIVATE):
        return 2
    return 3 if address in LINK_LOCAL else PUBLIC


def _linux() -> Iterator[Address]:
    """By SIOCGIFCONF, which tells every address of every interface, also a second one (netdevice(7))."""
    import array
    import fcntl

    room = array.array("B", bytes(MOST * LINUX_ENTRY_BYTES))
    where, _length = room.buffer_info()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        answer = fcntl.ioctl(asking, LINUX_ALL, struct.pack("iP", len(room), where))
        (used, _where) = struct.unpack("iP", answer)
        told = room.tobytes()[:used]
        for start in range(0, used, LINUX_ENTRY_BYTES):
            name = told[start : start + 16].split(b"\0")[0]
            address = socket.inet_ntoa(told[start + 20 : start + 24])
            # OSError: the interface went away meanwhile. A second address may go by `name:label`.
            with contextlib.suppress(OSError):
                flags = fcntl.ioctl(asking, LINUX_FLAGS, struct.pack("16s24x", name.split(b":")[0]))
                (state,) = struct.unpack("16xH22x", flags)
                if state & LINUX_UP and not state & LINUX_POINT_TO_POINT:
                    yield Address(name.decode("ascii", "replace"), address)


def _darwin() -> Iterator[Address]:
    import fcntl

    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        for _number, name in socket.if_nameindex():
            # OSError: an interface without an IPv4 address.
            with contextlib.suppress(OSError):
                answer = fcntl.ioctl(asking, DARWIN_ONE, struct.pack("16s16x", name.encode()[:15]))
                yield Address(name, socket.inet_ntoa(answer[20:24]))
