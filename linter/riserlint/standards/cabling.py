"""Lengths of balanced cabling: channel, link, cords, connections, consolidation points, Category 8.

Two families of texts are kept side by side: ANSI/TIA-568 (North America) and ISO/IEC 11801 with its
national and European adoptions. Their limits agree, their wording (required, recommended) not always;
the note says which. What longer cords and heat take off is in :mod:`riserlint.standards.cabling_derating`.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal, NamedTuple

from riserlint.standards.record import Citation, Known, Limit, Table

#: The family of cabling texts that a limit is taken from.
CablingFamily = Literal["TIA", "ISO/IEC"]
#: Category of components as TIA and ISO/IEC name it.
Category = Literal["5e", "6", "6A", "7", "7A", "8"]
#: Class of a channel. Categories 8.1 and 8.2 make Classes I and II.
ChannelClass = Literal["D", "E", "EA", "F", "FA", "I/II"]

_TIA_CHANNEL: Final = Citation("ANSI/TIA-568.2", "D", "balanced channel and permanent link")
_TIA_HORIZONTAL: Final = Citation("ANSI/TIA-568.1", "E", "horizontal cabling")
_TIA_OPEN_OFFICE: Final = Citation("ANSI/TIA/EIA-568", "B.1", "clause 10, open office cabling")
_TIA_CATEGORY_8: Final = Citation("ANSI/TIA-568", "C.2-1", "Category 8 channel and permanent link")
_ISO_HORIZONTAL: Final = Citation("ISO/IEC 11801-2", "2017", "8.2, horizontal cabling")
_ISO_CLASSES: Final = Citation("ISO/IEC 11801-1", "2017", "classes of channels and categories of components")
_PRACTICE: Final = Citation("common practice", "", "")

_MAKER: Final = "a maker's note that restates the standard"
_COURSE: Final = "university course copy of a TIA-568-B.1 summary (Burapha University)"
_NATIONAL: Final = "Chinese national cabling design standard (by content GB 50311), clause 3.3"
_ADOPTION: Final = (
    "study notes for the Japanese installers' licence on JIS X 5150, the adoption of ISO/IEC 11801"
)
_RECALLED: Final = "recalled; no public page that states it was found"

# --- The channel and its parts ------------------------------------------------------------------------------

CHANNEL_TIA: Final = Limit(
    "longest channel",
    100.0,
    "m",
    _TIA_CHANNEL,
    "published",
    f"{_MAKER}; public encyclopedia on TIA/EIA-568",
    "sheath length, cords included",
)
CHANNEL_ISO: Final = Limit(
    "longest channel",
    100.0,
    "m",
    _ISO_HORIZONTAL,
    "published",
    f"{_NATIONAL}; {_ADOPTION}",
    "a limit of design; a length that a tester measured is no reason to fail under ISO/IEC",
)
PERMANENT_LINK_TIA: Final = Limit(
    "longest permanent link",
    90.0,
    "m",
    _TIA_HORIZONTAL,
    "published",
    f"{_MAKER}; public encyclopedia on TIA/EIA-568",
    "fixed cable between the patch panel and the outlet, consolidation point cable included",
)
PERMANENT_LINK_ISO: Final = Limit(
    "longest fixed horizontal cable",
    90.0,
    "m",
    _ISO_HORIZONTAL,
    "published",
    _ADOPTION,
    "caps the result of the horizontal equations",
)
CORDS_TIA: Final = Limit(
    "cords of a channel, all together",
    10.0,
    "m",
    _TIA_HORIZONTAL,
    "published",
    _MAKER,
    "nominal, beside 90 m of horizontal cable; shorter horizontal cable allows more",
)
CORDS_ISO: Final = Limit(
    "cords of a channel, all together",
    10.0,
    "m",
    _ISO_HORIZONTAL,
    "published",
    _ADOPTION,
    "nominal; with more, the fixed cable must be shortened",
)
CONNECTIONS_TIA: Final = Limit(
    "most connections in a channel",
    4.0,
    "connections",
    _TIA_CHANNEL,
    "memory",
    f"{_RECALLED}; a maker's note calls four mated connections the worst case",
    "cross-connect (two), consolidation point, outlet",
)
CONNECTIONS_ISO: Final = Limit(
    "most connections in a channel",
    4.0,
    "connections",
    _ISO_HORIZONTAL,
    "memory",
    f"{_RECALLED}; counted in the model with cross-connect and consolidation point",
    "cross-connect (two), consolidation point, outlet",
)

# --- Consolidation point and multi-user outlet --------------------------------------------------------

CONSOLIDATION_POINT_TIA: Final = Limit(
    "least cable between floor distributor and consolidation point",
    15.0,
    "m",
    _TIA_OPEN_OFFICE,
    "published",
    _COURSE,
    "a recommendation under TIA, for balanced cable",
)
CONSOLIDATION_POINT_ISO: Final = Limit(
    "least cable between floor distributor and consolidation point",
    15.0,
    "m",
    _ISO_HORIZONTAL,
    "published",
    _ADOPTION,
    "worded as a requirement there; the original text from memory",
)
CONSOLIDATION_CABLE_TIA: Final = Limit(
    "least cable between consolidation point and outlet",
    5.0,
    "m",
    Citation("ANSI/TIA-568", "C.2", "6.4.2"),
    "published",
    _MAKER,
    "improves the crosstalk margin",
)
CONSOLIDATION_CABLE_ISO: Final = Limit(
    "least cable between consolidation point and outlet",
    5.0,
    "m",
    _ISO_HORIZONTAL,
    "memory",
    _RECALLED,
    "an assumption of the reference implementation",
)
CONSOLIDATION_POINTS_TIA: Final = Limit(
    "most consolidation points in a run", 1.0, "consolidation points", _TIA_OPEN_OFFICE, "published", _COURSE
)
CONSOLIDATION_POINTS_ISO: Final = Limit(
    "most consolidation points in a run", 1.0, "consolidation points", _ISO_HORIZONTAL, "memory", _RECALLED
)
MULTI_USER_CORD_24_AWG_TIA: Final = Limit(
    "longest work area cord from a multi-user outlet, 24 AWG",
    22.0,
    "m",
    _TIA_OPEN_OFFICE,
    "published",
    f"{_COURSE}; {_MAKER}",
)
MULTI_USER_CORD_26_AWG_TIA: Final = Limit(
    "longest work area cord from a multi-user outlet, 26 AWG", 17.0, "m", _TIA_HORIZONTAL, "memory", _RECALLED
)
MULTI_USER_CORD_ISO: Final = Limit(
    "longest work area cord from a multi-user outlet",
    20.0,
    "m",
    _ISO_HORIZONTAL,
    "published",
    f"{_ADOPTION}; {_MAKER}",
    "a recommendation",
)
ROOM_CORDS_24_AWG_TIA: Final = Limit(
    "cords in the telecommunications room beside a multi-user outlet, 24 AWG",
    5.0,
    "m",
    _TIA_OPEN_OFFICE,
    "published",
    f"{_COURSE}; {_MAKER}",
    "what the printed table of work area cords assumes",
)
ROOM_CORDS_26_AWG_TIA: Final = Limit(
    "cords in the telecommunications room beside a multi-user outlet, 26 AWG",
    3.5,
    "m",
    _TIA_HORIZONTAL,
    "memory",
    _RECALLED,
    "what the printed table of work area cords assumes",
)


class CablingLimits(NamedTuple):
    """The limits of one family of texts that every channel is held against, whatever its category below 8."""

    channel: Limit
    permanent_link: Limit
    cords: Limit
    connections: Limit
    consolidation_point: Limit
    consolidation_cable: Limit
    consolidation_points: Limit


#: The limits of each family under one name.
CABLING_LIMITS: Final[Mapping[CablingFamily, CablingLimits]] = MappingProxyType(
    {
        "TIA": CablingLimits(
            CHANNEL_TIA,
            PERMANENT_LINK_TIA,
            CORDS_TIA,
            CONNECTIONS_TIA,
            CONSOLIDATION_POINT_TIA,
            CONSOLIDATION_CABLE_TIA,
            CONSOLIDATION_POINTS_TIA,
        ),
        "ISO/IEC": CablingLimits(
            CHANNEL_ISO,
            PERMANENT_LINK_ISO,
            CORDS_ISO,
            CONNECTIONS_ISO,
            CONSOLIDATION_POINT_ISO,
            CONSOLIDATION_CABLE_ISO,
            CONSOLIDATION_POINTS_ISO,
        ),
    }
)

# --- Category 8 ---------------------------------------------------------------------------------------------

CATEGORY_8_CHANNEL: Final = Limit(
    "longest Category 8 channel",
    30.0,
    "m",
    _TIA_CATEGORY_8,
    "published",
    "a notice on the approval of the standard",
    "screened cable",
)
CATEGORY_8_PERMANENT_LINK: Final = Limit(
    "longest Category 8 permanent link", 24.0, "m", _TIA_CATEGORY_8, "memory", _RECALLED
)
CATEGORY_8_CONNECTIONS: Final = Limit(
    "most connections in a Category 8 channel",
    2.0,
    "connections",
    _TIA_CATEGORY_8,
    "published",
    "a notice on the approval of the standard",
)

# --- Categories and classes ---------------------------------------------------------------------------------

CATEGORY_CLASSES: Final[Table[tuple[tuple[Category, ChannelClass, float, Known], ...]]] = Table(
    name="category of components, class of the channel they make, upper frequency",
    columns=("category", "class", "upper frequency (MHz)", "known"),
    rows=(
        ("5e", "D", 100.0, "published"),
        ("6", "E", 250.0, "published"),
        ("6A", "EA", 500.0, "published"),
        ("7", "F", 600.0, "published"),
        ("7A", "FA", 1000.0, "published"),
        ("8", "I/II", 2000.0, "memory"),
    ),
    citation=_ISO_CLASSES,
    known="published",
    source="public encyclopedia on link and channel classes of ISO/IEC 11801; the last row recalled",
    note="Categories 7 and 7A are none of TIA's; a channel performs as its weakest component",
)
#: Class of the channel that components of a category make.
CLASS_OF_CATEGORY: Final[Mapping[Category, ChannelClass]] = MappingProxyType(
    {category: channel_class for category, channel_class, _, _ in CATEGORY_CLASSES.rows}
)

# --- Measured, drawn and planned lengths --------------------------------------------------------------------

TESTER_UNCERTAINTY: Final = Limit(
    "uncertainty of a length read by a field tester",
    0.10,
    "share",
    Citation("ANSI/TIA", "1152", "2.3.1"),
    "published",
    "makers' notes that quote the clause",
    "nominal velocity of propagation; a length test fails only beyond it",
)
TAPE_UNCERTAINTY: Final = Limit(
    "uncertainty of a length read by tape or from sheath marks",
    0.01,
    "share",
    _PRACTICE,
    "common practice",
    "habit of the trade, no source",
)
PLANNED_LINK: Final = Limit(
    "longest permanent link on a drawing",
    88.0,
    "m",
    _PRACTICE,
    "common practice",
    "habit of the trade (290 ft), no normative source",
    "leaves 2 m for what the drawing does not show",
)
PLANNED_SLACK: Final = Limit(
    "slack at each end of a run",
    3.0,
    "m",
    _PRACTICE,
    "common practice",
    "habit of the trade, no normative source",
)
PLANNED_ROUTE_ALLOWANCE: Final = Limit(
    "added to a drawn length whose route is uncertain",
    0.10,
    "share",
    _PRACTICE,
    "common practice",
    "habit of the trade, no normative source",
)
ROUTE_DIFFERENCE: Final = Limit(
    "difference between the length of a run and the sum of its route",
    1.0,
    "m",
    _PRACTICE,
    "common practice",
    "habit of the trade, no normative source",
    "below it two schedules are taken to agree; of long runs the share goes first",
)
ROUTE_DIFFERENCE_SHARE: Final = Limit(
    "difference between the length of a run and the sum of its route, as a share of the run",
    0.02,
    "share",
    _PRACTICE,
    "common practice",
    "habit of the trade, no normative source",
)
