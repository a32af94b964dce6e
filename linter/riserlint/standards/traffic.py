"""What a stream takes on a link: the octets round its payload, and the least rate of a link."""

from riserlint.standards.record import Citation, Limit, Table

FRAME_PAYLOAD = Limit(
    name="octets that a full Ethernet frame carries",
    value=1500,
    unit="octet",
    citation=Citation("IEEE Std 802.3", "", "3.2.7"),
    known="published",
    source="RFC 894, public, restates it",
)
FRAME_AROUND = Limit(
    name="octets round them on the wire: preamble and delimiter 8, head 14, check 4, gap 12",
    value=38,
    unit="octet",
    citation=Citation("IEEE Std 802.3", "", "3.1.1, 4.4.2"),
    known="published",
    source="public lessons on Ethernet framing give the four",
    note="a VLAN tag adds 4",
)
PACKET_HEADS = Limit(
    name="octets of the heads of IP and TCP in a full frame, without options",
    value=40,
    unit="octet",
    citation=Citation("RFC 791, RFC 9293", "", "3.1; 3.1"),
    known="published",
    source="the RFCs, public: 20 octets each",
    note="of UDP and RTP they are 20 + 8 + 12, the same",
)
LEAST_MBPS = Limit(
    name="least rate of a link over balanced cable",
    value=10,
    unit="Mbit/s",
    citation=Citation("IEEE Std 802.3", "", "14, 147"),
    known="published",
    source="public lists of the physical layers of Ethernet: 10BASE-T, 10BASE-T1",
    note="over one or two pairs; what both ends agree on is mostly more",
)
RATES: Table[tuple[int, ...]] = Table(
    name="rates of links over balanced cable and over fibre",
    columns=("Mbit/s",),
    rows=(10, 100, 1000, 2500, 5000, 10_000, 25_000, 40_000, 100_000),
    citation=Citation("IEEE Std 802.3", "2022", "14, 25, 40, 126, 55, 113, 80"),
    known="published",
    source="public lists of the physical layers of Ethernet",
)
