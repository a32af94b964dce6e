"""Addresses: how many a prefix holds, which of them no host may have, and what keeps two hosts from sharing one."""

from riserlint.standards.record import Citation, Limit

V4_BITS = Limit(
    name="length of an IPv4 address",
    value=32,
    unit="bit",
    citation=Citation("RFC 791", "", "3.2"),
    known="published",
    source="the RFC, public",
)
V6_BITS = Limit(
    name="length of an IPv6 address",
    value=128,
    unit="bit",
    citation=Citation("RFC 4291", "", "2"),
    known="published",
    source="the RFC, public",
)
V4_NOT_FOR_HOSTS = Limit(
    name="addresses of an IPv4 subnet that no host may have: the first (the subnet itself), the last (all hosts)",
    value=2,
    unit="addresses",
    citation=Citation("RFC 1122", "", "3.2.1.3"),
    known="published",
    source="the RFC, public",
    note="on a prefix of 31 bits both are hosts (RFC 3021), one of 32 bits is a host",
)
V4_POINT_TO_POINT_BITS = Limit(
    name="length of an IPv4 prefix of two hosts",
    value=31,
    unit="bit",
    citation=Citation("RFC 3021", "", "2.1"),
    known="published",
    source="the RFC, public",
)
V6_NOT_FOR_HOSTS = Limit(
    name="addresses of an IPv6 subnet that no host may have: the first, which is that of its routers",
    value=1,
    unit="addresses",
    citation=Citation("RFC 4291", "", "2.6.1"),
    known="published",
    source="the RFC, public",
    note="on a prefix of 127 bits between routers both are used (RFC 6164)",
)
V6_POINT_TO_POINT_BITS = Limit(
    name="length of an IPv6 prefix between two routers",
    value=127,
    unit="bit",
    citation=Citation("RFC 6164", "", "6"),
    known="published",
    source="the RFC, public",
)
HOSTS_OF_ONE_ADDRESS = Limit(
    name="hosts on one link that may use an address",
    value=1,
    unit="host",
    citation=Citation("RFC 5227", "", "1"),
    known="published",
    source="the RFC, public",
    note="two that do keep each other from talking, on and off, without a cause that shows",
)
CLIENTS_OF_ONE_ADDRESS = Limit(
    name="clients of address servers that may have an address at one time",
    value=1,
    unit="client",
    citation=Citation("RFC 2131", "", "1.6"),
    known="published",
    source="the RFC, public",
    note="the server knows nothing of addresses that were typed in by hand, unless they are kept out of its pool",
)
#: The longest prefix that holds an address decides where a packet goes: of two that overlap one is never reached.
LONGEST_MATCH = Citation("RFC 4632", "", "5.1")
#: A request for an address is a broadcast: past its own network only a relay carries it.
RELAYED = Citation("RFC 1542", "", "1.1, 4")
#: A host sends to its own subnet by itself, to every other one over a gateway.
OVER_A_GATEWAY = Citation("RFC 1122", "", "3.3.1.1")
