"""Heating of cable bundles: published rises, guidance, code gates, and the constants of the heat balance.

No cell of the ampacity table of NFPA 70 is kept here: none could be read in a public source. A user
types the table of the edition that applies (``riserlint.engineering.ampacity``).
"""

from typing import NamedTuple

from riserlint.standards.record import Citation, Limit, Table

# --- Published rises and guidance ------------------------------------------------------------------

_DERATING = Citation("TIA TR-42 / IEEE P802.3at, contribution on cabling current de-rating", "", "")
_TSB_184 = Citation("TIA TSB-184", "A", "")
_TSB_184_CORDS = Citation("TIA TSB-184-A", "", "addendum on 28 AWG cords")
_CORDS_SOURCE = "trade press and a maker's note that restate the addendum"


class BundleRiseRow(NamedTuple):
    """Rise of the middle of a 100-cable bundle: ``k_per_a2`` × (current per pair)², for one category."""

    category: str
    k_per_a2: float


LEAST_RATED_C = Limit(
    "lowest temperature rating of cable on sale",
    60.0,
    "°C",
    _TSB_184,
    "memory",
    "recalled; no public page that states it was found",
    "what a cable is taken for at the least where its rating is not known",
)
HIGHEST_RATED_C = Limit(
    "highest temperature rating of 4-pair cable on sale",
    105.0,
    "°C",
    _TSB_184,
    "memory",
    "recalled; no public page that states it was found",
    "what a cable is taken for at the most where its rating is not known",
)
#: dT = k I², 100 cables, I in ampere per pair, dT in kelvin; resistance at temperature is inside k.
HUNDRED_CABLE_RISE = Table(
    name="rise of a 100-cable bundle over the square of the current per pair",
    columns=("category", "k [K/A²]"),
    rows=(BundleRiseRow("5e", 20.0), BundleRiseRow("6", 15.0), BundleRiseRow("6A", 12.0)),
    citation=_DERATING,
    known="published",
    source="the contribution, read at studylib.net/doc/18077018",
    note="measured points lie up to 3.3 K from the fit, both ways; that all four pairs are live is inferred",
)

DERATED_PAIR_CURRENT_A = Limit(
    "current per pair at 45 °C ambient handed to IEEE 802.3at",
    0.72,
    "A",
    _DERATING,
    "published",
    "the contribution, read at studylib.net/doc/18077018",
)
BUNDLE_RISE_K = Limit(
    "temperature rise inside a bundle",
    15.0,
    "K",
    _TSB_184,
    "published",
    "a maker's note that cites the bulletin",
)
EARLIER_BUNDLE_RISE_K = Limit(
    "temperature rise budget of a 100-cable bundle at 0.6 A per pair",
    10.0,
    "K",
    Citation("TIA TR-42.7 / IEEE P802.3at", "2008", "study of cable heating"),
    "published",
    "two public pages that restate the budget",
)
RISE_BASE_AMBIENT_C = Limit(
    "ambient on which the 15 K rise is laid",
    45.0,
    "°C",
    _TSB_184,
    "memory",
    "no public page with the base was read",
    "45 °C + 15 K = 60 °C, the rating of common cable",
)
ADVISED_BUNDLE_CABLES = Limit(
    "cables in a bundle, general advice", 24.0, "cables", _TSB_184, "memory", "widely repeated; not read"
)

SMALL_CORD_BUNDLE_CORDS = Limit(
    "powered 28 AWG cords in a bundle", 12.0, "cords", _TSB_184_CORDS, "published", _CORDS_SOURCE
)
SMALL_CORD_SPACING_MM = Limit(
    "distance between bundles of powered 28 AWG cords", 38.0, "mm", _TSB_184_CORDS, "published", _CORDS_SOURCE
)
SMALL_CORD_LENGTH_M = Limit("length of a 28 AWG cord", 10.0, "m", _TSB_184_CORDS, "published", _CORDS_SOURCE)
SMALL_CORD_AWG = Limit(
    "gauge from which a cord is a small one",
    28.0,
    "AWG",
    _TSB_184_CORDS,
    "published",
    _CORDS_SOURCE,
    "such cords are not laid in conduit when powered",
)

FOUR_PAIR_CONDUCTOR_A = Limit(
    "current per conductor of 4-pair cabling",
    0.5,
    "A",
    Citation("ISO/IEC TS 29125", "2017+A1:2020", "scope"),
    "published",
    "scope text at stdhive.com",
)
INSTALLATION_CONDUCTOR_A = Limit(
    "current per conductor of extra-low-voltage DC over balanced cabling",
    0.75,
    "A",
    Citation("IEC 60364-7-716", "", ""),
    "memory",
    "seen only in a second-hand quotation of a national wiring rule",
)


class UnbalancedPairsetRow(NamedTuple):
    """The highest current of the heavier pairset of a class over four pairs, unbalance included, in ampere."""

    pd_class: int
    pairset_a: float


UNBALANCED_PAIRSET = Table(
    name="highest pairset current with unbalance",
    columns=("class", "pairset [A]"),
    rows=(
        UnbalancedPairsetRow(5, 0.550),
        UnbalancedPairsetRow(6, 0.682),
        UnbalancedPairsetRow(7, 0.781),
        UnbalancedPairsetRow(8, 0.932),
    ),
    citation=Citation("IEEE Std 802.3", "2022", "Table 145-16, item 5"),
    known="memory",
    source="recalled; no public page that states them was found",
)


class RemotePoweringRow(NamedTuple):
    """One remote powering category: mean current of all conductors of a bundle, above and up to, in mA."""

    category: str
    above_ma: float
    up_to_ma: float


REMOTE_POWERING = Table(
    name="remote powering categories by mean current of all conductors in a bundle",
    columns=("category", "above [mA]", "up to [mA]"),
    rows=(
        RemotePoweringRow("RP1", 0.0, 212.0),
        RemotePoweringRow("RP2", 212.0, 500.0),
        RemotePoweringRow("RP3", 500.0, 500.0),
    ),
    citation=Citation("EN 50174-2 / ISO/IEC 14763-2", "2018-2020", "remote powering"),
    known="memory",
    source="that the three categories exist was read on a public page; their currents were not",
    note="RP3: every conductor at 500 mA, where planning starts; RP1 and RP2 need a warning label",
)

# --- NFPA 70 (US National Electrical Code) ---------------------------------------------------------

_NEC_TABLE = "725.144, Table 725.144"

AMPACITY_GATE_W = Limit(
    "power supplied per communications cable above which the ampacity rules apply",
    60.0,
    "W",
    Citation("NFPA 70", "2017", "840.160, 725.144"),
    "published",
    "trade press column on the code; cablinginstall.com article 16465209",
    "the listing of the cable decides whether this gate or the 0.3 A one applies (from memory)",
)
AMPACITY_EXEMPT_A = Limit(
    "nominal current per conductor up to which neither table nor LP listing is needed",
    0.3,
    "A",
    Citation("NFPA 70", "2020", "725.144"),
    "memory",
    "the wording was read in Public Input 1021 of the 2020 cycle; the adopted text was not",
    "for 24 AWG and larger",
)
AMPACITY_EXEMPT_AWG = Limit(
    "smallest gauge of the 0.3 A exception",
    24.0,
    "AWG",
    Citation("NFPA 70", "2020", "725.144"),
    "memory",
    "as the 0.3 A exception",
)
AMPACITY_BASE_C = Limit(
    "ambient of the ampacity table",
    30.0,
    "°C",
    Citation("NFPA 70", "2017", _NEC_TABLE),
    "published",
    "trade column",
)
AMPACITY_AMBIENT_CORRECTION = Limit(
    "exponent of the ambient correction I' = I ((Tc - Ta') / (Tc - Ta))^x",
    0.5,
    "1",
    Citation("NFPA 70", "", "310.15(B)"),
    "memory",
    "that 310.15(B)(2) holds the formula: ieee802.org/3/4PPOE/email/msg00870.html; its form is remembered",
)
HALF_LOADED_FACTOR = Limit(
    "factor on the table where half of the conductors carry current",
    1.4,
    "1",
    Citation("NFPA 70", "2017", "Table 725.144, note"),
    "memory",
    "not read; half the heat at the same current gives the square root of 2",
)
SUPERVISION_CABLES = Limit(
    "cables in a bundle above which engineering supervision is asked",
    192.0,
    "cables",
    Citation("NFPA 70", "2017", "Table 725.144, note"),
    "memory",
    "that the study behind the table went to 192 cables was read; the note was not",
)
SUPERVISION_AWG = Limit(
    "gauge than which smaller conductors need engineering supervision",
    26.0,
    "AWG",
    Citation("NFPA 70", "2017", "Table 725.144, note"),
    "memory",
    "not read",
)
CONNECTOR_A = Limit(
    "current of an 8-position modular connector, per contact",
    1.0,
    "A",
    Citation("NFPA 70", "2017", "725.144, informational note"),
    "memory",
    "not read; IEC 60603-7 contacts carry about 1 A at 60 °C",
)

#: Marks of limited-power cable, ampere per *conductor*. Other marks are possible.
LIMITED_POWER_MARKS_A = Table(
    name="LP marks",
    columns=("current per conductor [A]",),
    rows=(0.5, 0.6, 0.7),
    citation=Citation("NFPA 70", "2017", "725.179(I)"),
    known="published",
    source="marks seen on a maker's page; article from a reworded copy of a panel member's guide",
)

# --- The bundle as a heated cylinder ---------------------------------------------------------------

_TEXTBOOK = Citation("Heat-transfer textbooks", "", "")
_ATMOSPHERE = Citation("U.S. Standard Atmosphere", "1976", "equations 51 and 53 (NASA-TM-X-74335)")
_ATMOSPHERE_SOURCE = (
    "public implementations that name the equations; compared with a printed table of air in the tests"
)


class CalibrationCable(NamedTuple):
    """The cable that stands for a category when its core resistivity is calibrated on the published rise."""

    category: str
    awg: int
    outer_mm: float
    ohm_per_m_20: float


CALIBRATION_CABLES = Table(
    name="cables that the published 100-cable rises are taken to hold for",
    columns=("category", "gauge [AWG]", "outer diameter [mm]", "resistance of a conductor at 20 °C [ohm/m]"),
    rows=(
        CalibrationCable("5e", 24, 5.2, 0.08420),
        CalibrationCable("6", 23, 6.0, 0.06678),
        CalibrationCable("6A", 23, 7.5, 0.06678),
    ),
    citation=Citation("Usual construction of 4-pair cable", "", ""),
    known="common practice",
    source="gauge and diameter: usual for the category, no source; resistance: printed copper wire tables",
)
CALIBRATION_CABLES_COUNT = Limit(
    "cables of the bundle of the published rises", 100.0, "cables", _DERATING, "published", "the contribution"
)
CALIBRATION_AMBIENT_C = Limit(
    "ambient at which the core resistivity is calibrated",
    30.0,
    "°C",
    _DERATING,
    "derived",
    "near the middle of 20 to 45 °C; within that span the choice moves a rise by under 3 %",
)

EMISSIVITY = Limit(
    "emissivity of plastic jackets", 0.9, "1", _TEXTBOOK, "memory", "handbook value for plastics"
)
FREE_AIR_FACTOR = Limit(
    "surface rise against that in free air: open tray, free air",
    1.0,
    "1",
    _TEXTBOOK,
    "derived",
    "by definition",
)
ENCLOSED_FACTOR = Limit(
    "surface rise against that in free air: closed conduit or trunking",
    2.5,
    "1",
    Citation("NFPA 70", "2020", _NEC_TABLE),
    "derived",
    "from remembered cells, 24 AWG and 60 °C, that need 2.3 to 2.6; two surfaces in series give 1.7 to 1.8",
)
MINERAL_WOOL_W_PER_M_K = Limit(
    "thermal conductivity of mineral wool", 0.04, "W/(m K)", _TEXTBOOK, "memory", "handbook value"
)
PACKING = Limit(
    "share of a bundle's cross-section that its cables fill",
    0.75,
    "1",
    _TEXTBOOK,
    "common practice",
    "between square (0.785) and loose packing; no source",
)
THICKEST_INSULATION_MM = Limit(
    "thickest insulation that is laid round a bundle",
    300.0,
    "mm",
    Citation("Thermal insulation of roofs", "", ""),
    "common practice",
    "no source; the rise grows with the logarithm of the thickness only",
    "what a pathway of unknown kind or thickness is taken for at the worst",
)
#: Diameter of the smallest circle round 1 to 7 equal circles, over the diameter of one.
PACKED_CIRCLE = Table(
    name="smallest circle round n equal circles",
    columns=("diameter over that of one circle",),
    rows=(1.0, 2.0, 2.15, 2.41, 2.70, 3.0, 3.0),
    citation=Citation("Geometry of circle packing", "", ""),
    known="derived",
    source="1 + 1/sin(π/n) for n of 2 to 6, cut to two decimals; seven are six round one",
)
MODEL_CEILING_C = Limit(
    "centre temperature above which no steady state is claimed",
    250.0,
    "°C",
    _TEXTBOOK,
    "common practice",
    "no jacket of such cable is rated for it and the properties below are not meant for it",
)
BTU_PER_HOUR_PER_W = Limit(
    "British thermal units per hour in one watt",
    3600.0 / 1055.05585262,
    "BTU/h/W",
    Citation("ISO 80000-5", "2019", "the IT British thermal unit"),
    "memory",
    "one IT Btu is 1055.05585262 J by definition; recalled",
)
HOURS_PER_YEAR = Limit(
    "hours of a year",
    365.0 * 24.0,
    "h",
    Citation("Calendar", "", "a year of 365 days"),
    "derived",
    "365 days of 24 h: what runs always",
)
STEFAN_BOLTZMANN_W_PER_M2_K4 = Limit(
    "Stefan-Boltzmann constant",
    5.670374419e-8,
    "W/(m² K⁴)",
    Citation("CODATA", "2018", ""),
    "published",
    "exact from the SI constants, 2 π⁵ k⁴ / (15 h³ c²)",
)
STANDARD_GRAVITY_M_PER_S2 = Limit(
    "standard gravity",
    9.80665,
    "m/s²",
    Citation("U.S. Standard Atmosphere", "1976", ""),
    "published",
    "by definition",
)
STANDARD_PRESSURE_PA = Limit(
    "pressure at sea level",
    101325.0,
    "Pa",
    Citation("U.S. Standard Atmosphere", "1976", ""),
    "published",
    "definition",
)
AIR_GAS_CONSTANT_J_PER_KG_K = Limit(
    "gas constant of dry air",
    287.05287,
    "J/(kg K)",
    Citation("U.S. Standard Atmosphere", "1976", ""),
    "published",
    "8314.32 / 28.9644",
)
AIR_HEAT_CAPACITY_J_PER_KG_K = Limit(
    "specific heat of air at constant pressure",
    1007.0,
    "J/(kg K)",
    _TEXTBOOK,
    "published",
    "table of air at 1 atm, 15 to 70 °C; engineersedge.com, properties of air at 1 atm",
)
AIR_VISCOSITY_FACTOR = Limit(
    "Sutherland factor of the viscosity of air",
    1.458e-6,
    "kg/(m s K^0.5)",
    _ATMOSPHERE,
    "published",
    _ATMOSPHERE_SOURCE,
)
AIR_VISCOSITY_TEMPERATURE_K = Limit(
    "Sutherland temperature of the viscosity of air", 110.4, "K", _ATMOSPHERE, "published", _ATMOSPHERE_SOURCE
)
AIR_CONDUCTIVITY_FACTOR = Limit(
    "factor a of the conductivity of air, a T^1.5 / (T + b 10^(-c/T))",
    2.64638e-3,
    "W/(m K^1.5)",
    _ATMOSPHERE,
    "published",
    _ATMOSPHERE_SOURCE,
)
AIR_CONDUCTIVITY_TEMPERATURE_K = Limit(
    "temperature b of the conductivity of air", 245.4, "K", _ATMOSPHERE, "published", _ATMOSPHERE_SOURCE
)
AIR_CONDUCTIVITY_EXPONENT_K = Limit(
    "temperature c of the conductivity of air", 12.0, "K", _ATMOSPHERE, "published", _ATMOSPHERE_SOURCE
)
NUSSELT_CORRELATION = Citation(
    "Churchill and Chu, Int. J. Heat Mass Transfer 18", "1975", "pages 1049-1053, horizontal cylinder"
)
