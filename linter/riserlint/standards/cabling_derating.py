"""What longer cords and heat take off the length of balanced cabling, as each family of texts has it.

ANSI/TIA-568: total cords C = (102 − H) / (1 + D), and a printed table of lengths by temperature.
ISO/IEC 11801: an equation for the fixed cable by model and class, and percentages of that length by kelvin.
The two ways give different lengths and must not be mixed.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal, NamedTuple

from riserlint.standards.record import Citation, Known, Limit, Table

#: Class of a channel for which ISO/IEC 11801 gives horizontal equations.
HorizontalClass = Literal["D", "E", "EA", "F", "FA"]
#: The horizontal models of ISO/IEC 11801: with or without a cross-connect, a consolidation point (CP).
HorizontalModel = Literal[
    "interconnect-outlet", "cross-connect-outlet", "interconnect-cp-outlet", "cross-connect-cp-outlet"
]

_TIA_OPEN_OFFICE: Final = Citation("ANSI/TIA/EIA-568", "B.1", "clause 10, open office cabling")
_TIA_HEAT: Final = Citation("ANSI/TIA-568.2", "D", "annex on higher temperatures (Annex G of C.2)")
_TIA_LOSS: Final = Citation("ANSI/TIA-568", "C.2", "6.4.7")
_TIA_CORDS: Final = Citation("ANSI/TIA-568.2", "D", "cord cable de-rating")
_ISO_MODELS: Final = Citation("ISO/IEC 11801-2", "2017", "8.2, horizontal link length equations")

_MAKER: Final = "a maker's note that restates the standard"
_COURSE: Final = "university course copy of a TIA-568-B.1 summary (Burapha University)"
_NATIONAL: Final = "Chinese national cabling design standard (by content GB 50311), clause 3.3"
_EXAMINATION: Final = (
    "Japanese national installers' licence, second examination of fiscal 2022, question 9 (3), "
    "on JIS X 5150-2:2021 (identical with ISO/IEC 11801-2:2017), with its published solution"
)
_QUOTED: Final = "standard's text quoted on the reflector of the IEEE 802.3 four-pair power task force"
_RECALLED: Final = "recalled; no public page that states it was found"

# --- Cords: how much more they lose than the fixed cable ----------------------------------------------------

EXTENDED_CORD_SUM_TIA: Final = Limit(
    "horizontal cable plus de-rated cords",
    102.0,
    "m",
    _TIA_OPEN_OFFICE,
    "published",
    _COURSE,
    "the 102 of C = (102 − H) / (1 + D)",
)
CORD_DERATING_SOLID: Final = Limit(
    "de-rating of a cord of solid conductors",
    0.0,
    "",
    _TIA_CORDS,
    "derived",
    "it loses what the horizontal cable loses, by the definition of D",
    "same conductor as the horizontal cable",
)
CORD_DERATING_24_AWG: Final = Limit(
    "de-rating of a stranded 24 AWG cord", 0.2, "", _TIA_CORDS, "published", f"{_COURSE}; LAN wiring textbook"
)
CORD_DERATING_26_AWG: Final = Limit(
    "de-rating of a stranded 26 AWG cord",
    0.5,
    "",
    _TIA_CORDS,
    "published",
    "column by a former chair of the TIA committee, which also gives the 8 m of cords that follow",
)
CORD_DERATING_28_AWG: Final = Limit(
    "de-rating of a stranded 28 AWG cord",
    0.95,
    "",
    _TIA_CORDS,
    "memory",
    f"{_RECALLED}; the same column expected up to 1 before the value was set",
    "28 AWG is allowed as an exception since ANSI/TIA-568.2-D",
)
#: De-rating D of stranded cords by AWG gauge: a cord loses (1 + D) times what the horizontal cable loses.
CORD_DERATINGS: Final[Mapping[int, Limit]] = MappingProxyType(
    {24: CORD_DERATING_24_AWG, 26: CORD_DERATING_26_AWG, 28: CORD_DERATING_28_AWG}
)
CORD_RATIO_ISO: Final = Limit(
    "insertion loss of a stranded cord over that of the fixed cable",
    1.5,
    "",
    _ISO_MODELS,
    "published",
    f"LAN wiring textbook (50 % more); {_EXAMINATION}",
    "for other cords, from the data of the cable",
)

# --- Horizontal equations -----------------------------------------------------------------------------------


class HorizontalEquation(NamedTuple):
    """One cell of the table of equations: H = constant_m − allowance_m − F X, less C Y with a CP."""

    constant_m: float
    allowance_m: float
    known: Known


def _published(constant_m: float, allowance_m: float) -> HorizontalEquation:
    return HorizontalEquation(constant_m, allowance_m, "published")


def _recalled(constant_m: float, allowance_m: float) -> HorizontalEquation:
    return HorizontalEquation(constant_m, allowance_m, "memory")


HorizontalEquationRow = tuple[HorizontalModel, HorizontalEquation, HorizontalEquation, HorizontalEquation]

HORIZONTAL_EQUATIONS_ISO: Final[Table[tuple[HorizontalEquationRow, ...]]] = Table(
    name="horizontal link length equations",
    columns=("model", "Class D (m)", "Class E and EA (m)", "Class F and FA (m)"),
    rows=(
        ("interconnect-outlet", _published(109.0, 0.0), _published(107.0, 3.0), _recalled(107.0, 2.0)),
        ("cross-connect-outlet", _published(107.0, 0.0), _published(106.0, 3.0), _recalled(106.0, 3.0)),
        ("interconnect-cp-outlet", _recalled(107.0, 0.0), _recalled(106.0, 3.0), _recalled(106.0, 3.0)),
        ("cross-connect-cp-outlet", _recalled(105.0, 0.0), _recalled(105.0, 3.0), _recalled(105.0, 3.0)),
    ),
    citation=_ISO_MODELS,
    known="memory",
    source=f"four cells: {_EXAMINATION}; variables and allowances: {_NATIONAL}; the other cells recalled",
    note="each cell says how it is known; published for Class E, recalled for Class EA in the same column",
)

# --- Heat ---------------------------------------------------------------------------------------------------

RATING_CELSIUS: Final = Limit(
    "temperature that lengths are rated at",
    20.0,
    "°C",
    _TIA_LOSS,
    "published",
    _QUOTED,
)
STEEPER_ABOVE_CELSIUS: Final = Limit(
    "temperature above which unscreened cable loses faster",
    40.0,
    "°C",
    _TIA_LOSS,
    "published",
    _QUOTED,
)
HOTTEST_CELSIUS: Final = Limit(
    "highest temperature for which lengths are given",
    60.0,
    "°C",
    _TIA_LOSS,
    "published",
    _QUOTED,
)

_LOSS_SOURCE: Final = f"{_QUOTED}; trade magazine, 2009"
LOSS_RISE_UNSCREENED_WARM_TIA: Final = Limit(
    "rise of insertion loss, unscreened, 20 °C to 40 °C", 0.004, "per K", _TIA_LOSS, "published", _LOSS_SOURCE
)
LOSS_RISE_UNSCREENED_HOT_TIA: Final = Limit(
    "rise of insertion loss, unscreened, 40 °C to 60 °C", 0.006, "per K", _TIA_LOSS, "published", _LOSS_SOURCE
)
LOSS_RISE_SCREENED_TIA: Final = Limit(
    "rise of insertion loss, screened, 20 °C to 60 °C", 0.002, "per K", _TIA_LOSS, "published", _LOSS_SOURCE
)
LENGTH_LOST_UNSCREENED_WARM_ISO: Final = Limit(
    "length taken off, unscreened, 20 °C to 40 °C", 0.004, "per K", _ISO_MODELS, "published", _NATIONAL
)
LENGTH_LOST_UNSCREENED_HOT_ISO: Final = Limit(
    "length taken off, unscreened, 40 °C to 60 °C", 0.006, "per K", _ISO_MODELS, "published", _NATIONAL
)
LENGTH_LOST_SCREENED_ISO: Final = Limit(
    "length taken off, screened, above 20 °C", 0.002, "per K", _ISO_MODELS, "published", _NATIONAL
)

HORIZONTAL_BY_TEMPERATURE_TIA: Final[Table[tuple[tuple[float, float, float], ...]]] = Table(
    name="longest horizontal cable by mean temperature",
    columns=("temperature (°C)", "unscreened (m)", "screened (m)"),
    rows=(
        (20.0, 90.0, 90.0),
        (25.0, 89.0, 89.5),
        (30.0, 87.0, 88.5),
        (35.0, 85.5, 87.7),
        (40.0, 84.0, 87.0),
        (45.0, 81.7, 86.5),
        (50.0, 79.5, 85.5),
        (55.0, 77.2, 84.7),
        (60.0, 75.0, 83.0),
    ),
    citation=_TIA_HEAT,
    known="memory",
    source=f"{_RECALLED}, except 84.0 m (40 °C, unscreened) and 90 m (20 °C): {_MAKER}",
    note="assumes 10 m of cords at 20 °C; does not follow from the percentages of the same text",
)
HORIZONTAL_AT_40_CELSIUS_TIA: Final = Limit(
    "longest unscreened horizontal cable at a mean of 40 °C",
    84.0,
    "m",
    _TIA_HEAT,
    "published",
    _MAKER,
    "assumes 10 m of cords at 20 °C",
)
