"""Power over the data cable: classes, types, demotion and switching voltages of IEEE Std 802.3.

Watts "at the PSE" are what a port must be able to give, watts "at the PD" what a device may take at
its own connector; the difference is what the standard lets the channel lose. "Pairset" is two pairs,
one out and one back. Clause and table numbers are from memory unless a source is given for them.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

from riserlint.standards.record import Citation, Known, Limit, Table

_CLAUSE_33: Final = Citation("IEEE Std 802.3", "2022", "clause 33")
_CLAUSE_145: Final = Citation("IEEE Std 802.3", "2022", "clause 145")
_OVERVIEW: Final = (
    "trade association white paper 'Overview of 802.3bt', April 2018 (docslib.org/doc/13215261)"
)
_MAKERS_NOTE: Final = "a maker's note on cable power loss that restates the standard"
_DISTRIBUTORS_TABLE: Final = "a distributor's table of the four types that restates the standard"
_RECALLED: Final = "recalled; no public page that states it was found"

#: Types of source, in the order of the standard.
PSE_TYPES: Final = (1, 2, 3, 4)
#: Single-signature classes, in the order of the standard. Class 0 is reckoned as class 3 throughout.
PD_CLASSES: Final = (0, 1, 2, 3, 4, 5, 6, 7, 8)


class ClassRow(NamedTuple):
    """One single-signature class: watts at the source, at the device (by either clause), pairs needed."""

    pd_class: int
    pse_w: float
    pd_w_clause_33: float
    pd_w_clause_145: float
    pairs: int


class DualRow(NamedTuple):
    """One dual-signature class; watts are those of one pairset, events are the PSE's class events."""

    pd_class: int
    pse_w: float
    pd_w: float
    events: int


class DemotionRow(NamedTuple):
    """The highest class that a number of class events assigns, whatever was asked for."""

    events: int
    assigned_class: int


CLASS_TABLE: Final[Table[tuple[ClassRow, ...]]] = Table(
    name="power by single-signature class",
    columns=(
        "class",
        "PSE output, least (W)",
        "PD input, clause 33 (W)",
        "PD input, clause 145 (W)",
        "pairs",
    ),
    rows=(
        ClassRow(0, 15.4, 12.95, 13.0, 2),
        ClassRow(1, 4.0, 3.84, 3.84, 2),
        ClassRow(2, 7.0, 6.49, 6.49, 2),
        ClassRow(3, 15.4, 12.95, 13.0, 2),
        ClassRow(4, 30.0, 25.5, 25.5, 2),
        ClassRow(5, 45.0, 40.0, 40.0, 4),
        ClassRow(6, 60.0, 51.0, 51.0, 4),
        ClassRow(7, 75.0, 62.0, 62.0, 4),
        ClassRow(8, 90.0, 71.3, 71.3, 4),
    ),
    citation=Citation("IEEE Std 802.3", "2022", "clauses 33 and 145, Tables 145-11 and 145-29"),
    known="published",
    source=f"{_OVERVIEW} (classes 1 to 8, four pairs from assigned class 5 up); {_MAKERS_NOTE} (12.95 W)",
    note=(
        "12.95 W is what 44 V, 350 mA and 20 ohm leave; 13.0 W is the rounded value of the 2018 amendment. "
        "Classes 1 to 4 need two pairs; sources of Types 3 and 4 may use four. Table numbers from memory."
    ),
)

LOW_CLASS_PSE_WATTS: Final[Table[tuple[tuple[int, float], ...]]] = Table(
    name="least PSE output of Types 3 and 4 for the low classes",
    columns=("class", "PSE output, least (W)"),
    rows=((1, 4.0), (2, 6.7), (3, 14.0)),
    citation=Citation("IEEE Std 802.3", "2022", "145.2.8, Table 145-11"),
    known="memory",
    source=_RECALLED,
    note="A budget uses the 7 and 15.4 W of the class table unless the source states its own rule.",
)

PEAK_TABLE: Final[Table[tuple[tuple[int, float], ...]]] = Table(
    name="peak PD input by single-signature class",
    columns=("class", "PD peak (W)"),
    rows=((0, 14.4), (1, 5.0), (2, 8.36), (3, 14.4), (4, 28.3), (5, 42.0), (6, 53.5), (7, 65.1), (8, 74.9)),
    citation=Citation("IEEE Std 802.3", "2022", "Table 33-18 and Table 145-29"),
    known="memory",
    source=_RECALLED,
    note="1.11 times the watts of class 4, 1.05 times from class 5 up; at most 50 ms, at most 5 % duty.",
)

DUAL_SIGNATURE_TABLE: Final[Table[tuple[DualRow, ...]]] = Table(
    name="power by dual-signature class, one pairset",
    columns=("class", "PSE output per pairset, least (W)", "PD input per pairset, most (W)", "class events"),
    rows=(
        DualRow(1, 4.0, 3.84, 3),
        DualRow(2, 7.0, 6.49, 3),
        DualRow(3, 15.4, 13.0, 3),
        DualRow(4, 30.0, 25.5, 3),
        DualRow(5, 45.0, 35.6, 4),
    ),
    citation=_CLAUSE_145,
    known="memory",
    source=_RECALLED,
    note="The two modes may have different classes; a port's watts are their sum.",
)

EVENT_TABLE: Final[Table[tuple[tuple[int, int], ...]]] = Table(
    name="class events that grant a single-signature class",
    columns=("class", "class events"),
    rows=((0, 1), (1, 1), (2, 1), (3, 1), (4, 3), (5, 4), (6, 4), (7, 5), (8, 5)),
    citation=Citation("IEEE Std 802.3", "2022", "Tables 145-11 to 145-13"),
    known="memory",
    source=_RECALLED,
    note="A Type 2 source grants class 4 with 2 events.",
)

DEMOTION_TABLE: Final[Table[tuple[DemotionRow, ...]]] = Table(
    name="highest class that a number of class events assigns",
    columns=("class events", "class assigned at most"),
    rows=(DemotionRow(1, 3), DemotionRow(2, 4), DemotionRow(3, 4), DemotionRow(4, 6), DemotionRow(5, 8)),
    citation=_CLAUSE_145,
    known="memory",
    source=f"{_RECALLED}; that a demoted device stays connected and gets less: {_OVERVIEW}",
)


def _by_type(
    name: str,
    unit: str,
    *,
    values: tuple[float, float, float, float],
    known: tuple[Known, Known, Known, Known],
    source: str,
    note: str = "",
) -> Mapping[int, Limit]:
    """Return one limit for each type of source; a value that is only remembered says so in its source."""
    limits = {}
    for pse_type, value, how in zip(PSE_TYPES, values, known, strict=True):
        limits[pse_type] = Limit(
            name=f"{name}, Type {pse_type}",
            value=value,
            unit=unit,
            citation=_CLAUSE_33 if pse_type <= 2 else _CLAUSE_145,
            known=how,
            source=_RECALLED if how == "memory" else source,
            note=note,
        )
    return MappingProxyType(limits)


PSE_MIN_VOLTS: Final = _by_type(
    "least voltage at the PSE's connector",
    "V",
    values=(44.0, 50.0, 50.0, 52.0),
    known=("published", "published", "published", "published"),
    source=f"{_DISTRIBUTORS_TABLE}; Types 1 and 2 also {_MAKERS_NOTE}",
)

PSE_MAX_VOLTS: Final = _by_type(
    "highest voltage at the PSE's connector",
    "V",
    values=(57.0, 57.0, 57.0, 57.0),
    known=("published", "published", "memory", "memory"),
    source=_MAKERS_NOTE,
)

PD_MIN_VOLTS_AT_HIGHEST_CLASS: Final = _by_type(
    "least voltage at the PD's connector at the highest class",
    "V",
    values=(37.0, 42.5, 42.5, 41.1),
    known=("published", "published", "memory", "memory"),
    source=_MAKERS_NOTE,
    note="Holds for the highest class, not for every device of the type. For Type 4 41.2 V circulates too.",
)

NOMINAL_PAIRSET_AMPERES: Final = _by_type(
    "nominal current of a pairset",
    "A",
    values=(0.350, 0.600, 0.600, 0.960),
    known=("published", "published", "published", "published"),
    source=f"{_MAKERS_NOTE} (Types 1 and 2); a help-centre article on the types (Types 3 and 4)",
    note="For Type 4 an upper bound used for planning; class 8 at 52 V is 0.865 A a pairset.",
)

ASSUMED_PAIRSET_OHM: Final = _by_type(
    "direct-current resistance that the standard assumes for a pairset, out and back",
    "ohm",
    values=(20.0, 12.5, 12.5, 12.5),
    known=("published", "published", "memory", "memory"),
    source=_MAKERS_NOTE,
    note="Half the loop resistance of one pair of a Class C (40 ohm) or Class D (25 ohm) channel.",
)

HIGHEST_CLASS: Final = _by_type(
    "highest class",
    "class",
    values=(3, 4, 6, 8),
    known=("published", "published", "published", "published"),
    source=f"{_OVERVIEW}; {_DISTRIBUTORS_TABLE}",
)

MOST_PAIRS: Final = _by_type(
    "most pairs that carry power",
    "pairs",
    values=(2, 2, 4, 4),
    known=("published", "published", "published", "published"),
    source=f"{_OVERVIEW}; {_DISTRIBUTORS_TABLE}",
)

LEAST_CATEGORY: Final = _by_type(
    "least cabling category",
    "category",
    values=(3, 5, 5, 5),
    known=("published", "published", "memory", "memory"),
    source=_MAKERS_NOTE,
    note="Category 3 is Class C cabling, category 5 is Class D.",
)

PD_OFF_VOLTS: Final = Limit(
    name="voltage at or below which a PD is off",
    value=30.0,
    unit="V",
    citation=Citation("IEEE Std 802.3", "2022", "Table 33-18 and Table 145-29"),
    known="memory",
    source=_RECALLED,
    note="A device on a sagging link switches off here before the link has no operating point.",
)

MOST_DROP_VOLTS: Final = Limit(
    name="most volts between inlet and ports of a switch that passes power through",
    value=5.0,
    unit="V",
    citation=Citation("common practice", "", ""),
    known="common practice",
    source="a rectifier and a switch in the way lose less than this; habit of the trade, no source",
    note="No design can state more; where somebody asked for it and nobody knows, it is anything up to this.",
)

PD_ON_VOLTS: Final = Limit(
    name="voltage by which a PD is on",
    value=42.0,
    unit="V",
    citation=Citation("IEEE Std 802.3", "2022", "Table 33-18 and Table 145-29"),
    known="memory",
    source=_RECALLED,
    note="A threshold for starting at low current, not the least voltage under load.",
)


class InrushRow(NamedTuple):
    """What a source limits the current of a starting device to: least and most, in all pairs together."""

    pd_class: int
    least_a: float
    most_a: float


#: Classes 5 and up are weakly remembered: two pairsets share what is limited.
INRUSH_TABLE: Final[Table[tuple[InrushRow, ...]]] = Table(
    name="current that a source limits to while a device starts, by class",
    columns=("class", "least (A)", "most (A)"),
    rows=(
        *(InrushRow(pd_class, 0.400, 0.450) for pd_class in range(5)),
        InrushRow(5, 0.400, 0.900),
        InrushRow(6, 0.400, 0.900),
        InrushRow(7, 0.800, 0.900),
        InrushRow(8, 0.800, 0.900),
    ),
    citation=Citation("IEEE Std 802.3", "2022", "Tables 33-11 and 145-16"),
    known="memory",
    source=_RECALLED,
    note="Classes 5 to 8 are remembered weakly: confirm them before relying on them.",
)

INRUSH_LEAST_MS: Final = Limit(
    name="time that a source gives a starting device at the least",
    value=50.0,
    unit="ms",
    citation=Citation("IEEE Std 802.3", "2022", "Tables 33-11 and 145-16"),
    known="memory",
    source=_RECALLED,
)

INRUSH_MOST_MS: Final = Limit(
    name="time that a source gives a starting device at the most",
    value=75.0,
    unit="ms",
    citation=Citation("IEEE Std 802.3", "2022", "Tables 33-11 and 145-16"),
    known="memory",
    source=_RECALLED,
)

_CLASS_ROWS: Final = {row.pd_class: row for row in CLASS_TABLE.rows}
_PEAK_WATTS: Final = dict(PEAK_TABLE.rows)
_DUAL_ROWS: Final = {row.pd_class: row for row in DUAL_SIGNATURE_TABLE.rows}
_EVENTS: Final = dict(EVENT_TABLE.rows)
_DEMOTION_STEPS: Final = tuple(sorted({row.assigned_class for row in DEMOTION_TABLE.rows}, reverse=True))


def _class_row(pd_class: int) -> ClassRow:
    row = _CLASS_ROWS.get(pd_class)
    if row is None:
        msg = f"PD class {pd_class} is not one of 0 to 8 ({CLASS_TABLE.citation})"
        raise ValueError(msg)
    return row


def _dual_row(pd_class: int) -> DualRow:
    row = _DUAL_ROWS.get(pd_class)
    if row is None:
        msg = f"dual-signature class {pd_class} is not one of 1 to 5 ({DUAL_SIGNATURE_TABLE.citation})"
        raise ValueError(msg)
    return row


def _of_type(limits: Mapping[int, Limit], pse_type: int) -> float:
    limit = limits.get(pse_type)
    if limit is None:
        msg = f"PSE type {pse_type} is not one of 1 to 4 ({_CLAUSE_33}; {_CLAUSE_145})"
        raise ValueError(msg)
    return limit.value


def pse_watts(pd_class: int) -> float:
    """Return the watts that a port must be able to give for a single-signature class.

    For classes 1 to 3 the greater of the values in use (4, 7 and 15.4 W), which is safe for a budget.

    :raises ValueError: for a class outside 0 to 8
    """
    return _class_row(pd_class).pse_w


def pd_watts(pd_class: int, pse_type: int | None) -> float:
    """Return the most watts that a single-signature device of a class may draw, on average, at its connector.

    Class 3 and 0: 12.95 W from a source of clause 33 (Types 1 and 2), 13.0 W from one of clause 145
    (Types 3 and 4) and, being the greater, where the type is not known (None).

    :raises ValueError: for a class outside 0 to 8 or a type outside 1 to 4
    """
    row = _class_row(pd_class)
    if pse_type is None:
        return max(row.pd_w_clause_33, row.pd_w_clause_145)
    _of_type(HIGHEST_CLASS, pse_type)
    return row.pd_w_clause_33 if pse_type <= 2 else row.pd_w_clause_145


def peak_watts(pd_class: int) -> float:
    """Return the peak watts of a class (at most 50 ms, at most 5 % duty).

    :raises ValueError: for a class outside 0 to 8
    """
    return _PEAK_WATTS[_class_row(pd_class).pd_class]


def inrush_amperes(pd_class: int) -> tuple[float, float]:
    """Return what a source limits a starting device of a class to: at the least and at the most, A.

    :raises ValueError: for a class outside 0 to 8

    Source: :data:`INRUSH_TABLE` (memory).
    """
    _class_row(pd_class)
    row = next(row for row in INRUSH_TABLE.rows if row.pd_class == pd_class)
    return row.least_a, row.most_a


def powered_pairs(pd_class: int) -> int:
    """Return the pairs that must carry power for an assigned class: 2 up to class 4, 4 above.

    :raises ValueError: for a class outside 0 to 8
    """
    return _class_row(pd_class).pairs


def dual_pse_watts(pd_class: int) -> float:
    """Return the watts that a source must be able to give on one pairset for a dual-signature class.

    :raises ValueError: for a class outside 1 to 5
    """
    return _dual_row(pd_class).pse_w


def dual_pd_watts(pd_class: int) -> float:
    """Return the most watts that one mode of a dual-signature device may draw, by its class.

    :raises ValueError: for a class outside 1 to 5
    """
    return _dual_row(pd_class).pd_w


def type_min_volts(pse_type: int) -> float:
    """Return the least voltage that a source of a type holds at its connector: 44, 50, 50 or 52 V.

    :raises ValueError: for a type outside 1 to 4
    """
    return _of_type(PSE_MIN_VOLTS, pse_type)


def type_max_volts(pse_type: int) -> float:
    """Return the highest voltage of a source of a type at its connector, 57 V.

    :raises ValueError: for a type outside 1 to 4
    """
    return _of_type(PSE_MAX_VOLTS, pse_type)


def type_highest_class(pse_type: int) -> int:
    """Return the highest class that a source of a type can grant: 3, 4, 6 or 8.

    :raises ValueError: for a type outside 1 to 4
    """
    return int(_of_type(HIGHEST_CLASS, pse_type))


def type_least_category(pse_type: int) -> int:
    """Return the least cabling category that a type of source is meant for: 3 for Type 1, 5 for the others.

    :raises ValueError: for a type outside 1 to 4
    """
    return int(_of_type(LEAST_CATEGORY, pse_type))


def assumed_loop_ohm(pse_type: int, pairs: int) -> float:
    """Return the resistance, out and back, that the standard assumes between a source and its device.

    Over 2 pairs that of one pairset (20 ohm for Type 1, else 12.5 ohm); over 4 pairs two pairsets in
    parallel (6.25 ohm). A limit for the whole channel: it holds at any temperature and is not corrected.

    :raises ValueError: for a type outside 1 to 4, or a number of pairs that the type does not power
    """
    one_pairset_ohm = _of_type(ASSUMED_PAIRSET_OHM, pse_type)
    if pairs not in (2, 4) or pairs > MOST_PAIRS[pse_type].value:
        msg = f"a Type {pse_type} PSE does not power {pairs} pairs ({MOST_PAIRS[pse_type].citation})"
        raise ValueError(msg)
    return one_pairset_ohm if pairs == 2 else one_pairset_ohm / 2


def granting_events(pd_class: int, pse_type: int) -> int:
    """Return the class events with which a source of a type grants a class.

    :raises ValueError: for a class outside 0 to 8, a type outside 1 to 4, or a class above the type's highest
    """
    if _class_row(pd_class).pd_class > type_highest_class(pse_type):
        msg = (
            f"a Type {pse_type} PSE grants no class {pd_class}; its highest is {type_highest_class(pse_type)}"
        )
        raise ValueError(msg)
    return 2 if (pd_class, pse_type) == (4, 2) else _EVENTS[pd_class]


def demoted_class(requested: int, pse_class_cap: int) -> int | None:
    """Return the class that a source assigns to a single-signature device, or None where it gives no power.

    ``requested`` is the class that the device asks for, ``pse_class_cap`` the highest that the port can
    give. A class within the cap is assigned as asked. Above it, the source can only give fewer class
    events, each number of which stands for one class (6, 4 or 3); so a class 8 device at a port that
    ends at class 5 is assigned class 4. Nothing below class 3 is reached in this way: a class 3 device
    at a port that ends at class 2 is not powered. Class 0 counts as class 3.

    :raises ValueError: for a class outside 0 to 8
    """
    wanted = _as_rank(requested)
    cap = _as_rank(pse_class_cap)
    if wanted <= cap:
        return requested
    return next((step for step in _DEMOTION_STEPS if step <= cap), None)


def _as_rank(pd_class: int) -> int:
    return _class_row(pd_class).pd_class or 3
