"""Subnets: how many hosts a prefix holds, which addresses are hosts, free addresses, overlapping ranges."""

from collections.abc import Collection, Iterable
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network
from typing import NamedTuple

from riserlint.standards import addresses as limits

Ip = IPv4Address | IPv6Address
Subnet = IPv4Network | IPv6Network


class IpRange(NamedTuple):
    """Addresses from the first to the last, both included, of one version."""

    first: Ip
    last: Ip

    def holds(self, ip: Ip) -> bool:
        """Return whether an address is one of them."""
        return ip.version == self.first.version and int(self.first) <= int(ip) <= int(self.last)

    @property
    def size(self) -> int:
        """How many they are."""
        return int(self.last) - int(self.first) + 1

    def meets(self, other: "IpRange") -> bool:
        """Return whether the two have an address in common."""
        return self.holds(other.first) or other.holds(self.first)


def hosts_of(subnet: Subnet) -> IpRange:
    """Return the addresses of a subnet that hosts may have.

    IPv4: all but the first and the last, of a prefix of 31 bits both, of 32 bits the one. IPv6: all but the first, of
    127 bits both. Sources: RFC 1122 3.2.1.3, RFC 3021, RFC 4291 2.6.1, RFC 6164.
    """
    first, last = int(subnet.network_address), int(subnet.broadcast_address)
    of_kind = subnet.network_address.__class__
    if subnet.version == 4 and subnet.prefixlen < limits.V4_POINT_TO_POINT_BITS.value:
        return IpRange(of_kind(first + 1), of_kind(last - 1))
    if subnet.version == 6 and subnet.prefixlen < limits.V6_POINT_TO_POINT_BITS.value:
        return IpRange(of_kind(first + 1), of_kind(last))
    return IpRange(of_kind(first), of_kind(last))


def free_address(subnet: Subnet, taken: Collection[Ip], apart_from: Iterable[IpRange]) -> Ip | None:
    """Return the first address of a subnet that a host may have, nobody has, and that lies in none of some ranges."""
    hosts = hosts_of(subnet)
    ranges = sorted((found for found in apart_from if found.meets(hosts)), key=lambda found: int(found.first))
    number = int(hosts.first)
    for _ in range(len(taken) + len(ranges) + 1):
        here = hosts.first.__class__(number)
        inside = next((found for found in ranges if found.holds(here)), None)
        if inside is not None:
            number = int(inside.last) + 1
        elif here in taken:
            number += 1
        else:
            return here
        if number > int(hosts.last):
            return None
    return None


def prefix_for(count: int, version: int) -> int | None:
    """Return the length in bits of the longest prefix whose subnet holds so many hosts; None where none does."""
    bits = int(limits.V4_BITS.value if version == 4 else limits.V6_BITS.value)
    kind = IPv4Network if version == 4 else IPv6Network
    for length in range(bits, -1, -1):
        if hosts_of(kind((0, length))).size >= count:
            return length
    return None


def overlaps(subnets: Iterable[tuple[str, Subnet]]) -> list[tuple[str, str]]:
    """Return the pairs of names whose subnets overlap: of two prefixes one then lies in the other.

    Sorted by their first address, each is held against those that are not over yet alone.
    """
    found: list[tuple[str, str]] = []
    around: list[tuple[str, Subnet]] = []
    for name, subnet in sorted(
        subnets, key=lambda item: (item[1].version, int(item[1].network_address), item[1].prefixlen)
    ):
        around = [
            (other, wider)
            for other, wider in around
            if wider.version == subnet.version and int(subnet.network_address) <= int(wider.broadcast_address)
        ]
        found.extend((other, name) for other, _ in around)
        around.append((name, subnet))
    return found
