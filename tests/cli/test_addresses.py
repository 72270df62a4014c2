"""Which addresses a phone can reach, and which of them is shown first. Interfaces are invented."""

from __future__ import annotations

import ipaddress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.cli.addresses import Address, for_phones

# Read in RFC 1918 section 3 (first and last of each block) and RFC 3927 section 2.1.
PRIVATE = ["10.0.0.0", "10.255.255.255", "172.16.0.0", "172.31.255.255", "192.168.0.0", "192.168.255.255"]
BESIDE_PRIVATE = ["9.255.255.255", "11.0.0.0", "172.15.255.255", "172.32.0.0", "192.167.255.255", "192.169.0.0"]
LINK_LOCAL = ["169.254.0.0", "169.254.255.255"]
BESIDE_LINK_LOCAL = ["169.253.255.255", "169.255.0.0"]
# RFC 5737 (documentation) and RFC 6598 (shared by providers): not private, though no public host has them either.
NOT_PRIVATE_EITHER = ["192.0.2.1", "198.51.100.1", "203.0.113.1", "100.64.0.1"]

one_address = st.builds(
    Address,
    st.sampled_from(["eth0", "wlan0", "docker0", "lo", "", "wlp3s0", "tun0"]),
    st.ip_addresses(v=4).map(str) | st.sampled_from([*PRIVATE, *LINK_LOCAL, "10.42.0.1", "127.0.0.1"]),
)


def shown(*pairs: tuple[str, str], public: bool = False) -> list[str]:
    return [one.address for one in for_phones([Address(*pair) for pair in pairs], public=public)]


@pytest.mark.parametrize("address", PRIVATE + LINK_LOCAL)
def test_an_address_that_no_router_passes_on_is_shown(address):
    assert shown(("eth0", address)) == [address]


@pytest.mark.parametrize("address", BESIDE_PRIVATE + BESIDE_LINK_LOCAL + NOT_PRIVATE_EITHER)
def test_an_address_that_may_be_public_is_not_served_unless_asked_for(address):
    assert shown(("eth0", address)) == []
    assert shown(("eth0", address), public=True) == [address]


@pytest.mark.parametrize(
    "interface",
    ["docker0", "br-4f1c22a0b7de", "veth12ab34c", "virbr0", "tun0", "tap0", "wg0", "utun3", "vmnet8", "vboxnet0"],
)
def test_networks_inside_this_machine_and_through_the_internet_are_left_out(interface):
    assert shown((interface, "192.168.7.1"), public=True) == []


def test_loopback_is_left_out_whatever_its_interface_is_called():
    assert shown(("lo", "127.0.0.1"), ("lo0", "127.0.1.1"), ("", "127.9.9.9"), public=True) == []


def test_a_bridge_of_the_house_is_a_network_like_any_other():
    assert shown(("br0", "192.168.1.20")) == ["192.168.1.20"]


# The addresses that systems give themselves when they share a connection: common practice.
@pytest.mark.parametrize("hotspot", ["10.42.0.1", "192.168.137.1", "172.20.10.2"])
def test_a_hotspots_address_comes_before_every_other(hotspot):
    others = [("eth0", "192.168.1.1"), ("eth1", "10.0.0.5"), ("eth2", "169.254.8.9"), ("eth3", "203.0.113.4")]
    assert shown(*others, ("wlan0", hotspot), public=True)[0] == hotspot


def test_the_rest_are_in_order_of_how_likely_a_phone_is_there():
    found = [("eth0", "169.254.8.9"), ("eth1", "10.0.0.5"), ("wlan0", "10.9.9.9"), ("ap0", "192.168.12.1")]
    assert shown(*found) == ["192.168.12.1", "10.9.9.9", "10.0.0.5", "169.254.8.9"]


def test_the_network_of_a_machine_in_the_machine_is_no_hotspot():
    assert shown(("", "192.168.56.1"), ("", "192.168.12.1"), ("", "192.168.8.30")) == [
        "192.168.12.1",
        "192.168.8.30",
        "192.168.56.1",
    ]


def test_an_address_that_two_interfaces_have_is_shown_once_by_the_likelier_one():
    found = [Address(name, "192.168.1.20") for name in ("eth0", "wlan0", "docker0")] + [Address("eth1", "192.168.1.9")]
    assert for_phones(found) == [Address("wlan0", "192.168.1.20"), Address("eth1", "192.168.1.9")]


@given(st.lists(one_address, max_size=8), st.booleans(), st.randoms())
def test_the_order_of_the_interfaces_changes_nothing(found, public, chance):
    shuffled = chance.sample(found, len(found))
    assert for_phones(shuffled, public=public) == for_phones(found, public=public)


@given(st.lists(one_address, max_size=8))
def test_nothing_is_made_up_and_nothing_shown_twice(found):
    told = for_phones(found)
    assert set(told) <= set(found)
    addresses = [one.address for one in told]
    assert len(addresses) == len(set(addresses))
    # The standard library's own lists (from IANA's registry of special purposes) as the outside judge.
    assert all(ipaddress.ip_address(one.address).is_private for one in told)
