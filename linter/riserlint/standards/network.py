"""VLAN identifiers, bridging limits, port hygiene and separation of roles, as the documents give them."""

from typing import Literal, NamedTuple

from riserlint.standards.record import Citation, Known, Limit, Table

# --- identifiers and frames ---------------------------------------------------------------------------

VLAN_ID_BITS = Limit(
    name="length of the VLAN identifier field",
    value=12,
    unit="bit",
    citation=Citation("IEEE Std 802.1Q", "", "VLAN tag, VLAN identifier"),
    known="published",
    source="encyclopedia text on IEEE 802.1Q",
)

VLAN_ID_FIRST = Limit(
    name="first usable VLAN identifier",
    value=1,
    unit="VLAN id",
    citation=Citation("IEEE Std 802.1Q", "", "reserved VID values"),
    known="published",
    source="encyclopedia text on IEEE 802.1Q",
)

VLAN_ID_LAST = Limit(
    name="last usable VLAN identifier",
    value=4094,
    unit="VLAN id",
    citation=Citation("IEEE Std 802.1Q", "", "reserved VID values"),
    known="published",
    source="encyclopedia text on IEEE 802.1Q",
    note="the range 1002 to 1005 is a reservation of single makes, not of the standard",
)

VLAN_ID_PRIORITY_TAG = Limit(
    name="VLAN identifier of a priority tag",
    value=0,
    unit="VLAN id",
    citation=Citation("IEEE Std 802.1Q", "2011", "Table 9-2"),
    known="published",
    source="a published glossary of access equipment that restates the table of the 1998 edition",
    note="names no VLAN: never a port's VLAN, never an entry of a filtering database",
)

VLAN_ID_RESERVED = Limit(
    name="VLAN identifier reserved for implementations",
    value=4095,
    unit="VLAN id",
    citation=Citation("IEEE Std 802.1Q", "2011", "Table 9-2"),
    known="published",
    source="a published glossary of access equipment and a public management information base description",
    note="never configured, never sent in a tag",
)

VLAN_ID_DEFAULT = Limit(
    name="default VLAN of a port",
    value=1,
    unit="VLAN id",
    citation=Citation("IEEE Std 802.1Q", "2011", "Table 9-2"),
    known="published",
    source="a published glossary of access equipment that restates the table of the 1998 edition",
    note="may be changed by port",
)

TAG_BYTES = Limit(
    name="length added by one VLAN tag",
    value=4,
    unit="byte",
    citation=Citation("IEEE Std 802.1Q", "", "VLAN tag"),
    known="published",
    source="a published lesson on VLAN tagging",
)

FRAME_BYTES_MAX = Limit(
    name="longest frame without a tag",
    value=1518,
    unit="byte",
    citation=Citation("IEEE Std 802.3", "", "maximum basic frame size"),
    known="published",
    source="a published lesson on VLAN tagging (1518, with one tag 1522)",
)

# --- spanning tree ------------------------------------------------------------------------------------

STP_DIAMETER_MAX = Limit(
    name="bridges between any two end stations, classic spanning tree with its default timers",
    value=7,
    unit="bridges",
    citation=Citation("IEEE Std 802.1D", "1998", "recommended timer values"),
    known="published",
    source="public study notes and a networking lessons forum",
    note="a recommendation; the rapid protocol counts the message age instead",
)

RSTP_MAX_AGE_DEFAULT = Limit(
    name="bridges after which rapid spanning tree information is dropped, default",
    value=20,
    unit="bridges",
    citation=Citation("IEEE Std 802.1D", "2004", "Table 17-1, Bridge Max Age"),
    known="published",
    source="a networking lessons forum and published switch timer pages; the table number is from memory",
)

RSTP_MAX_AGE_GREATEST = Limit(
    name="bridges after which rapid spanning tree information is dropped, greatest setting",
    value=40,
    unit="bridges",
    citation=Citation("IEEE Std 802.1D", "2004", "Table 17-1, Bridge Max Age"),
    known="published",
    source="a networking lessons forum and published switch timer pages; the table number is from memory",
)

MSTP_MAX_HOPS_DEFAULT = Limit(
    name="hops inside a multiple spanning tree region, default",
    value=20,
    unit="bridges",
    citation=Citation("IEEE Std 802.1Q", "", "MSTP, max hops"),
    known="published",
    source="a published manual page on multiple spanning tree",
)

CASCADE_DEPTH_HABIT = Limit(
    name="switches in series from the core in camera and access networks",
    value=3,
    unit="switches",
    citation=Citation("network planning in the trade", "", ""),
    known="common practice",
    source="no source; two to three: every further hop shares one uplink and one power path",
)

# --- what documents ask for ---------------------------------------------------------------------------


class Requirement(NamedTuple):
    """One sentence of a document that a design can keep or break, in our own words.

    ``severity`` is the document's own grade: the categories I to III of the DISA guides, ``""`` where a
    document grades nothing.
    """

    name: str
    condition: str
    severity: Literal["CAT I", "CAT II", "CAT III", ""]
    citation: Citation
    known: Known
    source: str
    note: str = ""


_SWITCH_GUIDE = "DISA Layer 2 Switch Security Requirements Guide"
_SWITCH_SOURCE = "public mirrors of the DISA library, version V3R4"


def _switch_guide(rule_id: str) -> Citation:
    return Citation(_SWITCH_GUIDE, "V3R4", rule_id)


PORT_AUTHENTICATION = Requirement(
    name="port authentication",
    condition="a port to an outlet, or to a device outside the telecommunications room, authenticates what "
    "is plugged in (IEEE 802.1X)",
    severity="CAT I",
    citation=_switch_guide("V-206647"),
    known="published",
    source=_SWITCH_SOURCE,
)

PORT_AUTHENTICATION_BYPASS = Requirement(
    name="port authentication bypass",
    condition="a device that cannot do IEEE 802.1X is admitted by its MAC address",
    severity="CAT II",
    citation=_switch_guide("V-206653"),
    known="published",
    source=_SWITCH_SOURCE,
)

UNUSED_PORT_VLAN = Requirement(
    name="unused port",
    condition="an unused port lies in an inactive VLAN that no trunk carries",
    severity="CAT II",
    citation=_switch_guide("V-206666"),
    known="published",
    source=_SWITCH_SOURCE,
    note="a port that is set up for IEEE 802.1X is exempt",
)

DEFAULT_VLAN_NOT_ON_HOST_PORT = Requirement(
    name="default VLAN on a host port",
    condition="no port to an end device lies in the default VLAN",
    severity="CAT II",
    citation=_switch_guide("V-206667"),
    known="published",
    source=_SWITCH_SOURCE,
    note="the id is inferred from the sequence; version V1R6 had the rule as V-62203",
)

DEFAULT_VLAN_PRUNED = Requirement(
    name="default VLAN on a trunk",
    condition="the default VLAN is taken off every trunk that does not need it",
    severity="CAT II",
    citation=_switch_guide("V-206668"),
    known="published",
    source=_SWITCH_SOURCE,
    note="the id is inferred from the sequence and from memory",
)

MANAGEMENT_NOT_IN_DEFAULT_VLAN = Requirement(
    name="management in the default VLAN",
    condition="switches are not managed over the default VLAN",
    severity="CAT II",
    citation=_switch_guide("V-206669"),
    known="published",
    source=_SWITCH_SOURCE,
)

USER_PORT_IS_ACCESS_PORT = Requirement(
    name="trunk to a user",
    condition="a port that faces a user is an access port, not a trunk",
    severity="CAT II",
    citation=_switch_guide("V-206670"),
    known="published",
    source=_SWITCH_SOURCE,
)

NATIVE_NOT_DEFAULT_VLAN = Requirement(
    name="untagged VLAN of a trunk",
    condition="the untagged (native) VLAN of a trunk is not the default VLAN",
    severity="CAT II",
    citation=_switch_guide("V-206671"),
    known="published",
    source=_SWITCH_SOURCE,
    note="the id is inferred from the sequence",
)

NO_ACCESS_PORT_IN_NATIVE_VLAN = Requirement(
    name="access port in a trunk's untagged VLAN",
    condition="no access port lies in the untagged (native) VLAN of a trunk",
    severity="CAT III",
    citation=_switch_guide("V-206672"),
    known="published",
    source=_SWITCH_SOURCE,
    note="double tagging needs exactly that port",
)

TRUNK_SET_STATICALLY = Requirement(
    name="negotiated trunk",
    condition="a trunk is set, not negotiated",
    severity="CAT II",
    citation=_switch_guide("rule ending in -000005"),
    known="published",
    source=_SWITCH_SOURCE,
)

SPANNING_TREE_ON_LOOPS = Requirement(
    name="spanning tree",
    condition="rapid spanning tree runs where VLANs span several switches with redundant links",
    severity="",
    citation=_switch_guide("rule ending in -000003"),
    known="published",
    source=_SWITCH_SOURCE,
)

SUBNETS_ISOLATED = Requirement(
    name="isolated subnets",
    condition="the subnets that the organisation names are separated, physically or logically",
    severity="",
    citation=_switch_guide("rule ending in -000120"),
    known="published",
    source=_SWITCH_SOURCE,
)

#: Every row of the switch guide that a design file can be held against.
PORT_HYGIENE: Table[tuple[Requirement, ...]] = Table(
    name="port hygiene of switches",
    columns=("name", "condition", "severity", "citation", "known", "source", "note"),
    rows=(
        PORT_AUTHENTICATION,
        PORT_AUTHENTICATION_BYPASS,
        UNUSED_PORT_VLAN,
        DEFAULT_VLAN_NOT_ON_HOST_PORT,
        DEFAULT_VLAN_PRUNED,
        MANAGEMENT_NOT_IN_DEFAULT_VLAN,
        USER_PORT_IS_ACCESS_PORT,
        NATIVE_NOT_DEFAULT_VLAN,
        NO_ACCESS_PORT_IN_NATIVE_VLAN,
        TRUNK_SET_STATICALLY,
        SPANNING_TREE_ON_LOOPS,
        SUBNETS_ISOLATED,
    ),
    citation=Citation(_SWITCH_GUIDE, "V3R4", ""),
    known="published",
    source=_SWITCH_SOURCE,
)

NATIVE_MISMATCH = Requirement(
    name="two untagged VLANs on one trunk",
    condition="both ends of a trunk have the same untagged VLAN; two different ones join two VLANs",
    severity="",
    citation=Citation("IEEE Std 802.1Q", "", "untagged frames take the VLAN of the receiving port"),
    known="published",
    source="a published lesson on VLAN tagging (in part); the rest follows from the port's own VLAN",
)

MEMBER_AT_BOTH_ENDS = Requirement(
    name="a VLAN on both ends of a link",
    condition="a port passes the frames of the VLANs that it is a member of and drops others, coming in and going "
    "out; so a link carries a VLAN only where both its ends are members",
    severity="",
    citation=Citation("IEEE Std 802.1Q", "", "member sets, ingress and egress filtering"),
    known="memory",
    source="recalled; no public page that states it was found",
)

# --- why roles are kept apart -------------------------------------------------------------------------

AGGREGATED_ALIKE = Requirement(
    name="ports of one aggregated link alike",
    condition="the ports of an aggregation group are one link to the bridge, of one VLAN membership, at both ends",
    severity="",
    citation=Citation("IEEE Std 802.1AX", "", "6.1"),
    known="memory",
    source="recalled; no public page that states it was found",
)

SEPARATE_NETWORKS = Requirement(
    name="a network for each group",
    condition="office, guest, production equipment and public servers each have a network of their own, "
    "with filtering between them",
    severity="",
    citation=Citation("NIST SP 800-171", "r2", "3.13.5"),
    known="published",
    source="a public page with the requirement and its example",
)

DENY_BY_DEFAULT = Requirement(
    name="deny by default",
    condition="traffic is denied unless it is allowed by exception, inwards and outwards, at the boundary "
    "and at points inside",
    severity="",
    citation=Citation("NIST SP 800-171", "r2", "3.13.6"),
    known="published",
    source="a public page with the text of the requirement",
)

OPERATIONAL_ZONES = Requirement(
    name="zones of operational technology",
    condition="operational technology is segmented from information technology by trust and function, with "
    "a firewall or filtering between",
    severity="",
    citation=Citation("NIST SP 800-82", "r3", "5.2.3, 6.2.1"),
    known="memory",
    source="title and date are published; the content is recalled",
)

PERMIT_ONLY_WHAT_IS_NEEDED = Requirement(
    name="firewall policy",
    condition="a firewall blocks all that is not expressly permitted",
    severity="",
    citation=Citation("NIST SP 800-41", "r1", "4.1"),
    known="memory",
    source="recalled",
)

CONTROL_SEGMENTED = Requirement(
    name="control networks segmented",
    condition="control networks can be segmented logically from others, and critical ones from the rest",
    severity="",
    citation=Citation("IEC 62443-3-3", "", "SR 5.1"),
    known="memory",
    source="recalled; the enhancement RE(1), physical segmentation, is published in a public repository",
)

CARD_DATA_SEGMENTED = Requirement(
    name="card data segmented",
    condition="a VLAN without enforced filtering is not isolation: without segmentation the whole network "
    "is in scope",
    severity="",
    citation=Citation("PCI DSS", "v4.0.1", "segmentation; tests 11.4.5, 11.4.6"),
    known="published",
    source="public guides to the standard's segmentation and tests",
    note="recommended, not required; tested yearly, at service providers half-yearly",
)

SEPARATION: Table[tuple[Requirement, ...]] = Table(
    name="documents that ask to keep roles apart",
    columns=("name", "condition", "severity", "citation", "known", "source", "note"),
    rows=(
        SEPARATE_NETWORKS,
        DENY_BY_DEFAULT,
        OPERATIONAL_ZONES,
        PERMIT_ONLY_WHAT_IS_NEEDED,
        CONTROL_SEGMENTED,
        CARD_DATA_SEGMENTED,
    ),
    citation=Citation("NIST, IEC and PCI documents", "", "each row names its own"),
    known="memory",
    source="the weakest of the rows; each row says how it is known itself",
)
