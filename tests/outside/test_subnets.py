"""Subnets against Python's own ``ipaddress`` and against what the RFCs say of sizes.

RFC 4632, section 3.1: a prefix of n bits has 2^(32 − n) addresses; RFC 1122, 3.2.1.3: the first and the last are no
hosts; RFC 3021: of 31 bits both are; RFC 4291, 2.6.1: the first of an IPv6 subnet is that of its routers.
"""

import ipaddress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserlint.engineering.subnets import IpRange, Subnet, free_address, hosts_of, overlaps, prefix_for

ip_v4 = st.integers(0, 2**32 - 1)


@st.composite
def subnets_v4(draw: st.DrawFn, least: int = 0) -> ipaddress.IPv4Network:
    return ipaddress.IPv4Network((draw(ip_v4), draw(st.integers(least, 32))), strict=False)


@pytest.mark.parametrize(
    ("prefix", "hosts"),
    [
        ("192.0.2.0/24", 254),
        ("192.0.2.0/30", 2),
        ("192.0.2.0/31", 2),
        ("192.0.2.1/32", 1),
        ("10.0.0.0/8", 2**24 - 2),
        ("2001:db8::/64", 2**64 - 1),
        ("2001:db8::/127", 2),
    ],
)
def test_a_prefix_has_so_many_hosts(prefix: str, hosts: int) -> None:
    assert hosts_of(ipaddress.ip_network(prefix)).size == hosts


@given(subnets_v4(22))
def test_hosts_are_those_of_the_library(subnet: ipaddress.IPv4Network) -> None:
    known = list(subnet.hosts())
    found = hosts_of(subnet)
    assert (found.first, found.last, found.size) == (known[0], known[-1], len(known))


@given(st.integers(1, 2**20))
def test_the_prefix_for_a_number_of_hosts_holds_them_and_one_bit_more_does_not(count: int) -> None:
    bits = prefix_for(count, 4)
    assert bits is not None
    assert hosts_of(ipaddress.IPv4Network((0, bits))).size >= count
    assert bits == 32 or hosts_of(ipaddress.IPv4Network((0, bits + 1))).size < count


@given(st.lists(subnets_v4(), max_size=12))
def test_overlaps_are_those_of_the_library_for_every_pair(drawn: list[ipaddress.IPv4Network]) -> None:
    named: list[tuple[str, Subnet]] = [(str(index), subnet) for index, subnet in enumerate(drawn)]
    expected = {
        frozenset((one, other))
        for index, (one, first) in enumerate(named)
        for other, second in named[index + 1 :]
        if first.overlaps(second)
    }
    found = [frozenset(pair) for pair in overlaps(named)]
    assert len(found) == len(set(found))
    assert set(found) == expected


@given(
    subnets_v4(26),
    st.sets(st.integers(0, 63)),
    st.lists(st.tuples(st.integers(0, 63), st.integers(0, 63)), max_size=3),
)
def test_the_free_address_is_the_first_one_that_nobody_has(
    subnet: ipaddress.IPv4Network, taken: set[int], pools: list[tuple[int, int]]
) -> None:
    base = int(subnet.network_address)
    if base + 64 > 2**32:
        return
    used = {ipaddress.IPv4Address(base + number) for number in taken}
    ranges = [
        IpRange(ipaddress.IPv4Address(base + min(pair)), ipaddress.IPv4Address(base + max(pair)))
        for pair in pools
    ]
    expected = next(
        (ip for ip in subnet.hosts() if ip not in used and not any(span.holds(ip) for span in ranges)), None
    )
    assert free_address(subnet, used, ranges) == expected
